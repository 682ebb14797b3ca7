"""Scores of duties of every kind, held against tables and closed forms; untested parts; ties called ties."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest

from fairpull.compare.purpose import cycle_duty, score
from fairpull.terms.arrays import FloatArray
from fairpull.terms.build import Build
from fairpull.terms.comparison import Question
from fairpull.terms.errors import NotComparable, ValueRefused
from fairpull.terms.pull import Curve
from fairpull.terms.purpose import Band, Duty, LoadPoint, Score, Scores
from tests.compare.table_curves import HP, curve, day, engine, sheets

HUT = Duty(
    "hut carrier",
    "bands",
    bands=(Band(1600.0, 2200.0, 0.25), Band(2200.0, 3000.0, 0.45), Band(3000.0, 3800.0, 0.30)),
)
# The table as printed [hp]: three bands, score. Computed by hand from torque rounded to 1 lb-ft, so good to 0.3 hp.
PRINTED = {
    "Anvil A log": (74.9, 110.2, 142.2, 111.0),
    "Anvil A header": (76.4, 113.5, 148.1, 114.6),
    "Anvil B header": (73.2, 112.5, 152.3, 114.6),
    "Wren centrifugal": (68.8, 109.3, 149.7, 111.3),
    "Wren screw": (77.5, 114.0, 142.6, 113.5),
}


def by_name(scores: Scores) -> dict[str, Score]:
    return {one.build: one for one in scores.scores}


def shaped(name: str, torque: Callable[[FloatArray], FloatArray], low: float = 1000.0, high: float = 6000.0) -> Curve:
    rpm = np.arange(low, high + 1.0, 100.0)
    return Curve(name, rpm, torque(rpm), np.full(len(rpm), 0.1), {}, (low, high))


def flat(name: str, torque: float, low: float = 1000.0, high: float = 6000.0) -> Curve:
    return shaped(name, lambda rpm: torque + 0.0 * rpm, low, high)


def power(torque: float, rpm: float) -> float:
    return torque * rpm * math.pi / 30.0


def test_the_table_of_the_hut_carrier() -> None:
    found = by_name(score(HUT, day(), builds=sheets()))
    for name, printed in PRINTED.items():
        seen = [found[name].parts[key].value / HP for key in found[name].parts] + [found[name].value.value / HP]
        assert seen == pytest.approx(printed, abs=0.3), name
        assert list(found[name].parts) == ["1,600 to 2,200 rpm", "2,200 to 3,000 rpm", "3,000 to 3,800 rpm"]
        assert found[name].value.low < found[name].value.value < found[name].value.high


def test_equal_scores_with_unequal_peaks_are_a_tie() -> None:
    result = score(HUT, day(3, scatter=0.001), builds=sheets())
    assert result.ties == (
        ("Anvil B header", "Anvil A header"),
        ("Wren screw",),
        ("Wren centrifugal", "Anvil A log"),
    )
    assert result.sentence.startswith("A tie: Anvil B header and Anvil A header cannot be told apart")
    assert "; Anvil B header leads the next, Wren screw, by 1.0 % (" in result.sentence


def test_a_real_difference_is_not_a_tie() -> None:
    result = score(HUT, day(4, scatter=0.001, only=("Anvil A log", "Anvil A header")), builds=sheets())
    (pair,) = result.differences
    assert (pair.build, pair.other, pair.tie) == ("Anvil A header", "Anvil A log", False)
    assert pair.share.low < 0.032 < pair.share.high  # 114.6 over 111.1
    assert pair.value.value == pytest.approx(3.5 * HP, abs=0.3 * HP)
    assert result.sentence.startswith("Anvil A header is ahead on this duty; it leads the next, Anvil A log, by 3.")


def test_what_is_worth_having_decides_ties_too() -> None:
    groups = day(4, scatter=0.0005, only=("Anvil A log", "Anvil A header"))
    assert len(score(HUT, groups).ties) == 2
    tied = score(Duty("hut", "bands", bands=HUT.bands, smallest=0.05), groups)
    assert tied.ties == (("Anvil A header", "Anvil A log"),)
    assert tied.differences[0].value.low > 0.0  # told apart by the noise, and still too close to matter


def test_differences_are_sharper_than_scores_where_drift_is_shared() -> None:
    result = score(HUT, day(4, scatter=0.002, only=("Anvil A log", "Anvil A header")))
    first, second = (one.value for one in result.scores)
    apart = math.hypot(first.high - first.low, second.high - second.low)
    (pair,) = result.differences
    assert pair.value.high - pair.value.low < 1.1 * apart


def test_intervals_hold_what_they_promise() -> None:
    """Sixty days of three pulls a side with level and tilt errors: the true difference inside the interval."""
    names = ("Anvil A log", "Anvil A header")
    true = score(HUT, day(only=names)).differences[0].value.value
    inside = 0
    for seed in range(60):
        pair = score(HUT, day(3, scatter=0.003, seed=1000 * seed + 7, only=names)).differences[0]
        sign = 1.0 if pair.build == "Anvil A header" else -1.0
        inside += pair.value.low <= sign * true <= pair.value.high
    assert inside >= 53  # 95 % of 60 is 57, less two standard errors


def test_the_same_seed_gives_the_same_digits() -> None:
    groups = day(2, scatter=0.002)
    assert score(HUT, groups, seed=3).scores == score(HUT, groups, seed=3).scores
    assert score(HUT, groups, seed=3).scores != score(HUT, groups, seed=4).scores


def test_torque_bands_and_a_reduction() -> None:
    duty = Duty("pull", "bands", bands=(Band(1000.0, 2000.0, 1.0, "torque"),))
    geared = {"B": Build("B", engine(), "e", gear=2.0, gear_efficiency=0.95)}
    found = by_name(score(duty, [("A", [flat("a", 300.0)]), ("B", [flat("b", 160.0)])], builds=geared))
    assert found["A"].value.value == pytest.approx(300.0)
    assert found["B"].value.value == pytest.approx(160.0 * 2.0 * 0.95)
    assert found["B"].value.unit == "N m"


def test_weights_are_shares_of_their_sum() -> None:
    bands = tuple(Band(one.low, one.high, 4.0 * one.weight) for one in HUT.bands)
    quadruple = score(Duty("hut", "bands", bands=bands), day(), builds=sheets())
    plain = score(HUT, day(), builds=sheets())
    assert [one.value.value for one in quadruple.scores] == pytest.approx([one.value.value for one in plain.scores])
    assert quadruple.choices["weights"] == "add up to 4; taken as shares of that"


def test_an_untested_band_is_named_and_not_ranked() -> None:
    groups = [("short", [curve("Anvil A log", upto=3500.0)]), ("long", [curve("Anvil A header", 2)])]
    result = score(HUT, groups)
    short = by_name(result)["short"]
    assert short.untested == ("band 3,000 to 3,800 rpm: 3,500 to 3,800 rpm",)
    assert math.isnan(short.value.value)
    assert list(short.parts) == ["1,600 to 2,200 rpm", "2,200 to 3,000 rpm"]
    assert result.ties == (("long",),)
    assert result.differences == ()
    assert [finding.code for finding in result.findings] == ["duty-untested"]
    assert result.sentence == "long is the only build ranked on this duty; not tested throughout: short."


def test_a_hole_in_a_pull_is_not_bridged() -> None:
    holed = flat("a", 300.0)
    holed.torque[(holed.rpm > 2000.0) & (holed.rpm < 2600.0)] = np.nan
    found = score(Duty("d", "bands", bands=(Band(1500.0, 3000.0, 1.0),)), [("A", [holed])])
    assert found.scores[0].untested == ("band 1,500 to 3,000 rpm: 2,000 to 2,600 rpm",)


def test_a_shift_band_has_a_closed_form() -> None:
    """Torque in proportion to speed: power over time is c (N2^2 - N1^2) / 2 / ln(N2 / N1), by hand."""
    duty = Duty("drag", "gears", gears=(2.0, 1.0), shift_rpm=5000.0)
    made = score(duty, [("A", [shaped("a", lambda rpm: 0.05 * rpm)])]).scores[0]
    by_hand = 0.05 * (math.pi / 30.0) * (5000.0**2 - 2500.0**2) / 2.0 / math.log(2.0)
    assert made.value.value == pytest.approx(by_hand, rel=1e-5)
    assert list(made.parts) == ["gear 2, 2,500 to 5,000 rpm"]


def test_higher_gears_weigh_by_the_time_spent_in_them() -> None:
    """Constant torque: mean power of a stretch is that at its middle; time goes with width over ratio squared."""
    duty = Duty("drag", "gears", gears=(3.0, 2.0, 1.0), shift_rpm=6000.0)
    made = score(duty, [("A", [flat("a", 300.0)])]).scores[0]
    time = ((6000.0 - 4000.0) / 4.0, (6000.0 - 3000.0) / 1.0)
    parts = (power(300.0, 5000.0), power(300.0, 4500.0))
    assert [one.value for one in made.parts.values()] == pytest.approx(parts)
    assert made.value.value == pytest.approx(np.average(parts, weights=time))


def test_shift_speeds_are_engine_speeds() -> None:
    duty = Duty("drag", "gears", gears=(2.0, 1.0), shift_rpm=5000.0)
    geared = {"A": Build("A", engine(), "e", gear=1.6, gear_efficiency=0.9)}
    plain = score(duty, [("A", [flat("a", 300.0)])]).scores[0]
    behind = score(duty, [("A", [flat("a", 300.0)])], builds=geared).scores[0]
    assert behind.value.value == pytest.approx(0.9 * plain.value.value)


def test_time_at_speed() -> None:
    duty = Duty("yard", "histogram", points=(LoadPoint(2000.0, 0.0, 30.0), LoadPoint(4050.0, 0.0, 10.0)))
    made = score(duty, [("A", [flat("a", 300.0)])]).scores[0]
    assert made.value.value == pytest.approx(0.75 * power(300.0, 2000.0) + 0.25 * power(300.0, 4050.0))
    idle = Duty("yard", "histogram", points=(*duty.points, LoadPoint(800.0, 0.0, 60.0)))
    assert score(idle, [("A", [flat("a", 300.0)])]).scores[0].untested == ("time: 800 rpm",)


def test_a_propeller_line() -> None:
    """Constant torque against a cube through 3600 rpm: margin is (T w / P) (3600 / N)^2 - 1, least at the top."""
    rated = 0.8 * power(300.0, 3600.0)
    duty = Duty("boat", "load line", points=(LoadPoint(3600.0, rated),), exponent=3.0, margin=0.1)
    made = score(duty, [("A", [flat("a", 300.0)])]).scores[0]
    assert made.value.value == pytest.approx(0.25)
    assert made.parts["margin at 1,800 rpm"].value == pytest.approx(4.0)  # half the rated speed, where no end is given
    assert made.parts["speed of least margin"].value == 3600.0
    assert (made.parts["met from"].value, made.parts["met up to"].value) == (1800.0, 3600.0)


def test_where_a_demand_is_met() -> None:
    """A constant power over a rising torque of 0.1 N m per rpm: met from the root of the power, by hand."""
    wanted = 0.1 * 3000.0**2 * math.pi / 30.0
    line = Duty("climb", "load line", points=(LoadPoint(5000.0, wanted), LoadPoint(2000.0, 0.0)), exponent=0.0)
    result = score(line, [("A", [shaped("a", lambda rpm: 0.1 * rpm)])])
    made = result.scores[0]
    assert made.parts["met from"].value == pytest.approx(3000.0, abs=1.0)
    assert made.parts["met from"].low < 3000.0 < made.parts["met from"].high
    assert made.parts["met up to"].value == 5000.0
    assert made.value.value == pytest.approx((2.0 / 3.0) ** 2 - 1.0, rel=1e-3)
    (finding,) = [one for one in result.findings if one.code == "demand-not-met"]
    assert "only over 3,000 to 5,000 rpm, least margin -55.6 %" in finding.text


def test_that_nobody_meets_the_demand_is_said_first() -> None:
    """A power that the builds lack by some 30 and 20 %: the closest is named with its margin, then the lead."""
    wanted = power(300.0, 3000.0) / 0.8
    line = Duty("climb", "load line", points=(LoadPoint(3000.0, wanted), LoadPoint(2990.0, wanted)), margin=0.1)
    groups = [("weak", [flat("a", 270.0)]), ("strong", [flat("b", 300.0)])]
    result = score(line, groups)
    assert result.sentence.startswith(
        "No build meets the demand with 10.0 % left over; closest is strong, least margin -20."
    )
    assert " at 2,990 rpm; it leads the next, weak, by 11" in result.sentence.replace(" at 3,000 rpm", " at 2,990 rpm")
    alone = score(line, groups[:1])
    assert "closest is weak, least margin -28." in alone.sentence
    easy = replace(line, points=(LoadPoint(3000.0, wanted / 2.0), LoadPoint(2990.0, wanted / 2.0)))
    assert score(easy, groups).sentence.startswith("strong is ahead on this duty; ")


def test_a_demand_within_the_interval_is_not_called_unmet() -> None:
    wanted = power(300.0, 3000.0) * 1.0005
    line = Duty("climb", "load line", points=(LoadPoint(3000.0, wanted), LoadPoint(2999.0, wanted * 0.9)))
    result = score(line, [("A", [flat("a", 300.0)])])
    assert result.sentence.startswith("No build is shown to meet the demand; closest is A, least margin -0.")


def test_a_tie_that_lacks_power_is_told_as_both() -> None:
    wanted = power(300.0, 3000.0) / 0.8
    line = Duty("climb", "load line", points=(LoadPoint(3000.0, wanted), LoadPoint(2990.0, wanted)))
    result = score(line, [("A", [flat("a", 300.0)]), ("B", [flat("b", 300.2)])])
    assert "No build meets the demand; closest are " in result.sentence
    assert "which cannot be told apart (" in result.sentence


def test_a_line_by_points_is_met_between_them_too() -> None:
    points = (LoadPoint(2000.0, 20e3), LoadPoint(3000.0, 90e3), LoadPoint(4000.0, 60e3))
    made = score(Duty("pump", "load line", points=points), [("A", [flat("a", 300.0)])]).scores[0]
    assert made.value.value == pytest.approx(power(300.0, 3000.0) / 90e3 - 1.0)
    assert made.parts["speed of least margin"].value == 3000.0
    assert {"margin at 2,000 rpm", "margin at 3,000 rpm", "margin at 4,000 rpm"} <= set(made.parts)


def test_a_line_beyond_the_tested_range_has_parts_and_no_score() -> None:
    line = Duty("boat", "load line", points=(LoadPoint(6500.0, 90e3), LoadPoint(2000.0, 0.0)), exponent=3.0)
    made = score(line, [("A", [flat("a", 300.0)])]).scores[0]
    assert made.untested == ("load line: 6,000 to 6,500 rpm",)
    assert math.isnan(made.value.value)
    assert made.parts["met up to"].value == 6000.0
    assert "margin at 6,500 rpm" not in made.parts


def test_a_cycle_asks_for_its_loaded_points_only() -> None:
    duty = cycle_duty("E4", 5000.0, power(300.0, 5000.0) / 1.2)
    made = score(duty, [("A", [flat("a", 300.0)])]).scores[0]
    assert made.value.value == pytest.approx(0.2)
    assert made.parts["point 4, 2,000 rpm"].value == pytest.approx(1.2 / 0.253 - 1.0)
    assert len(made.parts) == 4
    assert score(duty, [("A", [flat("a", 300.0, low=2500.0)])]).scores[0].untested == ("point 4: 2,000 rpm",)


def test_builds_without_a_common_range_are_scored_apart() -> None:
    groups = [("low", [flat("a", 300.0, 1000.0, 2500.0)]), ("high", [flat("b", 150.0, 3000.0, 6000.0)])]
    geared = {"high": Build("high", engine(), "e", gear=3.0), "low": Build("low", engine(), "e")}
    result = score(Duty("d", "bands", bands=(Band(1200.0, 1900.0, 1.0),)), groups, builds=geared)
    assert all(one.complete for one in result.scores)
    assert "scores-not-paired" in [finding.code for finding in result.findings]
    assert result.scores[0].build == "high"


def test_a_pump_at_one_speed() -> None:
    one = Duty("pump", "load line", points=(LoadPoint(2200.0, 50e3),), margin=0.2)
    made = score(one, [("A", [flat("a", 300.0)])]).scores[0]
    assert made.value.value == pytest.approx(power(300.0, 2200.0) / 50e3 - 1.0)
    assert (made.parts["met from"].value, made.parts["met up to"].value) == (2200.0, 2200.0)


def test_scores_scale_with_torque_and_margins_with_their_base() -> None:
    line = Duty("boat", "load line", points=(LoadPoint(3600.0, 90e3),), exponent=3.0)
    plain = flat("a", 200.0)
    stronger = replace(plain, torque=2.0 * plain.torque, torque_se=2.0 * plain.torque_se)
    for duty, base in ((HUT, 0.0), (line, 1.0)):
        single, double = (score(duty, [("A", [one])]).scores[0].value for one in (plain, stronger))
        assert double.value + base == pytest.approx(2.0 * (single.value + base))
        assert double.low + base == pytest.approx(2.0 * (single.low + base))


def test_the_order_of_pulls_counts_where_no_clock_does() -> None:
    groups = [
        (name, [curve(name, n, scatter=0.004, seed=5) for n in (1, 2)]) for name in ("Anvil A log", "Anvil A header")
    ]
    turns = ["Anvil A log 1", "Anvil A header 1", "Anvil A log 2", "Anvil A header 2"]
    assert score(HUT, groups, order=turns).scores != score(HUT, groups).scores


def test_the_question_is_kept_with_the_choices() -> None:
    asked = score(HUT, day(), question=Question("Does the header pay?"))
    assert asked.choices["question"] == "Does the header pay?"
    assert "question" not in score(HUT, day()).choices


def test_another_day_is_said() -> None:
    night = 24.0 * 60.0
    groups = [
        ("A", [curve("Anvil A log", n, minute=15.0 * n) for n in (1, 2)]),
        ("B", [curve("Anvil A header", n, minute=night + 15.0 * n) for n in (1, 2)]),
    ]
    assert "scores-across-days" in [finding.code for finding in score(HUT, groups).findings]


@pytest.mark.parametrize(
    ("duty", "codes"),
    [
        (Duty("d", "guess"), ["duty-kind"]),
        (Duty("d", "bands"), ["duty-band"]),
        (
            Duty("d", "bands", bands=(Band(3000.0, 2000.0, 0.0),), smallest=0.5),
            ["duty-band", "duty-weight", "smallest"],
        ),
        (Duty("d", "bands", bands=(Band(1, 2, 1), Band(1, 2, 1, "torque"))), ["duty-quantity"]),
        (Duty("d", "histogram", points=(LoadPoint(0.0, 0.0),)), ["duty-point"]),
        (Duty("d", "load line", points=(LoadPoint(2000.0, 0.0),)), ["duty-point"]),
        (
            Duty("d", "load line", points=(LoadPoint(2000, 1), LoadPoint(3000, 1)), exponent=9.0),
            ["duty-exponent", "duty-point"],
        ),
        (Duty("d", "load line", points=(LoadPoint(2000, 1), LoadPoint(2000, 2))), ["duty-point"]),
        (Duty("d", "gears", gears=(1.0,), shift_rpm=None), ["duty-gears", "duty-shift"]),
        (Duty("d", "gears", gears=(1.0, 2.0), shift_rpm=5000.0, margin=-1.0), ["duty-gears", "duty-margin"]),
        (Duty("d", "cycle", points=(LoadPoint(0.0, 0.0),)), ["duty-point"]),
    ],
)
def test_duties_that_cannot_be_scored(duty: Duty, codes: list[str]) -> None:
    with pytest.raises(ValueRefused) as refusal:
        score(duty, day())
    assert [fault.code for fault in refusal.value.faults] == codes


def test_groups_that_cannot_be_scored() -> None:
    bad: list[list[tuple[str, list[Curve]]]] = [[], [("A", [])], [("A", [flat("a", 300.0)]), ("B", [])]]
    for groups in bad:
        with pytest.raises(NotComparable):
            score(HUT, groups)
    with pytest.raises(NotComparable, match="no correction factor"):
        score(HUT, day(), standard="sae-j1349")
