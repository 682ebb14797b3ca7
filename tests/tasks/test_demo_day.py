"""The invented day, judged like anybody's: what the scenario says must come out, and nothing more than can be known."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from fairpull.pulls import PullOptions
from fairpull.tasks.bench.door import new_book
from fairpull.tasks.demo_day import PAIRS, DemoResult, run_demo
from fairpull.tasks.weights_file import read_weights
from fairpull.terms.comparison import Comparison, Estimate
from fairpull.terms.errors import BookRefused
from tests.tasks.conftest import BAND

LB_FT = 1.3558179483314004  # N m


def holds(estimate: Estimate, truth: float) -> bool:
    return estimate.low < truth < estimate.high


def test_the_header_pays_what_the_scenario_says(header: Comparison) -> None:
    """Scenario, section 8.3: +3.6 % of the mean of all, drift-safe +7.8 lb-ft (A-B-A)."""
    (difference,) = header.differences
    assert difference.verdict.kind == "differs"
    assert header.band == BAND
    assert holds(difference.mean_ratio, 0.036)
    assert holds(difference.mean_torque, 7.8 * LB_FT)
    assert holds(difference.mean_torque, 7.6 * LB_FT)
    assert difference.mean_torque.high - difference.mean_torque.low < 4.0 * LB_FT  # narrow enough to be of use
    assert {span.sign for span in difference.verdict.spans} == {1}
    assert difference.verdict.confounded == ""
    assert not difference.depends_on_standard


def test_the_declared_question_is_quoted(header: Comparison) -> None:
    assert header.question.declared
    assert header.question.text.startswith("Does the tube header pay")
    assert header.choices["question"].endswith("question.toml, named")


def test_peaks_are_the_scenarios(header: Comparison) -> None:
    log, tube = header.groups
    for group, peak in ((log, 158.8), (tube, 166.5)):
        assert group.peak_power.value / 745.69987 == pytest.approx(peak, rel=0.01)
        assert group.peak_power_rpm.value == pytest.approx(4400.0, abs=60.0)
        assert not group.peak_power.at_least


def test_every_pull_stands_in_running_order_with_its_air_and_rate(header: Comparison) -> None:
    assert [row.pull[:2] for row in header.pulls] == ["02", "03", "04", "07", "08", "10", "12"]
    assert [row.order for row in header.pulls] == list(range(1, 8))
    assert all(row.pressure and row.temperature and row.vapour_pressure for row in header.pulls)
    assert all(240.0 < row.sweep_rate < 260.0 for row in header.pulls)


def test_a_change_that_pays_nothing_is_not_claimed(judge: Callable[..., Comparison], demo_day: Path) -> None:
    engine = {"": demo_day / "engine-anvil.toml"}
    (spark,) = judge("anvil-log", "spark=05", band=BAND, engine_files=engine).differences
    assert spark.verdict.kind != "differs"
    assert spark.verdict.spans == ()
    assert holds(spark.mean_ratio, 0.0)


@pytest.fixture(scope="module")
def drifted(judge: Callable[..., Comparison], demo_day: Path) -> Comparison:
    return judge("14", "16", band=BAND, engine_files={"": demo_day / "engine-anvil.toml"})


def test_the_drifted_zero_is_no_gain_with_one_pull_each(drifted: Comparison) -> None:
    """Pull 16 reads 3.9 lb-ft high everywhere and looked like the best pull of the day."""
    (difference,) = drifted.differences
    assert difference.mean_torque.value == pytest.approx(3.8 * LB_FT, abs=1.0 * LB_FT)
    assert difference.verdict.kind == "cannot tell"
    assert difference.verdict.spans == ()
    assert difference.shape.kind != "scale"


def test_the_brakes_line_takes_the_drift_out_of_that_pull(
    judge: Callable[..., Comparison], demo_day: Path, drifted: Comparison
) -> None:
    shifted = read_weights(demo_day / "dead-weights-day2-after-16.csv")
    mended = judge(
        "14",
        "16",
        band=BAND,
        engine_files={"": demo_day / "engine-anvil.toml"},
        calibrations={drifted.groups[1].name: shifted},
    )
    before, after = (one.groups[1].mean_torque.value / LB_FT for one in (drifted, mended))
    assert before - after == pytest.approx(3.9 + 0.0011 * before, abs=0.1)  # zero and slope of the table
    assert abs(mended.differences[0].mean_torque.value) < 0.6 * LB_FT
    assert "calibration" in mended.choices["differs from pull to pull"]


@pytest.mark.parametrize(("table", "zero"), [("day1", 0.06), ("day2-after-16", 3.86)])
def test_a_dead_weight_table_for_every_pull_is_applied_and_said(
    judge: Callable[..., Comparison], demo_day: Path, drifted: Comparison, table: str, zero: float
) -> None:
    line = read_weights(demo_day / f"dead-weights-{table}.csv")
    found = judge(
        "14",
        "16",
        band=BAND,
        engine_files={"": demo_day / "engine-anvil.toml"},
        pulls=PullOptions(calibration=line),
    )
    for was, now in zip(drifted.groups, found.groups, strict=True):
        moved = (was.mean_torque.value - now.mean_torque.value) / LB_FT
        assert moved == pytest.approx(zero + 0.0011 * was.mean_torque.value / LB_FT, abs=0.1)
    assert found.choices["calibration"].startswith("torque = (indicated - ")


def test_a_night_between_builds_confounds_them(judge: Callable[..., Comparison], demo_day: Path) -> None:
    engine = {"": demo_day / "engine-anvil.toml"}
    (cam,) = judge("anvil-header", "anvil-cam-b", band=BAND, engine_files=engine).differences
    assert "never ran on the same day" in cam.verdict.confounded
    assert cam.verdict.confounded in cam.verdict.sentence
    assert cam.verdict.pulls_needed is None
    assert holds(cam.mean_ratio, 0.021)
    # Crossover 2,770 rpm; -4 % at 2,000 and +10 % at 4,400.
    by_rpm = dict(zip(cam.rpm.tolist(), cam.ratio.tolist(), strict=True))
    assert by_rpm[2000.0] == pytest.approx(-0.037, abs=0.01)
    assert by_rpm[4400.0] == pytest.approx(0.095, abs=0.01)


def test_a_peak_at_the_end_of_the_test_is_at_least(judge: Callable[..., Comparison], demo_day: Path) -> None:
    found = judge("wren-centrifugal", "wren-screw", engine_files={"": demo_day / "engine-wren-blown.toml"})
    centrifugal, screw = found.groups
    assert centrifugal.peak_power.at_least
    assert centrifugal.peak_power.value / 745.69987 == pytest.approx(163.6, rel=0.01)
    assert centrifugal.peak_power_rpm.value == 6400.0
    assert not screw.peak_power.at_least
    (crossover,) = found.differences[0].crossovers
    assert holds(crossover, 4760.0)
    assert found.views == ()
    assert any("single-pull" in finding.code for finding in found.findings)
    assert "belt induction" in found.choices["factors computed for"]


def test_inertia_of_the_engine_file_is_used_and_an_option_goes_before_it(
    judge: Callable[..., Comparison], demo_day: Path
) -> None:
    """At 250 rpm/s, 0.20 kg m2 are 2 pi / 60 x 250 x 0.20 = 5.2 N m."""
    engine = {"": demo_day / "engine-anvil.toml"}
    plain, with_engine, by_option = (
        judge("02", "07", step=250.0, **options)
        for options in ({}, {"engine_files": engine}, {"engine_files": engine, "pulls": PullOptions(inertia=0.4)})
    )
    # The factor of pull 02 is 0.99.
    gained = [one.groups[0].mean_torque.value - plain.groups[0].mean_torque.value for one in (with_engine, by_option)]
    assert gained == pytest.approx([5.2, 10.4], abs=0.25)
    assert "0.2 kg m2" in with_engine.groups[0].curves[0].choices["inertia"]


def test_a_late_channel_is_moved_back(judge: Callable[..., Comparison]) -> None:
    plain, moved = (judge("02", "07", step=250.0, pulls=PullOptions(lags=lags)) for lags in ({}, {"lambda_1": 0.3}))
    before, after = (one.groups[0].curves[0].channels["lambda_1"] for one in (plain, moved))
    assert not np.allclose(before, after, rtol=1e-6, equal_nan=True)
    assert "lambda_1 moved back 0.3 s" in moved.choices["lags"]
    assert np.array_equal(plain.groups[0].torque, moved.groups[0].torque)


def test_the_demo_task_writes_logs_and_judges_them(demo_result: DemoResult, header: Comparison) -> None:
    assert (demo_result.folder / "anvil-log").is_dir()
    (made,) = demo_result.header.comparison.differences
    (read,) = header.differences
    assert made.verdict.sentence == read.verdict.sentence
    assert np.array_equal(made.ratio, read.ratio)


def test_every_question_of_the_two_days_has_its_verdict(demo_result: DemoResult) -> None:
    asked = [tuple(group.name for group in made.comparison.groups) for made in demo_result.verdicts]
    assert asked == list(PAIRS)
    assert all(len(made.ledgers) == 1 for made in demo_result.verdicts)
    assert demo_result.header is demo_result.verdicts[0]


def test_the_demo_again_in_the_same_folder_keeps_every_pull_once(demo_result: DemoResult, tmp_path: Path) -> None:
    folder = Path(shutil.copytree(demo_result.folder, tmp_path / "day"))
    again = run_demo(folder, 1)
    assert [line.name for line in again.pulls] == [line.name for line in demo_result.pulls]
    assert [line.state for line in again.pulls] == [line.state for line in demo_result.pulls]
    sentences = [made.comparison.differences[0].verdict.sentence for made in again.verdicts]
    assert sentences == [made.comparison.differences[0].verdict.sentence for made in demo_result.verdicts]


def test_another_seed_or_another_book_in_that_folder_is_refused(demo_result: DemoResult, tmp_path: Path) -> None:
    folder = Path(shutil.copytree(demo_result.folder, tmp_path / "day"))
    with pytest.raises(BookRefused, match="seed 1"):
        run_demo(folder, 2)
    new_book(tmp_path / "other" / "book").close()
    with pytest.raises(BookRefused, match="no book of the demo"):
        run_demo(tmp_path / "other", 1)
