"""Fair views: right where the answer is known, refused with a reason where it cannot be had, the plain one beside."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from typing import Any

import numpy as np
import pytest

from fairpull import engine as machine
from fairpull.compare.fairness import boost_facts, fair_looks
from fairpull.compare.fairness.boosted import PSI, gain_per_pressure, of_simple_estimate
from fairpull.compare.fairness.charge import compressor_outlet_temperature
from fairpull.compare.fairness.equal_boost import equal_places
from fairpull.compare.fairness.gearing import output_rpm, output_torque
from fairpull.compare.fairness.piston_speed import common_speeds
from fairpull.compare.fairness.sides import opposite_ends
from fairpull.compare.fairness.wording import more_or_less, stretches, where_of
from fairpull.terms.comparison import Comparison, Estimate, FairView
from fairpull.terms.findings import Finding
from fairpull.terms.ledger import FairLook, RunFacts
from fairpull.terms.recording import Conditions
from tests.compare import fair_days as days
from tests.compare.fair_days import Run, build, compressor, engine, facts

RISING = np.linspace(20_000.0, 60_000.0, len(days.SPEEDS))
FLAT = 40_000.0
HOT = 340.0


def look(name: str, looks: tuple[FairLook, ...]) -> FairLook:
    (found,) = [one for one in looks if one.name == name]
    return found


def blown(name: str, minute: float, boost: float | np.ndarray, charge: float | None = HOT, **fields: Any) -> RunFacts:
    channels: dict[str, float | np.ndarray] = {"boost": boost}
    if charge is not None:
        channels["charge_temperature_after_cooler"] = charge
    change = float(str(fields.pop("change", 0.0)))
    sheet = build(name, engine("belt"), **fields)
    return facts(sheet, Run((minute, minute + 20.0), channels=channels, change=change))


@cache
def boosted_pair() -> tuple[RunFacts, RunFacts, Comparison]:
    one = blown("centrifugal", 0.0, RISING)
    two = blown("screw", 60.0, FLAT, change=0.05)
    return one, two, days.comparison((one, two))


def fair(
    one: RunFacts, two: RunFacts, plain: Comparison | None = None
) -> tuple[tuple[FairLook, ...], tuple[Finding, ...]]:
    return fair_looks(one, two, plain if plain is not None else days.comparison((one, two)))


def test_equal_boost_is_looked_at_only_where_both_made_it() -> None:
    looks, _ = fair(*boosted_pair())
    equal = look("at equal boost", looks)
    assert equal.x.tolist() == [3200.0, 3300.0, 3400.0]  # 40 kPa at 3,300 rpm, within 1.4 kPa of it 100 rpm away
    assert equal.held is not None
    assert equal.held.value == pytest.approx(40_000.0, rel=0.01)
    assert equal.mean is not None
    assert equal.mean.value == pytest.approx(0.05, abs=0.002)
    assert np.array_equal(equal.ratio, equal.plain)
    assert "3,200 to 3,400 rpm, the only place" in equal.sentence
    assert "at 4,800 rpm goes with 12.5 % less pressure" in equal.sentence  # (100 + 40) / (100 + 60)


@pytest.mark.parametrize(
    ("reference", "other", "places"),
    [
        ([1.0, 2.0, 3.0, 4.0], [4.0, 3.0, 2.0, 1.0], [2500.0]),
        ([1.0, 2.0, 3.0, 4.0], [2.0, 3.0, 4.0, 5.0], []),
        ([1.0, 2.0, 3.0, 4.0], [1.1, 3.0, 4.0, 3.9], [1000.0, 4000.0]),
        ([1.0, 1.0, 1.0, 1.0], [1.0, 1.0, 1.0, 1.0], [1000.0, 2000.0, 3000.0, 4000.0]),
        ([1.0, 2.0, 3.0, np.nan], [0.0, 1.0, 2.0, 9.0], []),
    ],
)
def test_equal_places(reference: list[float], other: list[float], places: list[float]) -> None:
    rpm = np.array([1000.0, 2000.0, 3000.0, 4000.0])
    assert equal_places(rpm, np.array(reference), np.array(other), 0.2).tolist() == places


def test_boost_that_was_never_equal_is_no_view() -> None:
    looks, missing = fair(blown("one", 0.0, 20_000.0), blown("two", 60.0, 50_000.0))
    assert "at equal boost" not in [one.name for one in looks]
    (found,) = [one for one in missing if one.where == "at equal boost"]
    assert found.code == "fair-look-missing"
    assert "nowhere within 1.4 kPa" in found.text


def test_equal_boost_all_along_says_so() -> None:
    looks, _ = fair(blown("one", 0.0, FLAT), blown("two", 60.0, FLAT, change=0.03))
    assert look("at equal boost", looks).sentence.startswith("Both made the same boost all along: two makes 3.0 % more")


def test_boost_without_a_log_cannot_be_looked_at() -> None:
    bare = facts(build("two", engine("belt")), Run((60.0, 80.0)))
    _, missing = fair(blown("one", 0.0, FLAT), bare)
    assert {one.where for one in missing} >= {"at equal boost", "per density ratio"}
    assert "no boost was logged" in missing[0].text


def test_per_density_ratio_moves_ratio_and_band_alike() -> None:
    natural = facts(build("natural"), Run((0.0, 20.0)))
    two = blown("blown", 60.0, FLAT, change=0.25)
    plain = days.comparison((natural, two))
    found = look("per density ratio", fair(natural, two, plain)[0])
    scale = 1.4 * 295.0 / HOT  # barometer 100 kPa, inlet air 295 K
    assert found.ratio == pytest.approx((1.0 + found.plain) / scale - 1.0, abs=1e-9)
    band = plain.differences[0]
    assert found.ratio_low == pytest.approx((1.0 + band.ratio_low) / scale - 1.0)
    assert found.ratio_high == pytest.approx((1.0 + band.ratio_high) / scale - 1.0)
    assert found.mean is not None
    assert found.mean.value == pytest.approx(1.25 / scale - 1.0, abs=0.003)
    assert found.other / found.reference == pytest.approx(1.25 / scale, rel=0.003)
    assert "measured charge temperature" in found.assumption


def test_declared_efficiency_stands_in_for_a_charge_temperature() -> None:
    natural = facts(build("natural"), Run((0.0, 20.0)))
    two = blown("blown", 60.0, FLAT, None, change=0.25, parts=compressor(efficiency=0.60))
    found = look("per density ratio", fair(natural, two)[0])
    charge = float(compressor_outlet_temperature(295.0, 1.4, 0.60))
    assert found.ratio == pytest.approx((1.0 + found.plain) * charge / 295.0 / 1.4 - 1.0, abs=1e-9)
    assert "declared compressor efficiency of 60%" in found.assumption


def test_efficiency_is_read_from_the_points_of_the_sheet() -> None:
    natural = facts(build("natural"), Run((0.0, 20.0)))
    points = ((0.05, 1.2, 0.50, 9e3), (0.10, 1.2, 0.60, 9e3), (0.10, 1.6, 0.75, 1e4))
    two = blown("blown", 60.0, FLAT, None, change=0.25, parts=compressor(points=points))
    found = look("per density ratio", fair(natural, two)[0])
    charge = float(compressor_outlet_temperature(295.0, 1.4, 0.65))  # between 0.55 at 1.2 and 0.75 at 1.6
    assert found.ratio == pytest.approx((1.0 + found.plain) * charge / 295.0 / 1.4 - 1.0, abs=1e-9)


def test_bands_from_groups_are_taken_at_opposite_ends() -> None:
    reference = (np.array([100.0]), np.array([95.0]), np.array([105.0]))
    other = (np.array([110.0]), np.array([106.0]), np.array([114.0]))
    ratio, low, high = opposite_ends(reference, other)
    assert (ratio[0], low[0], high[0]) == pytest.approx((0.10, 106.0 / 105.0 - 1.0, 114.0 / 95.0 - 1.0))


def test_a_declared_inlet_loss_raises_the_pressure_ratio() -> None:
    natural = facts(build("natural"), Run((0.0, 20.0)))
    two = blown("blown", 60.0, FLAT, change=0.25, parts=compressor(inlet_loss=4000.0))
    found = look("per density ratio", fair(natural, two)[0])
    assert (1.0 + found.plain) / (1.0 + found.ratio) == pytest.approx(140.0 / 96.0 * 295.0 / HOT)
    assert "declared inlet loss taken off" in found.assumption


@pytest.mark.parametrize(
    ("parts", "words"),
    [
        ({}, "declare the compressor's efficiency"),
        ({**compressor(efficiency=0.6), "cooler": compressor()["compressor"]}, "log the charge into the manifold."),
    ],
)
def test_density_without_charge_temperature_is_refused(parts: dict[str, object], words: str) -> None:
    natural = facts(build("natural"), Run((0.0, 20.0)))
    looks, missing = fair(natural, blown("blown", 60.0, FLAT, None, parts=parts))
    assert "per density ratio" not in [one.name for one in looks]
    (found,) = [one for one in missing if one.where == "per density ratio"]
    assert "no charge temperature was logged" in found.text
    assert words in found.remedy


def test_density_of_an_engine_of_another_size_is_not_shown() -> None:
    small = replace(engine("belt"), bore=0.06)
    one, two = (
        facts(build("natural"), Run((0.0, 20.0))),
        facts(build("small", small), Run((60.0, 80.0), channels={"boost": FLAT})),
    )
    plain = days.comparison((one, two))
    looks, missing = fair(one, two, plain)
    assert "per density ratio" not in [one.name for one in looks] + [one.where for one in missing]
    assert boost_facts(two, one, plain) is None


def test_equal_piston_speed_compares_bmep() -> None:
    long_stroke = build("long")
    short = replace(engine(), stroke=long_stroke.engine.stroke / 1.25)
    rpm = days.SPEEDS * 1.25
    # torque falls with displacement: equal BMEP at equal mean piston speed
    run = Run((60.0, 80.0), rpm=rpm, torque=days.hump(days.SPEEDS) / 1.25)
    looks, _ = fair(facts(long_stroke, Run((0.0, 20.0))), facts(build("short", short), run))
    found = look("at equal mean piston speed", looks)
    assert (found.axis, found.quantity, found.unit) == ("mean piston speed", "bmep", "Pa")
    assert found.ratio == pytest.approx(0.0, abs=0.003)
    assert (found.ratio_low < 0.0).all()
    assert (found.ratio_high > 0.0).all()
    assert found.mean is not None
    assert "cannot be told apart in BMEP" in found.sentence
    at = int(np.argmin(np.abs(found.x - machine.mean_piston_speed(long_stroke.engine.stroke, 3000.0))))
    expected = machine.bmep(305.0, machine.displacement_of(long_stroke.engine))
    assert found.reference[at] == pytest.approx(float(expected), rel=0.01)
    assert np.isnan(found.plain[0])  # the short stroke was not tested there at equal rpm
    assert np.isfinite(found.plain[-1])
    assert "in torque at equal rpm" in found.sentence


def test_the_comparisons_own_view_of_piston_speed_is_used_where_there_is_one() -> None:
    one = facts(build("long"), Run((0.0, 20.0)))
    two = facts(build("short", replace(engine(), stroke=0.08)), Run((60.0, 80.0)))
    plain = days.comparison((one, two))
    own = replace(plain.differences[0], ratio=np.full(len(plain.differences[0].rpm), 0.123))
    view = FairView("bmep at equal mean piston speed", "rpm of the reference at equal mean piston speed", (own,), ())
    found = look("at equal mean piston speed", fair(one, two, replace(plain, views=(view,)))[0])
    assert found.ratio == pytest.approx(0.123)
    assert "own view" in found.band


def test_an_unknown_stroke_is_a_reason() -> None:
    sized = replace(engine(), stroke=float("nan"), bore=float("nan"), displacement=0.002)
    _, missing = fair(facts(build("one"), Run((0.0, 20.0))), facts(build("two", sized), Run((60.0, 80.0))))
    (found,) = [one for one in missing if one.where == "at equal mean piston speed"]
    assert "displacement without stroke" in found.text


@pytest.mark.parametrize(
    ("reference", "other", "count"),
    [((0.9, 2.1), (1.0, 3.0), 6), ((1.0, 2.0), (3.0, 4.0), 0), ((1.0, 2.0), (2.0, 3.0), 1)],
)
def test_common_speeds_are_round_and_inside(
    reference: tuple[float, float], other: tuple[float, float], count: int
) -> None:
    found = common_speeds(reference, other, 0.2)
    assert len(found) == count
    assert ((found >= max(reference[0], other[0]) - 1e-9) & (found <= min(reference[1], other[1]) + 1e-9)).all()


def test_gearing_of_the_demonstration() -> None:
    # the half-size engine at 4,000 rpm through 1.6:1 at 98.5 %: 2,500 rpm and 137 x 1.6 x 0.985 = 215.9 lb-ft
    assert output_rpm(4000.0, 1.6) == 2500.0
    assert round(float(output_torque(137.0, 1.6, 0.985)), 1) == 215.9


def test_through_gearing_power_keeps_but_for_the_loss() -> None:
    geared = build("geared", gear=1.6, gear_efficiency=0.985)
    rpm = days.SPEEDS * 1.6
    one, two = (
        facts(build("plain"), Run((0.0, 20.0))),
        facts(geared, Run((60.0, 80.0), rpm=rpm, torque=days.hump(days.SPEEDS) / 1.6)),
    )
    found = look("through each build's own gearing", fair(one, two)[0])
    assert found.axis == "output shaft rpm"
    assert found.ratio == pytest.approx(-0.015, abs=0.003)
    assert found.x[0] >= 1800.0
    assert found.x[-1] <= 4800.0
    assert "geared 1.6:1 at 98.5 %" in found.assumption
    assert (found.ratio_low <= found.ratio).all()
    assert (found.ratio <= found.ratio_high).all()


def test_gears_that_never_meet_are_a_reason() -> None:
    one, two = facts(build("plain"), Run((0.0, 20.0))), facts(build("geared", gear=4.0), Run((60.0, 80.0)))
    (found,) = [one for one in fair(one, two)[1] if one.where == "through each build's own gearing"]
    assert "output speeds do not meet" in found.text


def _burning(name: str, minute: float, flow: float, **fields: Any) -> RunFacts:
    fuel = fields.pop("fuel", days.PETROL)
    change = float(str(fields.pop("change", 0.0)))
    run = Run((minute, minute + 20.0), channels={"fuel_mass_flow": flow}, change=change)
    return facts(build(name, engine(fuel=fuel)), run, **fields)


def test_fuel_energy_by_hand() -> None:
    # 305 N m at 3,000 rpm on 7.2 g/s of 43.5 MJ/kg: 95.82 kW of 313.2 kW
    one, two = _burning("one", 0.0, 0.0072), _burning("two", 60.0, 0.0072 * 1.1, change=0.05)
    found = look("per fuel energy", fair(one, two)[0])
    at = int(np.flatnonzero(found.x == 3000.0)[0])
    assert found.reference[at] == pytest.approx(0.3059, abs=0.0005)
    assert found.ratio == pytest.approx(1.05 / 1.1 - 1.0, abs=1e-3)
    assert found.plain == pytest.approx(0.05, abs=0.003)


def test_unlike_fuels_stand_by_their_heating_value_and_corrections_do_not_enter() -> None:
    one = _burning("one", 0.0, 0.0072, factor=1.02)
    two = _burning("two", 60.0, 0.0072 * 43.5 / 29.2, fuel=days.E85, factor=1.05)
    found = look("per fuel energy", fair(one, two)[0])
    assert found.ratio == pytest.approx(0.0, abs=1e-6)
    assert "regular 43.5 MJ/kg; e85 29.2 MJ/kg" in found.assumption


def test_fuel_by_volume_takes_the_fuels_density() -> None:
    run = Run((60.0, 80.0), channels={"fuel_volume_flow": 0.0072 / 745.0})
    two = facts(build("two"), run)
    assert look("per fuel energy", fair(_burning("one", 0.0, 0.0072), two)[0]).ratio == pytest.approx(0.0, abs=1e-6)


@pytest.mark.parametrize(
    ("two", "words"),
    [
        (facts(build("two"), Run((60.0, 80.0))), "no fuel flow was logged"),
        (_burning("two", 60.0, 0.007, fuel=None), "heating value of its fuel is not known"),
    ],
)
def test_fuel_energy_that_cannot_be_had(two: RunFacts, words: str) -> None:
    looks, missing = fair(_burning("one", 0.0, 0.0072), two)
    assert looks == ()
    assert words in missing[0].text


def test_like_builds_without_channels_need_no_fair_view() -> None:
    assert fair(facts(build("one"), Run((0.0, 20.0))), facts(build("two"), Run((60.0, 80.0)))) == ((), ())


def test_builds_of_another_comparison_are_refused_in_words() -> None:
    one, _, plain = boosted_pair()
    looks, missing = fair_looks(one, facts(build("stranger"), Run((0.0, 20.0))), plain)
    assert looks == ()
    assert "stranger: the comparison holds none of its pulls" in missing[0].text
    assert boost_facts(one, facts(build("stranger"), Run((0.0, 20.0))), plain) is None


def test_two_builds_that_the_comparison_judged_against_a_third() -> None:
    natural = facts(build("natural"), Run((0.0, 30.0)))
    one, two = blown("centrifugal", 60.0, RISING), blown("screw", 120.0, FLAT, change=0.05)
    plain = days.comparison((natural, one, two))
    found = look("at equal boost", fair_looks(one, two, plain)[0])
    assert found.mean is not None
    assert found.mean.value == pytest.approx(0.05, abs=0.003)
    assert found.mean.low < 0.05 < found.mean.high
    assert "opposite ends" in found.band


def test_every_view_names_its_assumption_and_keeps_the_plain_one() -> None:
    looks, _ = fair(*boosted_pair())
    assert len(looks) >= 2
    for one in looks:
        assert one.assumption.endswith(".")
        assert one.sentence.endswith(".")
        assert one.band
        assert len({len(one.x), len(one.reference), len(one.other), len(one.ratio), len(one.plain)}) == 1
        assert (one.ratio_low <= one.ratio).all()
        assert (one.ratio <= one.ratio_high).all()


def test_boost_facts_do_not_care_which_is_named_first() -> None:
    natural = facts(build("natural"), Run((0.0, 20.0)))
    two = blown("blown", 60.0, RISING, change=0.3)
    plain = days.comparison((two, natural))
    there, back = boost_facts(two, natural, plain), boost_facts(natural, two, days.comparison((natural, two)))
    assert there is not None
    assert back is not None
    assert (there.boosted, there.natural) == ("blown", "natural")
    assert there.gain == pytest.approx(back.gain, abs=2e-3)
    assert there.gain == pytest.approx(0.3, abs=0.01)
    assert there.pressure_ratio == pytest.approx(1.0 + there.boost / 100_000.0)
    assert there.density_ratio == pytest.approx(there.pressure_ratio * 295.0 / HOT)
    assert there.expected_simple == (0.75, 0.87)
    assert there.expected_per_pressure == pytest.approx((0.05 / PSI, 0.06 / PSI))
    assert "common practice" in there.text


def test_the_gain_and_the_gain_per_boost_have_the_plain_differences_band() -> None:
    """Turned where the boosted build is the reference: low and high change places."""
    natural = facts(build("natural"), Run((0.0, 20.0)))
    two = blown("blown", 60.0, RISING, change=0.3)
    for first, second in ((natural, two), (two, natural)):
        plain = days.comparison((first, second))
        found, judged = boost_facts(two, natural, plain), plain.differences[0]
        assert found is not None
        assert (found.gain_low < found.gain).all()
        assert (found.gain < found.gain_high).all()
        low, high = judged.ratio_low, judged.ratio_high
        turned = (low, high) if first is natural else (1.0 / (1.0 + high) - 1.0, 1.0 / (1.0 + low) - 1.0)
        assert found.gain_low == pytest.approx(turned[0])
        assert found.gain_high == pytest.approx(turned[1])
        assert found.per_pressure_high == pytest.approx(gain_per_pressure(found.gain_high, found.boost), nan_ok=True)
        assert found.per_pressure_low == pytest.approx(gain_per_pressure(found.gain_low, found.boost), nan_ok=True)
        assert found.band.startswith("the simultaneous 95 % band of the plain difference")
        top = int(np.argmax(found.pressure_ratio))
        ends = f"({100 * found.gain_low[top]:+.1f} to {100 * found.gain_high[top]:+.1f} %) over natural"
        assert ends in found.text


def test_one_page_has_one_plain_number() -> None:
    """The sentence takes the verdict's band average; where nothing was judged between the two it says what it is."""
    natural = facts(build("natural"), Run((0.0, 20.0)))
    two = blown("blown", 60.0, RISING, change=0.3)
    plain = days.comparison((natural, two))
    own = replace(plain.differences[0].mean_ratio, value=0.2871)
    marked = replace(plain, differences=(replace(plain.differences[0], mean_ratio=own),))
    found = look("per density ratio", fair(natural, two, marked)[0])
    assert "; the verdict's plain +28.7 % goes with a charge" in found.sentence
    assert ", averaged over rpm; " in found.sentence
    bare = look("per density ratio", fair(natural, two, replace(plain, differences=()))[0])
    assert f"; the plain {100 * np.nanmean(bare.plain):+.1f} %, averaged over rpm, goes with" in bare.sentence


def test_equal_boost_all_along_is_the_verdicts_own_number() -> None:
    one, two, plain = boosted_pair()
    found = look("at equal boost", fair(one, two, plain)[0])
    judged = plain.differences[0]
    if found.sentence.startswith("Both made the same boost all along"):
        assert found.mean == judged.mean_ratio
    flat = [blown(name, start, FLAT, change=change) for name, start, change in (("one", 0.0, 0.0), ("two", 60.0, 0.05))]
    made = days.comparison((flat[0], flat[1]))
    along = look("at equal boost", fair(flat[0], flat[1], made)[0])
    assert along.sentence.startswith("Both made the same boost all along")
    assert along.mean == made.differences[0].mean_ratio


def test_boost_facts_without_charge_temperature_say_so() -> None:
    natural = facts(build("natural"), Run((0.0, 20.0)))
    two = blown("blown", 60.0, RISING, None, change=0.3)
    found = boost_facts(two, natural, days.comparison((natural, two)))
    assert found is not None
    assert np.isnan(found.density_ratio).all()
    assert [one.code for one in found.findings] == ["fair-look-missing"]


def test_expectations_follow_drive_and_cooler() -> None:
    natural = facts(build("natural"), Run((0.0, 20.0)))
    parts = {**compressor(), "cooler": compressor()["compressor"]}
    two = blown("blown", 60.0, RISING, change=0.3, parts=parts)  # "invented screw" on the sheet
    found = boost_facts(two, natural, days.comparison((natural, two)))
    assert found is not None
    assert found.expected_simple == (0.80, 0.90)


def test_no_boost_facts_between_two_boosted_builds() -> None:
    one, two, plain = boosted_pair()
    assert boost_facts(one, two, plain) is None


def test_boost_without_a_barometer() -> None:
    natural = facts(build("natural"), Run((0.0, 20.0), air=Conditions()))
    two = facts(build("blown", engine("belt")), Run((60.0, 80.0), air=Conditions(), channels={"boost": FLAT}))
    found = boost_facts(two, natural, days.comparison((natural, two), standard="none"))
    assert found is not None
    assert "no pressure ratio is known" in found.text
    assert np.isfinite(found.per_pressure).all()


def test_gain_for_each_unit_of_no_boost_says_nothing() -> None:
    found = gain_per_pressure(np.array([0.1, 0.1]), np.array([100.0, 20_000.0]))
    assert np.isnan(found[0])
    assert found[1] == pytest.approx(5e-6)
    assert of_simple_estimate(np.array([0.36]), np.array([1.6]))[0] == pytest.approx(0.85)


@pytest.mark.parametrize(
    ("low", "high", "words"),
    [
        (0.01, 0.05, "new makes 3.0 % more torque than old (1.0 to 5.0 %)"),
        (-0.05, -0.01, "new makes 3.0 % less torque than old (1.0 to 5.0 %)"),
        (-0.01, 0.07, "new and old cannot be told apart in torque: +3.0 % (-1.0 to 7.0 %)"),
    ],
)
def test_more_or_less(low: float, high: float, words: str) -> None:
    value = -0.03 if high < 0 else 0.03
    assert more_or_less(("old", "new"), Estimate(value, low, high, "1")) == words


def test_stretches_in_words() -> None:
    x = np.array([1000.0, 1100.0, 1200.0, 2000.0, 3000.0, 3030.0])
    runs = stretches(x, 150.0)
    assert runs == ((1000.0, 1200.0), (2000.0, 2000.0), (3000.0, 3030.0))
    assert where_of(runs) == "1,000 to 1,200, 2,000 and about 3,020 rpm"
    assert stretches(np.empty(0), 1.0) == ()
