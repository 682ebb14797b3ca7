"""From files to a verdict on small logs: every part of a request does what it says, and is said."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
import pytest

from fairpull.logs import ReadOptions
from fairpull.pulls import PullOptions
from fairpull.tasks.compare_files import compare_files
from fairpull.tasks.request import CompareRequest
from fairpull.tasks.weights_file import read_weights
from fairpull.terms.comparison import Comparison
from fairpull.terms.errors import NotComparable, ReadRefused, ValueRefused
from fairpull.terms.recording import Conditions
from tests.tasks.small import SPEEDS, table, write, write_build, write_engine


@pytest.fixture(scope="module")
def day(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("small")
    write_build(folder, "log")
    write_build(folder, "header", 1.02)
    return folder


def judge(day: Path, *groups: str, **request: Any) -> Comparison:
    return compare_files([str(day / group) for group in groups or ("log", "header")], CompareRequest(**request))


@pytest.fixture(scope="module")
def default(day: Path) -> Comparison:
    return judge(day)


def codes(comparison: Comparison) -> set[str]:
    return {finding.code for finding in comparison.findings}


def test_the_first_group_is_the_reference(default: Comparison) -> None:
    (difference,) = default.differences
    assert (difference.reference, difference.other) == ("log", "header")
    assert difference.mean_ratio.low < 0.02 < difference.mean_ratio.high
    assert difference.mean_ratio.value == pytest.approx(0.02, abs=0.004)


def test_every_source_has_its_hash(day: Path, default: Comparison) -> None:
    assert sorted(Path(path).name for path in default.sources) == sorted(
        f"{build}-{n}.csv" for build in ("log", "header") for n in range(3)
    )
    assert all(len(digest) == 64 for digest in default.sources.values())


def test_one_build_or_none_is_refused(day: Path) -> None:
    with pytest.raises(NotComparable, match="one-group"):
        judge(day, "log")


def test_a_band_by_option_or_by_file_is_judged(day: Path, tmp_path: Path) -> None:
    question = tmp_path / "question.toml"
    question.write_text('question = "Does it pay?"\nband = "2500-4000 rpm"\nsmallest = "5 %"\n', "utf-8")
    declared = judge(day, question_file=question)
    by_option = judge(day, band=(2500.0, 4000.0), smallest=0.05)
    for found in (declared, by_option):
        assert found.band == (2500.0, 4000.0)
        assert found.question.smallest == 0.05
    assert declared.question.text == "Does it pay?"
    assert declared.question.declared
    assert not by_option.question.declared
    assert by_option.choices["smallest difference worth having"] == "5 %, by option"


def test_a_band_beyond_the_tested_range_is_cut_and_said_or_refused(day: Path) -> None:
    assert "band-cut" in codes(judge(day, band=(3000.0, 9000.0)))
    with pytest.raises(NotComparable, match="band-untested"):
        judge(day, band=(6000.0, 9000.0))


def test_the_step_is_the_grid(day: Path, default: Comparison) -> None:
    assert (default.grid_step, default.choices["rpm grid"]) == (100.0, "100 rpm, by default")
    coarse = judge(day, step=500.0)
    assert (coarse.grid_step, coarse.choices["rpm grid"]) == (500.0, "500 rpm, named")
    assert list(coarse.differences[0].rpm) == list(np.arange(2000.0, 5001.0, 500.0))


def test_valid_to_cuts_what_is_compared(day: Path) -> None:
    found = judge(day, valid_to={"header-1": 4000.0})
    assert found.differences[0].rpm[-1] == 4000.0
    assert found.choices["counts only up to"] == "header-1: 4000 rpm"
    assert "short-pull-cuts-range" in codes(found)


def test_a_pull_left_out_is_named_with_its_reason(day: Path) -> None:
    found = judge(day, leave_out={"header-1": "fuel ran out"})
    assert [row.pull for row in found.pulls if row.group == "header"] == ["header-0", "header-2"]
    assert found.choices["left out"] == "header-1: fuel ran out"


def test_a_build_without_a_pull_left_is_refused(day: Path) -> None:
    with pytest.raises(NotComparable, match="empty-group"):
        judge(day, leave_out={f"header-{n}": "ran hot" for n in range(3)})


def test_running_order_by_name(day: Path, default: Comparison) -> None:
    order = ("log-0", "header-0", "log-1", "header-1", "log-2", "header-2")
    assert "no-clock" in codes(default)
    assert tuple(row.pull for row in judge(day, order=order).pulls) == order
    with pytest.raises(NotComparable, match="log-2 not named"):
        judge(day, order=tuple(name for name in order if name != "log-2"))


def test_looks_widen_the_band(day: Path, default: Comparison) -> None:
    second = judge(day, look=2, planned_looks=4)
    assert second.differences[0].verdict.level > default.differences[0].verdict.level == 0.95
    assert second.choices["looks"].startswith("look 2 of 4 planned")
    assert default.choices["looks"] == "one look"
    assert judge(day, look=1).choices["looks"].startswith("look 1 open-ended")


def test_planned_pulls_of_the_question_are_the_planned_looks(day: Path, tmp_path: Path) -> None:
    question = tmp_path / "question.toml"
    question.write_text("planned_pulls = 3\n", "utf-8")
    assert judge(day, question_file=question, look=2).choices["looks"].startswith("look 2 of 3 planned")
    with pytest.raises(ValueRefused, match="look-out-of-plan"):
        judge(day, question_file=question, look=4)


def test_a_plan_without_a_look_is_refused(day: Path) -> None:
    with pytest.raises(ValueRefused, match="looks-without-look"):
        judge(day, planned_looks=4)


def test_a_named_standard_and_its_formula_are_said(day: Path, default: Comparison) -> None:
    assert default.standard == "sae-j1349"
    assert default.choices["standard"] == "sae-j1349 (default where weather is known)"
    named = judge(day, standard="iso-1585")
    assert (named.standard, named.choices["standard"]) == ("iso-1585", "iso-1585")
    assert named.choices["standard formula"].endswith("]")
    assert "[rasmussen-williams]" in named.choices["method"]
    assert "[lan-demets-1983]" in named.choices["method"]
    assert judge(day, standard="none").groups[0].factors == pytest.approx([1.0, 1.0, 1.0], abs=0.0)


def test_without_weather_observed_values_are_compared_and_that_is_said(tmp_path: Path) -> None:
    for build, gain in (("log", 1.0), ("header", 1.02)):
        write_build(tmp_path, build, gain, 2, weather=None)
    found = judge(tmp_path)
    assert found.standard == "none"
    assert "no-weather" in codes(found)
    assert found.choices["standard"] == "none (default where weather is not known for every pull)"
    with pytest.raises(NotComparable, match="weather-unknown"):
        judge(tmp_path, standard="sae-j1349")
    given = ReadOptions(given=Conditions(pressure=99e3, temperature=293.15, relative_humidity=0.4))
    assert judge(tmp_path, read=given).standard == "sae-j1349"


def test_the_same_log_in_both_builds_is_said(day: Path) -> None:
    found = compare_files([f"a={day}/log/log-0.csv", f"b={day}/log/log-0.csv"])
    (finding,) = [one for one in found.findings if one.code == "same-log-twice"]
    assert finding.severity == "fault"


def test_a_shifted_brake_read_through_its_dead_weights(day: Path, tmp_path: Path) -> None:
    """A zero 5 N m high looks like a gain; with the brake's line applied to that build it is gone."""
    write(tmp_path / "a.csv")
    write(tmp_path / "b.csv", shift=5.0)
    weights = tmp_path / "weights.csv"
    weights.write_text("hung [N m],read [N m]\n" + "".join(f"{n},{n + 5}\n" for n in range(0, 401, 40)), "utf-8")
    shifted = judge(tmp_path, "a.csv", "b.csv").differences[0]
    mended = judge(tmp_path, "a.csv", "b.csv", calibrations={"b": read_weights(weights)}).differences[0]
    assert shifted.mean_torque.value == pytest.approx(5.0, abs=0.4)
    assert mended.mean_torque.value == pytest.approx(0.0, abs=0.15)  # the draws scatter by 0.02 %


def test_the_same_files_and_seed_give_the_same_digits(day: Path, default: Comparison) -> None:
    again, other = judge(day), judge(day, seed=1)
    assert np.array_equal(again.differences[0].ratio_low, default.differences[0].ratio_low)
    assert again.choices == default.choices
    assert not np.array_equal(other.differences[0].ratio_low, default.differences[0].ratio_low)


def test_cleaning_options_reach_every_pull(day: Path) -> None:
    assert judge(day, pulls=PullOptions(valid_to=4500.0)).differences[0].rpm[-1] == 4500.0


def test_all_faults_of_all_files(day: Path, tmp_path: Path) -> None:
    for name in ("a.csv", "b.csv"):
        (tmp_path / name).write_text("", "utf-8")
    with pytest.raises(ReadRefused) as refusal:
        judge(tmp_path, "a.csv", "b.csv")
    assert len(refusal.value.faults) == 2


def test_a_measured_curve_without_weather_or_clock_is_a_step_test_with_findings(
    reference_data: Path, tmp_path: Path
) -> None:
    source = reference_data / "epa-wot-curves" / "petrol_2.0l_wot.csv"
    other = tmp_path / "other.csv"
    other.write_text(source.read_text("utf-8").replace("200.111", "201.111"), "utf-8")
    found = compare_files([str(source), str(other)])
    assert codes(found) >= {"no-weather", "no-clock", "single-pull", "points-not-measured"}
    assert found.differences[0].verdict.kind != "differs"


def test_petrol_against_gas_is_not_told_apart(reference_data: Path) -> None:
    table = reference_data / "turbo-petrol-vs-natural-gas" / "full_load_bmep.csv"
    found = compare_files([str(table)], CompareRequest(read=ReadOptions(by="fuel", displacement=1.991e-3)))
    assert [group.name for group in found.groups] == ["gasoline", "natural_gas"]
    (difference,) = found.differences
    assert difference.verdict.kind == "cannot tell"
    assert difference.verdict.spans == ()
    assert difference.mean_ratio.value == pytest.approx(-0.003, abs=0.0005)


def test_diesels_stand_under_the_first_standard_that_knows_them(tmp_path: Path) -> None:
    engine = write_engine(tmp_path / "engine.toml", ignition="compression")
    for name, gain in (("a", 1.0), ("b", 1.02)):
        lines = table(gain).splitlines()
        fuel = [str(round(5.6549 * rpm / 120.0 * 0.05 * 3.6, 3)) for rpm in SPEEDS]  # kg/h: 50 mg/(l cycle)
        rows = [",".join(pair) for pair in zip(lines, ["fuel flow [kg/h]", *fuel], strict=True)]
        (tmp_path / f"{name}.csv").write_text("\n".join(rows) + "\n", "utf-8")
    found = judge(tmp_path, "a.csv", "b.csv", engine_files={"": engine})
    assert found.standard == "iso-1585"
    assert "not computed: sae-j1349" in found.choices["standard"]
    assert "a 50.0 mg/(l cycle)" in found.choices["fuel per cycle"]
    assert {"sae-j1349", "din-70020"} & set(found.differences[0].by_standard) == {"din-70020"}
    with pytest.raises(ValueRefused, match="compression-ignition-unread"):
        judge(tmp_path, "a.csv", "b.csv", engine_files={"": engine}, standard="sae-j1349")


def test_no_groups_at_all_are_refused() -> None:
    with pytest.raises(ReadRefused, match="none given"):
        compare_files([])
