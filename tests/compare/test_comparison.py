"""The comparison as a whole: verdicts, spans, bands, refusals."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from fairpull.compare import compare
from fairpull.terms.arrays import FloatArray
from fairpull.terms.comparison import CANNOT_TELL, DIFFERS, NO_DIFFERENCE, Question
from fairpull.terms.errors import NotComparable, ValueRefused
from tests.compare.days import RPM, START, alternating, base, pull


def three_per_cent(rpm: FloatArray) -> FloatArray:
    return np.full_like(rpm, 0.03)


def tilted(rpm: FloatArray) -> FloatArray:
    return 0.06 * (rpm - 3200.0) / 1400.0


def test_a_plain_gain_is_seen_everywhere_and_measured_right() -> None:
    result = compare(alternating(3, three_per_cent))
    [difference] = result.differences
    assert difference.verdict.kind == DIFFERS
    assert [(span.low, span.high, span.sign) for span in difference.verdict.spans] == [(1800.0, 4600.0, 1)]
    assert difference.mean_ratio.low < 0.03 < difference.mean_ratio.high
    assert difference.mean_ratio.value == pytest.approx(0.03, abs=0.005)
    assert "differs" in difference.verdict.sentence
    assert "3+3 pulls" in difference.verdict.sentence


def test_gain_and_loss_give_one_crossover_between_them() -> None:
    [difference] = compare(alternating(4, tilted)).differences
    assert [span.sign for span in difference.verdict.spans] == [-1, 1]
    [crossover] = difference.crossovers
    assert crossover.low < 3200.0 < crossover.high
    assert crossover.unit == "rpm"
    assert difference.shape.kind == "neither"


def test_no_crossover_inside_noise() -> None:
    [difference] = compare(alternating(2, lambda rpm: tilted(rpm) * 0.02)).differences
    assert difference.crossovers == ()


def test_equal_builds_with_little_noise_show_no_difference_that_matters() -> None:
    result = compare(alternating(6, None, scatter=0.0005), question=Question(smallest=0.02))
    assert result.differences[0].verdict.kind == NO_DIFFERENCE
    assert "no difference that matters" in result.differences[0].verdict.sentence


def test_one_pull_a_side_cannot_tell_and_says_how_many_would() -> None:
    result = compare(alternating(1, lambda rpm: np.full_like(rpm, 0.004)))
    [difference] = result.differences
    assert difference.verdict.kind == CANNOT_TELL
    assert difference.verdict.pulls_needed is not None
    assert difference.verdict.pulls_needed > 1
    assert f"{difference.verdict.pulls_needed} pulls a side" in difference.verdict.sentence
    assert {finding.code for finding in result.findings} >= {"single-pull"}
    assert result.noise.repeats == 0


def test_pulls_needed_does_not_look_at_the_difference_seen() -> None:
    none, large = (
        compare(alternating(3, change, seed=4)).differences[0].verdict.pulls_needed for change in (None, three_per_cent)
    )
    assert none == large


def test_bands_nest_and_widen_with_scatter() -> None:
    quiet, loud = (compare(alternating(3, None, scatter=s, seed=2)).differences[0] for s in (0.002, 0.008))
    assert np.all(quiet.ratio_low <= quiet.point_low)
    assert np.all(quiet.point_high <= quiet.ratio_high)
    assert np.mean(loud.ratio_high - loud.ratio_low) > 1.5 * np.mean(quiet.ratio_high - quiet.ratio_low)


def test_more_pulls_narrow_the_band() -> None:
    def width(pulls: int) -> float:
        days = (compare(alternating(pulls, None, seed=seed)).differences[0] for seed in range(5))
        return float(np.mean([np.mean(day.ratio_high - day.ratio_low) for day in days]))

    one, three, eight = width(1), width(3), width(8)
    assert one > 2.0 * three
    assert three > 1.3 * eight


def test_the_same_seed_gives_the_same_digits() -> None:
    day = alternating(2, three_per_cent)
    first, second = (compare(day, seed=7).differences[0] for _ in range(2))
    assert np.array_equal(first.ratio_low, second.ratio_low)
    assert first.verdict == second.verdict


def test_torque_power_and_ratio_tell_the_same_story() -> None:
    result = compare(alternating(3, three_per_cent))
    [difference] = result.differences
    reference = np.exp(np.mean([np.log(c.torque) for c in result.groups[0].curves], axis=0))
    assert difference.torque == pytest.approx(reference * difference.ratio, rel=1e-12)
    assert difference.power == pytest.approx(difference.torque * difference.rpm * np.pi / 30.0, rel=1e-12)


def test_only_the_common_range_is_compared_but_each_build_keeps_its_own() -> None:
    wide, narrow = RPM, RPM[RPM <= 4000.0]
    groups = [
        ("A", [pull(f"A{i}", 20 * i, rpm=wide, scatter=0.002, seed=i) for i in range(2)]),
        ("B", [pull(f"B{i}", 20 * i + 10, rpm=narrow, scatter=0.002, seed=9 + i) for i in range(2)]),
    ]
    result = compare(groups)
    assert result.differences[0].rpm[-1] == 4000.0
    assert result.groups[0].rpm[-1] == 4600.0
    assert result.groups[1].tested == (1800.0, 4000.0)


def test_a_peak_at_the_end_of_the_range_is_at_least() -> None:
    result = compare(alternating(2, None, rpm=RPM[RPM <= 2600.0]))
    group = result.groups[0]
    assert group.peak_torque.at_least
    assert group.peak_power_rpm.at_least
    inner = compare(alternating(2, None)).groups[0]
    assert not inner.peak_torque.at_least
    assert inner.peak_torque_rpm.value == pytest.approx(3000.0, abs=30.0)
    assert inner.peak_torque.value == pytest.approx(305.0, rel=0.01)


def test_a_declared_band_rules_the_verdict() -> None:
    def late(rpm: FloatArray) -> FloatArray:
        return np.where(rpm > 4000.0, 0.05, 0.0)

    day = alternating(4, late, scatter=0.002)
    assert compare(day).differences[0].verdict.kind == DIFFERS
    low = compare(day, question=Question(band=(1800.0, 3500.0), declared=True))
    assert low.differences[0].verdict.spans == ()
    assert low.band == (1800.0, 3500.0)


def test_factors_correct_torque_and_the_verdict_is_read_under_every_standard() -> None:
    day = alternating(3, None, scatter=0.002)
    factors = {"one": {f"{g}{i}": 1.0 + (0.03 if g == "B" else 0.0) for g in "AB" for i in range(3)}}
    result = compare(day, standard="one", factors=factors)
    [difference] = result.differences
    assert difference.by_standard["one"] == DIFFERS
    assert difference.by_standard["none"] != DIFFERS
    assert difference.depends_on_standard
    assert "standard-decides" in {finding.code for finding in difference.findings}
    assert difference.mean_by_standard["one"] == pytest.approx(
        1.03 * (1.0 + difference.mean_by_standard["none"]) - 1.0, abs=0.002
    )


def test_a_b_a_takes_linear_drift_out() -> None:
    def drifting(name: str, minute: float, gain: float, seed: int) -> object:
        curve = pull(name, minute, scatter=0.0008, seed=seed)
        return replace(curve, torque=curve.torque * (1.0 + gain) * (1.0 + 0.00004 * minute))

    minutes = [0, 15, 30, 75, 90, 105, 150, 165, 180]
    build = "AAABBBAAA"
    order = enumerate(zip(build, minutes, strict=True))
    pulls = [drifting(f"{letter}{minute}", minute, 0.02 if letter == "B" else 0.0, i) for i, (letter, minute) in order]
    groups = [(b, [p for p, c in zip(pulls, build, strict=True) if c == b]) for b in "AB"]
    [difference] = compare(groups).differences  # type: ignore[arg-type]
    assert difference.verdict.kind == DIFFERS
    assert difference.mean_ratio.low < 0.02 < difference.mean_ratio.high


def test_builds_on_different_days_are_confounded() -> None:
    groups = [
        ("A", [pull(f"A{i}", 15 * i, scatter=0.002, seed=i) for i in range(3)]),
        ("B", [pull(f"B{i}", 1440 + 15 * i, scatter=0.002, seed=9 + i) for i in range(3)]),
    ]
    result = compare(groups)
    verdict = result.differences[0].verdict
    assert verdict.confounded
    assert verdict.pulls_needed is None
    assert "confounded-with-day" in {finding.code for finding in result.differences[0].findings}
    same_day = compare([groups[0], ("B", [replace(c, started_at=c.started_at - 81000) for c in groups[1][1]])])  # type: ignore[operator]
    widths = [float(np.mean(d.ratio_high - d.ratio_low)) for d in (result.differences[0], same_day.differences[0])]
    assert widths[0] > 1.5 * widths[1]


def test_a_b_without_return_is_said() -> None:
    groups = [
        ("A", [pull(f"A{i}", 15 * i, scatter=0.002, seed=i) for i in range(2)]),
        ("B", [pull(f"B{i}", 60 + 15 * i, scatter=0.002, seed=9 + i) for i in range(2)]),
    ]
    codes = {finding.code for finding in compare(groups).differences[0].findings}
    assert "no-return-to-reference" in codes


def test_looks_widen_the_band_and_a_single_planned_look_does_not() -> None:
    day = alternating(3, None, seed=5)
    one = compare(day).differences[0]
    planned = compare(day, look=1, planned_looks=1).differences[0]
    third = compare(day, look=3).differences[0]
    assert planned.ratio_low == pytest.approx(one.ratio_low)
    assert np.mean(third.ratio_high - third.ratio_low) > 1.1 * np.mean(one.ratio_high - one.ratio_low)
    assert third.verdict.level == pytest.approx(1.0 - 0.05 / 12.0)


def test_several_builds_share_one_error_allowance() -> None:
    day = alternating(3, None, seed=6)
    third = ("C", [pull(f"C{i}", 100 + 15 * i, scatter=0.003, seed=70 + i) for i in range(3)])
    two = compare(day).differences[0]
    result = compare([*day, third])
    assert [d.other for d in result.differences] == ["B", "C"]
    assert result.noise.repeats == 6
    assert np.isfinite(result.differences[0].ratio_low).all()
    assert two.reference == "A"


def test_pulls_without_clock_go_by_their_order_and_say_so() -> None:
    groups = [
        ("A", [pull("A0", None, seed=1), pull("A1", None, seed=2)]),
        ("B", [pull("B0", None, seed=3), pull("B1", None, seed=4)]),
    ]
    result = compare(groups, order=["A0", "B0", "A1", "B1"])
    assert [row.pull for row in result.pulls] == ["A0", "B0", "A1", "B1"]
    assert "no-clock" in {finding.code for finding in result.findings}


@pytest.mark.parametrize(
    ("groups", "code"),
    [
        ([("A", [pull("A0", 0)])], "one-group"),
        ([("A", [pull("A0", 0)]), ("B", [])], "empty-group"),
        ([("A", [pull("x", 0)]), ("B", [pull("x", 9)])], "same-pull-twice"),
        ([("A", [pull("a", 0, rpm=RPM[:8])]), ("B", [pull("b", 9, rpm=RPM[-8:])])], "no-common-range"),
    ],
)
def test_what_cannot_be_compared_is_refused_with_its_reason(groups: list[object], code: str) -> None:
    with pytest.raises(NotComparable) as refusal:
        compare(groups)  # type: ignore[arg-type]
    assert code in {fault.code for fault in refusal.value.faults}
    assert all(fault.remedy for fault in refusal.value.faults)


def test_a_band_outside_the_tested_range_is_refused() -> None:
    with pytest.raises(NotComparable, match="band-untested"):
        compare(alternating(2, None), question=Question(band=(5000.0, 6000.0)))


def test_a_standard_without_factors_is_refused_with_the_pulls_named() -> None:
    with pytest.raises(NotComparable, match=r"A0.*no correction factor under sae-j1349"):
        compare(alternating(1, None), standard="sae-j1349")


def test_a_look_beyond_the_plan_is_refused() -> None:
    with pytest.raises(ValueRefused, match="look-out-of-plan"):
        compare(alternating(1, None), look=4, planned_looks=3)


def test_an_incomplete_order_is_refused() -> None:
    with pytest.raises(NotComparable, match="order-incomplete"):
        compare(alternating(1, None), order=["A0"])


def test_a_session_over_midnight_is_one_day() -> None:
    midnight = START - START % 86400.0
    day = alternating(3, three_per_cent)
    shifted = [(n, [replace(c, started_at=c.started_at - START + midnight - 2700.0) for c in m]) for n, m in day]  # type: ignore[operator]
    assert compare(shifted).differences[0].verdict.sentence == compare(day).differences[0].verdict.sentence


def test_the_clock_sorts_the_pulls() -> None:
    groups = [("A", [pull("late", 60, seed=1), pull("early", 0, seed=2)]), ("B", [pull("middle", 30, seed=3)])]
    result = compare(groups)
    assert [row.pull for row in result.pulls] == ["early", "middle", "late"]
    assert result.pulls[0].started_at == START


def test_base_curve_is_what_the_tests_think() -> None:
    assert base(np.array([3000.0]))[0] == 305.0
