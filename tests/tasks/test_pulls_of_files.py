"""From files to pulls that count: names, ranges, reasons, and all faults of all files at once."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
import pytest

from fairpull.logs import ReadOptions
from fairpull.tasks.groups import expand
from fairpull.tasks.machines import Machines
from fairpull.tasks.pulls_of_files import PullGroup, read_groups
from fairpull.tasks.request import CompareRequest
from fairpull.terms.calibration import Calibration
from fairpull.terms.errors import ReadRefused
from tests.tasks.small import SPEEDS, torque, write, write_build, write_engine


def read(words: list[str], engines: dict[str, Path] | None = None, **request: Any) -> tuple[PullGroup, ...]:
    return read_groups(expand(words), CompareRequest(**request), Machines(engines or {}))


@pytest.fixture
def builds(tmp_path: Path) -> list[str]:
    return [str(write_build(tmp_path, name, pulls=2)) for name in ("log", "header")]


def names(groups: tuple[PullGroup, ...]) -> list[list[str]]:
    return [[pull.name for pull in group.pulls] for group in groups]


def test_groups_and_pulls_in_order(builds: list[str]) -> None:
    groups = read(builds)
    assert [group.name for group in groups] == ["log", "header"]
    assert names(groups) == [["log-0", "log-1"], ["header-0", "header-1"]]


def test_progress_is_told_of_each_file_before_it_is_read(builds: list[str]) -> None:
    told: list[tuple[str, int, int]] = []
    read_groups(expand(builds), CompareRequest(), Machines({}), lambda path, n, of: told.append((path.name, n, of)))
    assert told == [("log-0.csv", 1, 4), ("log-1.csv", 2, 4), ("header-0.csv", 3, 4), ("header-1.csv", 4, 4)]


def test_all_bad_files_are_refused_at_once(builds: list[str], tmp_path: Path) -> None:
    (tmp_path / "log" / "bad.csv").write_text("", "utf-8")
    (tmp_path / "header" / "worse.csv").write_text("rpm,oil\n1,2\n2,3\n3,4\n", "utf-8")
    with pytest.raises(ReadRefused) as refusal:
        read(builds)
    assert {"bad.csv", "worse.csv"} <= {Path(fault.where.split(",")[0]).name for fault in refusal.value.faults}


def test_a_pull_is_left_out_with_its_reason(builds: list[str]) -> None:
    assert names(read(builds, leave_out={"log-1": "ran hot"})) == [["log-0"], ["header-0", "header-1"]]


def test_names_that_stand_for_no_pull_and_missing_reasons_are_refused_together(builds: list[str]) -> None:
    with pytest.raises(ReadRefused) as refusal:
        read(builds, leave_out={"log-7": "ran hot", "log-1": " "}, valid_to={"nothing": 4000.0})
    assert sorted(fault.code for fault in refusal.value.faults) == ["no-reason", "no-such-pull", "no-such-pull"]
    unknown = next(fault for fault in refusal.value.faults if "log-7" in fault.seen)
    assert unknown.remedy == "use one of log-0, log-1, header-0, header-1"


def test_two_pulls_of_one_name_are_left_out_by_their_whole_names(tmp_path: Path) -> None:
    words = [str(write(tmp_path / build / "run.csv").parent) for build in ("a", "b")]
    assert names(read(words)) == [["a/run"], ["b/run"]]
    assert names(read(words, leave_out={"b/run": "no oil"})) == [["a/run"], []]
    with pytest.raises(ReadRefused, match="use one of a/run, b/run"):
        read(words, leave_out={"run": "no oil"})


@pytest.mark.parametrize("name", ["log-1", "log-1.csv"])
def test_a_pull_counts_up_to_an_rpm(builds: list[str], name: str) -> None:
    limits = [[pull.valid_to for pull in group.pulls] for group in read(builds, valid_to={name: 4000.0})]
    assert limits == [[None, 4000.0], [None, None]]


def test_a_group_counts_up_to_an_rpm_and_its_pull_further(builds: list[str]) -> None:
    groups = read(builds, valid_to={"log": 4000.0, "log-1": 4500.0})
    assert [pull.valid_to for pull in groups[0].pulls] == [4000.0, 4500.0]


def line(zero: float) -> Calibration:
    loads = np.array([0.0, 150.0, 300.0])
    return Calibration(1.0, zero, 1e-4, 0.1, 0.0, 0.1, 1.0, 300.0, loads, loads + zero)


def test_a_dead_weight_line_for_one_log_or_one_build(builds: list[str]) -> None:
    plain = read(builds)
    one = read(builds, calibrations={"log-1": line(3.0)})
    build = read(builds, calibrations={"header": line(3.0)})

    def moved(groups: tuple[PullGroup, ...]) -> list[list[float]]:
        return [
            [
                round(float(np.mean(was.channels["torque"] - now.channels["torque"])), 9)
                for was, now in zip(a, b, strict=True)
            ]
            for a, b in zip((g.pulls for g in plain), (g.pulls for g in groups), strict=True)
        ]

    assert moved(one) == [[0.0, 3.0], [0.0, 0.0]]
    assert moved(build) == [[0.0, 0.0], [3.0, 3.0]]
    with pytest.raises(ReadRefused, match="no-such-pull"):
        read(builds, calibrations={"nothing": line(3.0)})


def long_table(path: Path) -> str:
    rows = [f"{fuel},{rpm},{torque(rpm, gain)}" for fuel, gain in (("petrol", 1.0), ("gas", 0.99)) for rpm in SPEEDS]
    path.write_text("\n".join(["fuel,rpm,torque [N m]", *rows]) + "\n", "utf-8")
    return str(path)


def test_one_table_split_by_a_column_is_a_build_a_value(tmp_path: Path) -> None:
    groups = read([long_table(tmp_path / "both.csv")], read=ReadOptions(by="fuel"))
    assert [group.name for group in groups] == ["petrol", "gas"]
    assert names(groups) == [["petrol"], ["gas"]]


def test_several_tables_split_by_a_column_are_pulls_of_their_builds(tmp_path: Path) -> None:
    words = [f"{name}={long_table(tmp_path / f'{name}.csv')}" for name in "ab"]
    groups = read(words, read=ReadOptions(by="fuel"))
    assert names(groups) == [["a/petrol", "a/gas"], ["b/petrol", "b/gas"]]


def test_an_engine_for_a_build_that_is_not_there_is_refused(builds: list[str], tmp_path: Path) -> None:
    engine = write_engine(tmp_path / "engine.toml")
    with pytest.raises(ReadRefused, match="name one of the groups: log, header"):
        read(builds, {"hedaer": engine})
    table = long_table(tmp_path / "both.csv")
    with pytest.raises(ReadRefused, match="name one of the groups: petrol, gas"):
        read([table], {"diesel": engine}, read=ReadOptions(by="fuel"))
    assert len(read([table], {"gas": engine}, read=ReadOptions(by="fuel"))) == 2
