"""Spark and mixture loops out of pulls: which points, which speeds, which words."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest

from fairpull.book import Book
from fairpull.tasks.bench.sheet_files import keep_sheets
from fairpull.tasks.bench.take import take_files
from fairpull.tasks.bench.tune_of import CAUTIONS, running_in_of, tune_of
from fairpull.tasks.demo_day import DemoResult
from fairpull.terms.bench import Sheet
from fairpull.terms.errors import NotComparable, UnknownName, ValueRefused
from fairpull.terms.findings import Severity
from tests.tasks.bench.shop import MILL, PARTS, codes, sweep
from tests.tasks.small import write_engine

DEGREE = math.pi / 180.0
BEST = 28.0  # deg, of the made-up loops


def spark_logs(folder: Path, settings: tuple[float, ...] = (22.0, 25.0, 28.0, 31.0, 34.0)) -> list[str]:
    """Sweeps of one engine at several advances: 4.8e-4 of torque is lost for every degree squared off 28 degrees."""
    return [
        str(
            sweep(
                folder / f"spark-{setting:.0f}.csv",
                f"10:{number:02d}:00",
                gain=1.0 - 4.8e-4 * (setting - BEST) ** 2,
                more={"spark advance [deg]": setting},
            )
        )
        for number, setting in enumerate(settings)
    ]


def holds(path: Path, channel: str, settings: list[float], tops: dict[int, float], curvature: float) -> Path:
    """A table of held points: every setting at every speed."""
    rows = [
        f"{rpm},{300.0 * (1.0 - curvature * (setting - best) ** 2):.4f},{setting}"
        for setting in settings
        for rpm, best in tops.items()
    ]
    path.write_text(f"rpm,torque [N m],{channel}\n" + "\n".join(rows) + "\n", "utf-8")
    return path


def test_sweeps_at_several_advances_give_the_best_one(tmp_path: Path) -> None:
    result = tune_of("spark", spark_logs(tmp_path), speeds="3000,4000 rpm", limits="20-36 deg")
    assert [loop.rpm for loop in result.loops] == [3000.0, 4000.0]
    for loop in result.loops:
        assert loop.best is not None
        assert loop.points.setting / DEGREE == pytest.approx([22, 25, 28, 31, 34], abs=1e-3)
        assert loop.best.low / DEGREE < BEST < loop.best.high / DEGREE
        assert loop.best.value / DEGREE == pytest.approx(BEST, abs=0.5)
        assert (loop.best.high - loop.best.low) / DEGREE < 4.0
        assert loop.findings == ()
    assert result.cautions == CAUTIONS
    assert result.findings == ()


def test_torque_is_corrected_by_each_pulls_own_factor(tmp_path: Path) -> None:
    (low, high) = (
        sweep(tmp_path / f"{name}.csv", clock, more={"spark advance [deg]": setting, "baro [kPa]": baro})
        for name, clock, setting, baro in (("a", "10:00:00", 26.0, 99.0), ("b", "10:05:00", 30.0, 94.0))
    )
    (loop,) = tune_of("spark", [str(low), str(high)], speeds="3000").loops
    assert loop.points.torque[1] / loop.points.torque[0] > 1.05


def test_held_points_of_a_table_are_taken_near_each_speed(tmp_path: Path) -> None:
    table = holds(
        tmp_path / "steps.csv", "spark advance [deg]", [20.0, 24.0, 28.0, 32.0], {2000: 22.0, 3000: 27.0}, 4.8e-4
    )
    result = tune_of("spark", [str(table)], speeds="2000,3000")
    assert [loop.points.setting.size for loop in result.loops] == [4, 4]
    for loop, best in zip(result.loops, (22.0, 27.0), strict=True):
        assert loop.best is not None
        assert loop.best.value / DEGREE == pytest.approx(best, abs=0.7)


def test_without_words_every_400_rpm_of_the_common_range_is_taken(tmp_path: Path) -> None:
    logs = spark_logs(tmp_path, (25.0, 31.0))
    short = sweep(tmp_path / "short.csv", "11:00:00", high=4100.0, more={"spark advance [deg]": 28.0})
    result = tune_of("spark", [*logs, str(short)])
    assert [loop.rpm for loop in result.loops] == [2000.0, 2400.0, 2800.0, 3200.0, 3600.0, 4000.0]


def test_pulls_without_the_setting_are_left_out_and_told(tmp_path: Path) -> None:
    bare = sweep(tmp_path / "bare.csv", "12:00:00")
    result = tune_of("spark", [*spark_logs(tmp_path, (25.0, 31.0)), str(bare)], speeds="3000")
    (finding,) = [one for one in result.findings if one.code == "no-setting-logged"]
    assert "bare" in finding.text
    assert "bare" not in result.choices["pulls"]


def test_nothing_to_go_by_is_refused(tmp_path: Path) -> None:
    log = str(sweep(tmp_path / "bare.csv"))
    with pytest.raises(NotComparable, match="no pull holds spark_advance") as refusal:
        tune_of("spark", [log])
    assert codes(refusal.value) == ["no-setting"]
    with pytest.raises(NotComparable, match="no pull holds a jet number"):
        tune_of("mixture", [log], by="jet")


def test_no_common_speed_is_refused(tmp_path: Path) -> None:
    more = {"spark advance [deg]": 28.0}
    for name, low, high in (("low", 2000, 2200), ("high", 4000, 4200)):
        rows = "\n".join(f"{rpm},300,28" for rpm in range(low, high + 1, 50))
        (tmp_path / f"{name}.csv").write_text(f"rpm,torque [N m],{next(iter(more))}\n{rows}\n", "utf-8")
    with pytest.raises(NotComparable) as refusal:
        tune_of("spark", [str(tmp_path / "low.csv"), str(tmp_path / "high.csv")])
    assert codes(refusal.value) == ["no-common-speed"]


def test_limits_bound_what_to_run_next(tmp_path: Path) -> None:
    logs = spark_logs(tmp_path, (22.0, 25.0))
    (wide,) = tune_of("spark", logs, speeds="3000").loops
    (bound,) = tune_of("spark", logs, speeds="3000", limits="20-26 deg").loops
    assert wide.next_setting is not None
    assert wide.next_setting / DEGREE > 26.0
    assert bound.next_setting is not None
    assert 19.9 <= bound.next_setting / DEGREE <= 26.1
    (negative,) = tune_of("spark", logs, speeds="3000", limits="-5-24 degrees").loops
    assert negative.next_setting is not None
    assert negative.next_setting / DEGREE <= 24.1


def test_limits_are_always_told_and_their_want_is_a_warning(tmp_path: Path) -> None:
    logs = spark_logs(tmp_path, (22.0, 25.0))
    bare = tune_of("spark", logs, speeds="3000")
    assert bare.choices["limits"] == "none named: no further than 4 degrees above and 8 below what was run"
    (finding,) = bare.findings
    assert (finding.code, finding.severity) == ("tune-no-limits", Severity.WARNING)
    assert 'spark_limits = "20-34 deg"' in finding.remedy
    named = tune_of("spark", logs, speeds="3000", limits="20 to 26 deg")
    assert named.choices["limits"] == "named: 20 to 26 degrees (--limits)"
    assert named.findings == ()


def test_no_limits_go_no_further_than_four_degrees_beyond_what_was_run(tmp_path: Path) -> None:
    (loop,) = tune_of("spark", spark_logs(tmp_path, (15.0, 18.0)), speeds="3000").loops
    assert loop.next_setting is not None
    assert loop.next_setting / DEGREE <= 22.0 + 0.1


def limited(kept: Book, folder: Path) -> None:
    """Two builds with their own limits cards, one pull each at 22 and 25 degrees."""
    for n, (name, card) in enumerate((("mild", "18-30 deg"), ("hot", "20-27 deg"))):
        settings = {"spark_limits": card, "spark": f"{22 + 3 * n} deg"}
        keep_sheets(kept, [Sheet("build", name, {"engine": "Mill", "parts": PARTS, "settings": settings})])
        setting = 22.0 + 3.0 * n
        gain = 1.0 - 4.8e-4 * (setting - BEST) ** 2
        log = sweep(folder / f"{name}.csv", f"10:0{n}:00", gain=gain, more={"spark advance [deg]": setting})
        take_files(kept, [log], name)


def test_the_limits_card_stands_in_the_builds_settings_and_the_narrowest_rules(kept: Book, tmp_path: Path) -> None:
    limited(kept, tmp_path)
    book = str(kept.folder)
    result = tune_of("spark", ["mild", "hot"], speeds="3000", book=book)
    assert result.choices["limits"] == "named: 20 to 27 degrees (build mild, build hot)"
    assert result.findings == ()
    (loop,) = result.loops
    assert loop.next_setting is not None
    assert loop.next_setting / DEGREE <= 27.0 + 1e-6
    narrower = tune_of("spark", ["mild", "hot"], speeds="3000", book=book, limits="21-40 deg")
    assert narrower.choices["limits"] == "named: 21 to 27 degrees (--limits, build mild, build hot)"
    with pytest.raises(ValueRefused, match="no setting keeps all of them") as refusal:
        tune_of("spark", ["mild", "hot"], speeds="3000", book=book, limits="28-40 deg")
    assert codes(refusal.value) == ["tune-limits"]


def test_a_limits_card_that_is_none_is_refused_with_its_sheet(kept: Book, tmp_path: Path) -> None:
    limited(kept, tmp_path)
    settings = {"spark_limits": "not much"}
    keep_sheets(kept, [Sheet("build", "hot", {"engine": "Mill", "parts": PARTS, "settings": settings})])
    with pytest.raises(ValueRefused, match="build hot"):
        tune_of("spark", ["mild", "hot"], speeds="3000", book=str(kept.folder))


def test_lambda_and_jets_have_limits_of_their_own(kept: Book, tmp_path: Path) -> None:
    settings = {"lambda limits": "0.82-0.88", "jet_limits": "67-69"}
    for n, jet in enumerate((66, 68)):
        part = Sheet("part", f"main {jet}", {"kind": "jets", "main": f"{jet}"})
        body = {"engine": "Mill", "parts": {**PARTS, "jets": f"main {jet}"}, "settings": settings}
        keep_sheets(kept, [part, Sheet("build", f"jet-{jet}", body)])
        more = {"lambda 1": 0.88 - 0.03 * n}
        take_files(kept, [sweep(tmp_path / f"j{jet}.csv", f"10:0{n}:00", more=more)], f"jet-{jet}")
    names, book = ["jet-66", "jet-68"], str(kept.folder)
    by_lambda = tune_of("mixture", names, speeds="3000", book=book)
    assert by_lambda.choices["limits"] == "named: 0.82 to 0.88 (build jet-66, build jet-68)"
    by_jet = tune_of("mixture", names, by="jet", speeds="3000", book=book)
    assert by_jet.choices["limits"] == "named: 67 to 69 (build jet-66, build jet-68)"


def test_knock_of_a_mixture_loop_is_told_where_it_was_logged(tmp_path: Path) -> None:
    logs = [
        str(
            sweep(
                tmp_path / f"m-{n}.csv",
                f"10:0{n}:00",
                gain=1.0 - 4.0 * (mean - 0.90) ** 2,
                more={"lambda": mean, "knock": 9.0 if mean > 0.85 else 1.0},
            )
        )
        for n, mean in enumerate((0.80, 0.82, 0.84, 0.86))
    ]
    (loop,) = tune_of("mixture", logs, speeds="3000", knock_limit=4.0).loops
    assert loop.knock_limited is True
    assert loop.modest is not None
    assert loop.modest.value <= 0.841
    assert tune_of("mixture", logs, speeds="3000", knock_limit=20.0).loops[0].knock_limited is False


@pytest.mark.parametrize("limits", ["rich", "0.9", "0.92-0.82", "a-b", "200 to 340", "nan-nan"])
@pytest.mark.parametrize("kind", ["spark", "mixture"])
def test_limits_that_are_none_are_refused(kind: str, limits: str) -> None:
    with pytest.raises(ValueRefused) as refusal:
        tune_of(kind, [], limits=limits)
    assert codes(refusal.value) == ["tune-limits"]


@pytest.mark.parametrize("kind", ["cam", ""])
def test_another_kind_is_refused(kind: str) -> None:
    with pytest.raises(UnknownName) as refusal:
        tune_of(kind, [])
    assert codes(refusal.value) == ["tune-kind"]


@pytest.mark.parametrize(("kind", "by"), [("spark", "jet"), ("mixture", "screw")])
def test_another_way_is_refused(kind: str, by: str) -> None:
    with pytest.raises(UnknownName) as refusal:
        tune_of(kind, [], by=by)
    assert codes(refusal.value) == ["tune-by"]


def test_speeds_that_are_none_are_refused(tmp_path: Path) -> None:
    with pytest.raises(ValueRefused) as refusal:
        tune_of("spark", spark_logs(tmp_path, (25.0, 31.0)), speeds="fast")
    assert codes(refusal.value) == ["speeds"]


def test_knock_before_the_top_holds_the_advance_back(tmp_path: Path) -> None:
    logs = [
        str(
            sweep(
                tmp_path / f"k-{setting}.csv",
                f"10:{number:02d}:00",
                gain=1.0 - 4.8e-4 * (setting - 34.0) ** 2,
                more={"spark advance [deg]": setting, "knock": 9.0 if setting > 28 else 1.0},
            )
        )
        for number, setting in enumerate((22.0, 24.0, 26.0, 28.0, 30.0))
    ]
    (loop,) = tune_of("spark", logs, speeds="3000", knock_limit=4.0).loops
    assert loop.knock_limited is True
    assert loop.modest is not None
    assert loop.modest.value / DEGREE <= 27.6  # 2.5 degrees below where it was heard
    assert loop.next_setting is None or loop.next_setting / DEGREE <= 27.6
    (deaf,) = tune_of("spark", logs, speeds="3000", knock_limit=20.0).loops
    assert deaf.knock_limited is False


def test_the_mean_of_several_lambda_sensors_is_taken(tmp_path: Path) -> None:
    logs = [
        str(
            sweep(
                tmp_path / f"m-{number}.csv",
                f"10:0{number}:00",
                gain=1.0 - 4.0 * (mean - 0.88) ** 2,
                more={"lambda 1": mean - 0.01, "lambda 2": mean + 0.01},
            )
        )
        for number, mean in enumerate((0.82, 0.85, 0.88, 0.91))
    ]
    (loop,) = tune_of("mixture", logs, speeds="3000").loops
    assert loop.points.setting == pytest.approx([0.82, 0.85, 0.88, 0.91])
    assert loop.best is not None
    assert loop.best.value == pytest.approx(0.88, abs=0.01)
    assert any("0.86 to 0.90" in check for check in loop.checks)
    (other,) = tune_of("mixture", logs, speeds="3000", fuel="methanol").loops
    assert not any("0.86 to 0.90" in check for check in other.checks)


def test_the_fuel_comes_from_the_engine_file(tmp_path: Path) -> None:
    engine = write_engine(tmp_path / "engine.toml", fuel="e85")
    log = holds(tmp_path / "steps.csv", "lambda", [0.80, 0.84, 0.88], {3000: 0.84}, 4.0)
    (loop,) = tune_of("mixture", [str(log)], speeds="3000", engine=str(engine)).loops
    assert not any("0.86 to 0.90" in check for check in loop.checks)


def jets_book(kept: Book, folder: Path) -> Path:
    """Three builds that differ in their main jet, best at 69."""
    for number, jet in enumerate((67, 69, 71)):
        keep_sheets(
            kept,
            [
                Sheet("part", f"jets no. 4 of {jet}", {"kind": "jets", "main": f"main {jet}"}),
                Sheet("build", f"jet-{jet}", {"engine": "Mill", "parts": {**PARTS, "jets": f"jets no. 4 of {jet}"}}),
            ],
        )
        gain = 1.0 - 0.0025 * (jet - 69) ** 2
        take_files(kept, [sweep(folder / f"j{jet}.csv", f"10:0{number}:00", gain=gain)], f"jet-{jet}")
    return kept.folder


def test_jets_are_told_by_the_builds_part(kept: Book, tmp_path: Path) -> None:
    folder = jets_book(kept, tmp_path)
    result = tune_of("mixture", ["jet-67", "jet-69", "jet-71"], by="jet", speeds="3000", book=str(folder))
    (loop,) = result.loops
    assert loop.points.setting.tolist() == [67.0, 69.0, 71.0]
    assert loop.best is not None
    assert loop.best.value == pytest.approx(69.0, abs=0.5)
    assert loop.modest is not None
    assert loop.modest.value == pytest.approx(loop.best.value + 1.0)
    assert result.build == "jet-67, jet-69, jet-71"


def test_a_jets_setting_goes_before_the_part(kept: Book, tmp_path: Path) -> None:
    folder = jets_book(kept, tmp_path)
    body = {"engine": "Mill", "parts": PARTS, "settings": {"jets": "no. 70"}}
    keep_sheets(kept, [Sheet("build", "set", body)])
    take_files(kept, [sweep(tmp_path / "set.csv", "11:00:00")], "set")
    (loop,) = tune_of("mixture", ["jet-67", "set"], by="jet", speeds="3000", book=str(folder)).loops
    assert loop.points.setting.tolist() == [67.0, 70.0]


def test_jets_of_log_files_are_not_known(kept: Book, tmp_path: Path) -> None:
    folder = jets_book(kept, tmp_path)
    bare = str(sweep(tmp_path / "bare.csv", "12:00:00"))
    result = tune_of("mixture", ["jet-67", "jet-69", bare], by="jet", speeds="3000", book=str(folder))
    assert "No jet number in bare" in result.findings[0].text


def test_spark_of_the_demos_pulls(demo_result: DemoResult) -> None:
    """The scenario's builder found the engine at its best advance already: three degrees more brought nothing."""
    result = tune_of("spark", ["anvil-log", "anvil-log-spark"], speeds="2800,4000", book=str(demo_result.book))
    for loop in result.loops:
        assert loop.points.setting.size == 5
        assert loop.best is not None
        logged = np.sort(loop.points.setting)
        assert logged[-1] - logged[0] == pytest.approx(3.0 * DEGREE, abs=0.3 * DEGREE)
        assert loop.best.low < logged[-1]
        assert loop.best.high > logged[0]
        assert [finding.code for finding in loop.findings] == ["loop-few-points"]


def test_mixture_of_the_demos_pulls_by_its_jets(demo_result: DemoResult) -> None:
    """Two jets more cost 0.7 %: the best lies below 70."""
    result = tune_of("mixture", ["anvil-log", "anvil-log-jets"], by="jet", speeds="2800", book=str(demo_result.book))
    (loop,) = result.loops
    assert sorted(set(loop.points.setting.tolist())) == [68.0, 70.0]
    assert loop.best is not None
    assert loop.best.value < 69.5


def test_running_in_reads_the_engines_counted_pulls(kept: Book, tmp_path: Path) -> None:
    """A new engine: torque rises by 3 % with 3 pulls' time."""
    more = {"blow-by [L/min]": 40.0, "oil temp [degC]": 95.0}
    for n in range(8):
        gain = 1.0 - 0.03 * math.exp(-n / 3.0)
        build = "plain" if n % 2 else "loose"
        take_files(kept, [sweep(tmp_path / f"p{n}.csv", f"10:{5 * n:02d}:00", gain=gain, more=more)], build)
    kept.mark("p3", "set aside", "fan belt")
    take_files(kept, [sweep(tmp_path / "other.csv", "12:00:00")], "tube")
    result = running_in_of(kept, "Mill")
    assert result.pulls == ("p0", "p1", "p2", "p4", "p5", "p6", "p7", "other")
    assert result.hours.tolist() == [1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 7.0, 8.0]
    assert result.blow_by[0] == pytest.approx(40e-3 / 60.0, rel=1e-6)
    assert math.isnan(result.blow_by[-1])
    assert result.oil_temperature[0] == pytest.approx(368.15)
    assert result.torque[5] / result.torque[0] == pytest.approx((1 - 0.03 * math.exp(-2)) / 0.97, rel=1e-3)
    assert result.trend is not None
    assert result.trend.value > 0.0
    assert result.age == "pulls"
    assert result.blow_by_trend is not None
    assert result.blow_by_trend.value == pytest.approx(0.0, abs=1e-9)
    assert result.oil_trend is not None


def test_hours_of_the_sheets_are_the_ages(kept: Book, tmp_path: Path) -> None:
    for n, hours in enumerate(("0.2 h", "1.5 h", "4 h")):
        keep_sheets(kept, [Sheet("build", f"b{n}", {"engine": "Mill", "parts": PARTS, "hours": hours})])
        take_files(kept, [sweep(tmp_path / f"p{n}.csv", f"1{n}:00:00")], f"b{n}")
    found = running_in_of(kept, "Mill")
    assert found.hours == pytest.approx([0.23, 1.56, 4.09])
    assert found.age == "h"


def test_running_in_of_an_engine_without_pulls_or_of_none(kept: Book) -> None:
    keep_sheets(kept, [Sheet("engine", "Idle", MILL)])
    assert running_in_of(kept, "Idle").pulls == ()
    assert "say nothing" in running_in_of(kept, "Idle").sentence
    with pytest.raises(UnknownName):
        running_in_of(kept, "Nobody")
