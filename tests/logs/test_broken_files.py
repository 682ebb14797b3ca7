"""Broken files as a tester meets them: each has its own clear refusal, or is read with a finding that says it.

The table of cases stands in `broken_text` (delimited logs) and `broken_other` (everything else).
"""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Sequence
from pathlib import Path

import numpy as np
import pytest

from fairpull import logs
from fairpull.logs.options import ReadOptions
from fairpull.terms.errors import FairpullError
from fairpull.terms.findings import Finding
from fairpull.terms.recording import Recording
from tests.logs import broken_other, broken_text
from tests.logs.broken_log import READ, REFUSED, Case, good, table

CASES = (*broken_text.CASES, *broken_other.CASES)
LARGE = tuple(case for case in CASES if "MB" in case.name or "10,000" in case.name)
MOST_MEMORY = 300 * 1024 * 1024
SMALL = tuple(case for case in CASES if case not in LARGE or case.outcome == READ)


def each(cases: Sequence[Case]) -> pytest.MarkDecorator:
    """One test a case, under the case's name."""
    return pytest.mark.parametrize("case", cases, ids=lambda case: case.name.replace(" ", "-"))


def build(case: Case, folder: Path) -> Path:
    """Write the case's file, or skip where this machine cannot make it."""
    path = case.build(folder)
    if "may not be read" in case.name and os.access(path, os.R_OK):
        pytest.skip("this user may read everything")
    return path


def read(path: Path, case: Case) -> tuple[Recording, ...]:
    return logs.read(path, ReadOptions(**case.options))


def test_there_are_at_least_sixty_cases_each_with_its_own_name() -> None:
    assert len({case.name for case in CASES}) == len(CASES) >= 60
    assert {case.outcome for case in CASES} == {READ, REFUSED}


def test_the_good_log_is_read_without_a_warning(tmp_path: Path) -> None:
    """Else the cases below could show anything."""
    (found,) = logs.read(table(good())(tmp_path), ReadOptions())
    assert {finding.code for finding in found.findings} == set()
    expected = np.array([float(cell) for cell in good()["Torque [Nm]"]])
    assert np.array_equal(found.channels["torque"], expected)


@each(SMALL)
def test_each_broken_file_is_refused_or_read_as_a_tester_would_expect(
    case: Case, tmp_path: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    path = build(case, tmp_path)
    if case.outcome == REFUSED:
        with pytest.raises(FairpullError) as error:
            read(path, case)
        faults = error.value.faults
        assert case.code in {fault.code for fault in faults}, str(error.value)
        assert all(fault.where and fault.seen and fault.remedy for fault in faults)
        assert path.stem in str(error.value) or path.name in str(error.value), "the file is named"
    else:
        found = read(path, case)
        check_said(case, [finding for recording in found for finding in recording.findings])
        if case.samples is not None:
            assert [recording.channels["torque"].size for recording in found] == [case.samples]
    assert capfd.readouterr() == ("", ""), "nothing is printed on the way"


def check_said(case: Case, said: list[Finding]) -> None:
    codes = {finding.code for finding in said}
    if case.code:
        assert case.code in codes
    assert all(finding.where and finding.text and finding.remedy for finding in said)


@each([case for case in CASES if case.outcome == READ and not case.code])
def test_what_does_no_harm_is_read_as_the_good_log(case: Case, tmp_path: Path) -> None:
    (found,) = read(build(case, tmp_path), case)
    expected = np.array([float(cell) for cell in good()["Torque [Nm]"]])
    assert np.allclose(found.channels["torque"], expected, rtol=1e-12, atol=0)


MEASURE = """
import sys
from pathlib import Path
from fairpull import logs
from fairpull.logs.options import ReadOptions
from fairpull.terms.errors import FairpullError
try:
    logs.read(Path(sys.argv[1]), ReadOptions())
except FairpullError as error:
    print(error.faults[0].code, error.faults[0].where)
else:
    print("read", "it")
# Not ru_maxrss: that one remembers how large the process was that started this one.
status = Path("/proc/self/status").read_text()
print(next(int(line.split()[1]) * 1024 for line in status.splitlines() if line.startswith("VmHWM")))
"""


@each([case for case in LARGE if case.outcome == REFUSED])
def test_a_large_file_that_is_refused_stays_below_300_mb(case: Case, tmp_path: Path) -> None:
    path = build(case, tmp_path)
    run = subprocess.run(
        [sys.executable, "-c", MEASURE, str(path)], capture_output=True, text=True, check=False, timeout=120
    )
    assert run.returncode == 0, run.stderr
    code, where, peak = run.stdout.split()
    assert (code, Path(where).name) == (case.code, path.name)
    assert int(peak) < MOST_MEMORY


@each([case for case in SMALL if case not in LARGE])
def test_the_command_refuses_with_2_and_reads_with_0(
    case: Case, tmp_path: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    command = pytest.importorskip("fairpull.cli.main", reason="the command line is not there yet")
    path = build(case, tmp_path)
    code = command.main(["read", str(path), *case.args])
    shown = "".join(capfd.readouterr())
    assert code == (2 if case.outcome == REFUSED else 0), shown
    assert "Traceback" not in shown
    if case.outcome == REFUSED:
        assert case.code in shown
