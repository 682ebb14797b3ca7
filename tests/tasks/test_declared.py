"""A rating is laid beside the builds, and changes no number."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from fairpull.logs import ReadOptions
from fairpull.tasks.compare_files import compare_files
from fairpull.tasks.declared import read_declared
from fairpull.tasks.machines import Machines
from fairpull.tasks.request import CompareRequest
from fairpull.terms.comparison import Comparison
from fairpull.terms.errors import ReadRefused, UnknownName, ValueRefused
from fairpull.terms.pull import DeclaredCurve
from tests.tasks.small import write_build, write_engine

POWER = "rpm,power [kW]\n2000,60\n3000,90\n4000,115\n"
LONG = "who,rpm,torque [N m]\n" + "".join(
    f"{who},{rpm},{300 + rpm / 100}\n" for who in "ab" for rpm in (2500, 3500, 4500)
)


@pytest.fixture
def rating(tmp_path: Path) -> Path:
    path = tmp_path / "rating.csv"
    path.write_text(POWER, "utf-8")
    return path


def declared(*files: Path, engine: Path | None = None, **request: object) -> tuple[DeclaredCurve, ...]:
    machines = Machines({"": engine} if engine else {})
    return read_declared(CompareRequest(declared_files=files, **request), machines)  # type: ignore[arg-type]


def test_power_becomes_torque(rating: Path) -> None:
    (curve,) = declared(rating)
    assert curve.name == "rating"
    assert curve.torque == pytest.approx([286.479, 286.479, 274.542], abs=5e-4)  # P / (2 pi n)


def test_what_is_not_stated_is_asked_for(rating: Path) -> None:
    (curve,) = declared(rating)
    (finding,) = curve.findings
    assert (finding.code, finding.severity) == ("declared-unstated", "warning")
    assert "standard and net or gross" in finding.text
    (half,) = declared(rating, declared_basis="net")
    assert "without its standard:" in half.findings[0].text
    (whole,) = declared(rating, declared_basis="gross", declared_standard="din-70020")
    assert (whole.findings, whole.standard, whole.basis) == ((), "din-70020", "gross")


def test_words_that_do_not_exist_are_refused(rating: Path) -> None:
    with pytest.raises(UnknownName, match="net, gross, unstated"):
        declared(rating, declared_basis="nett")
    with pytest.raises(UnknownName, match="did you mean din-70020"):
        declared(rating, declared_standard="din70020")


def test_a_long_table_is_split(tmp_path: Path) -> None:
    path = tmp_path / "ratings.csv"
    path.write_text(LONG, "utf-8")
    assert [curve.name for curve in declared(path, declared_by="who")] == ["a", "b"]


def test_all_bad_tables_are_refused_at_once(tmp_path: Path, rating: Path) -> None:
    bad = [tmp_path / "nix.csv", tmp_path / "empty.csv"]
    bad[1].write_text("", "utf-8")
    with pytest.raises(ReadRefused) as refusal:
        declared(bad[0], rating, bad[1])
    assert len(refusal.value.faults) == 2


def test_bmep_is_read_with_the_engine_or_the_option(tmp_path: Path) -> None:
    path = tmp_path / "bmep.csv"
    path.write_text("rpm,bmep [bar]\n2000,10\n3000,11\n4000,10\n", "utf-8")
    (by_engine,) = declared(path, engine=write_engine(tmp_path / "engine.toml"))
    (by_option,) = declared(path, read=ReadOptions(displacement=2e-3))
    assert by_engine.torque[0] == pytest.approx(450.0, abs=5e-3)  # 10 bar x 5.6549 L / (4 pi)
    assert by_option.torque[0] == pytest.approx(159.155, abs=5e-4)


def test_the_measured_logs_columns_and_corrections_are_not_the_tables(rating: Path) -> None:
    (curve,) = declared(rating, read=ReadOptions(columns={"power [kW]": ""}, units={"power": "hp"}))
    assert curve.torque[0] == pytest.approx(286.479, abs=5e-4)


@pytest.fixture(scope="module")
def without(tmp_path_factory: pytest.TempPathFactory) -> tuple[list[str], Comparison]:
    folder = tmp_path_factory.mktemp("declared")
    words = [str(write_build(folder, "log")), str(write_build(folder, "header", 1.02))]
    return words, compare_files(words)


def test_a_declared_curve_changes_no_number(without: tuple[list[str], Comparison], rating: Path) -> None:
    words, before = without
    after = compare_files(words, CompareRequest(declared_files=(rating,)))
    assert len(after.declared) == 1
    assert len(after.differences) == len(before.differences) == 1
    for name in ("ratio", "ratio_low", "ratio_high", "torque", "power_high"):
        assert np.array_equal(getattr(after.differences[0], name), getattr(before.differences[0], name))
    assert after.differences[0].verdict == before.differences[0].verdict
    assert after.noise == before.noise
    assert [group.mean_torque for group in after.groups] == [group.mean_torque for group in before.groups]
    assert {f.code for f in after.findings} - {f.code for f in before.findings} == {"declared-unstated"}
    assert "never evidence" in after.choices["declared curves"]


def test_a_column_to_split_by_without_a_table_is_refused(without: tuple[list[str], Comparison]) -> None:
    with pytest.raises(ValueRefused, match="nothing-declared"):
        compare_files(without[0], CompareRequest(declared_by="who"))


def test_39_declared_curves_of_one_long_table(reference_data: Path) -> None:
    curves = declared(reference_data / "jrc-full-load-curves" / "full_load_curves.csv", declared_by="vehicle_no")
    assert len(curves) == 39
    assert curves[0].torque.max() == 320.0
