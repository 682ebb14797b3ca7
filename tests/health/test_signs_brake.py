"""The brake and its instruments: zero, span, speed pickup, barometer, sweep rate, end of the range."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import numpy as np
import pytest

from fairpull import health
from fairpull.health.brake import beside as beside_words
from fairpull.health.signs import (
    peak_at_end,
    speed_pickup,
    sweep_too_fast,
    torque_span,
    torque_zero,
    wrong_barometer,
)
from fairpull.health.view import View, make_view
from fairpull.terms.arrays import FloatArray
from fairpull.terms.findings import Severity
from fairpull.terms.health import Sign, Unseen
from fairpull.terms.pull import Pull
from tests.health.plain_pull import BAROMETER, HIGH, channels, engine, pull, share, speeds, view

BOTH = (torque_zero.look, torque_span.look)


def steep(seed: int, changed: Mapping[str, FloatArray] | None = None) -> Pull:
    """A sound pull whose torque falls by half along the range: a constant and a share tell apart."""
    table = channels(seed)
    hump = 1.0 + 0.03 * np.sin(12.0 * share(speeds()))
    factor = hump * (1.15 - 0.6 * share(speeds())) / (1.0 - 0.5 * np.square(share(speeds()) - 0.45))
    for name in ("torque", "air_mass_flow", "fuel_mass_flow"):
        table[name] = table[name] * factor
    return pull({**table, **(changed or {})}, seed=seed)


def beside(one: Pull) -> View:
    """The pull beside three sound ones."""
    return view(one, others=tuple(steep(40 + n) for n in range(3)))


def sure(found: object) -> Sign:
    """A sign, or the test fails."""
    assert isinstance(found, Sign)
    return found


@pytest.mark.parametrize("offset", [-5.0, 5.0])
def test_zero_is_told_from_span(offset: float) -> None:
    """Five newton metres at every speed: a zero, of that size, and no span."""
    found = sure(torque_zero.look(beside(steep(1, {"torque": steep(1).channels["torque"] + offset}))))
    assert found.severity == Severity.FAULT
    assert found.size == pytest.approx(offset, abs=0.6)
    assert found.unit == "N m"
    assert torque_span.look(beside(steep(1, {"torque": steep(1).channels["torque"] + offset}))) is None


@pytest.mark.parametrize("share_off", [-0.04, 0.04])
def test_span_is_told_from_zero(share_off: float) -> None:
    """Four percent at every speed: a span, of that size, and no zero."""
    scaled = steep(1, {"torque": (1.0 + share_off) * steep(1).channels["torque"]})
    found = sure(torque_span.look(beside(scaled)))
    assert found.size == pytest.approx(share_off, abs=0.003)
    assert found.severity == Severity.FAULT
    assert torque_zero.look(beside(scaled)) is None


def flat(seed: int, offset: float = 0.0) -> Pull:
    """A sound pull whose torque hardly changes along speed, read with a moved zero."""
    table = channels(seed)
    level = float(np.mean(table["torque"]))
    return pull({"torque": 0.98 * level + 0.02 * table["torque"] + offset}, seed=seed)


def test_on_a_flat_curve_both_are_said_and_the_zero_is_the_fault() -> None:
    """Nothing tells a constant from a share there; a moved zero is the commoner trouble."""
    found = view(flat(1, 4.0), others=tuple(flat(40 + n) for n in range(3)))
    zero, span = sure(torque_zero.look(found)), sure(torque_span.look(found))
    assert zero.severity == Severity.FAULT
    assert span.severity == Severity.WARNING
    assert zero.size == pytest.approx(4.0, abs=0.5)
    assert "would fit" in zero.evidence
    assert "would fit" in span.evidence


def test_air_that_goes_the_other_way_explains_no_torque() -> None:
    """Three percent more torque on 2 % less air and fuel: the brake, all the more."""
    table = steep(1).channels
    moved = {name: 0.98 * table[name] for name in ("air_mass_flow", "fuel_mass_flow")}
    found = beside(steep(1, {**moved, "torque": 1.03 * table["torque"]}))
    assert any(isinstance(look(found), Sign) for look in BOTH)


def test_odds_are_said_in_words() -> None:
    """Twice the log of 9 is 4.4; nobody bets on less than 2 to 1."""
    assert beside_words(0.5) == "about as well"
    assert beside_words(4.394) == "worse, at odds of 9 to one"
    assert beside_words(-2.0) == "better, at odds of 3 to one"


@pytest.mark.parametrize("look", BOTH)
def test_torque_that_air_and_fuel_follow_is_the_engines(look: object) -> None:
    """Four percent more air, fuel and torque: the engine made it."""
    table = steep(1).channels
    more = steep(1, {name: 1.04 * table[name] for name in ("torque", "air_mass_flow", "fuel_mass_flow")})
    assert callable(look)
    assert look(beside(more)) is None


@pytest.mark.parametrize("look", BOTH)
def test_brake_detectors_say_what_they_need(look: object) -> None:
    """No reference, or nothing that tells the air."""
    assert callable(look)
    assert isinstance(look(view(steep(1))), Unseen)
    blind = ("air_mass_flow", "fuel_mass_flow")
    others = tuple(replace(pull(seed=n, without=blind)) for n in (50, 51))
    assert isinstance(look(view(pull(without=blind), others=others)), Unseen)


def test_a_loss_with_the_square_of_speed_is_no_brake() -> None:
    """What grows with flow is a restriction."""
    table = steep(1).channels
    lost = 1.0 - 0.08 * np.square(speeds() / HIGH)
    assert torque_zero.look(beside(steep(1, {"torque": lost * table["torque"]}))) is None
    assert torque_span.look(beside(steep(1, {"torque": lost * table["torque"]}))) is None


@pytest.mark.parametrize("wrong", [-0.03, 0.03])
def test_speed_pickup(wrong: float) -> None:
    """Speed reads 3 % wrong: every channel keeps its value and gets another speed."""
    table = {**steep(1).channels, "rpm": speeds() * (1.0 + wrong)}
    found = sure(speed_pickup.look(beside(steep(1, table))))
    assert found.size == pytest.approx(wrong, abs=0.012)
    assert found.severity == Severity.FAULT
    references = [steep(40 + n) for n in range(3)]
    kinds = {one.kind for one in health.look(steep(1, table), engine=engine(), references=references).signs}
    assert "speed-pickup" in kinds
    assert not kinds & {"torque-zero", "torque-span"}


def test_meters_that_read_wrong_move_no_torque_peak() -> None:
    """Air and fuel 3 % low at the same torque curve: meters, not speed."""
    table = steep(1).channels
    low = {name: 0.97 * table[name] for name in ("air_mass_flow", "fuel_mass_flow")}
    assert speed_pickup.look(beside(steep(1, low))) is None


def test_speed_pickup_says_what_it_needs() -> None:
    """Alone there is nothing to shift against."""
    assert isinstance(speed_pickup.look(view(steep(1))), Unseen)


def corrected(one: Pull, factor: float, others: int = 2) -> View:
    """A pull with its factor beside sound ones with a factor of 1."""
    found = make_view(
        one,
        engine=engine(),
        references=tuple(pull(seed=60 + n) for n in range(others)),
        factor=factor,
        reference_factors=(1.0,) * others,
    )
    assert found is not None
    return found


def test_barometer_that_moved_alone() -> None:
    """The barometer reads 3 % high, manifold pressure and observed torque do not know of it."""
    high = pull({"barometer": np.full(speeds().size, 1.03 * BAROMETER)})
    found = sure(wrong_barometer.look(corrected(high, 1.0 - 1.18 * 0.03)))
    assert found.size == pytest.approx(0.03 * BAROMETER, rel=0.05)
    assert found.severity == Severity.FAULT


def test_weather_that_changed_is_no_wrong_barometer() -> None:
    """Room, manifold, torque and air all 3 % higher; the factor takes it off."""
    table = channels(1)
    rise = {name: 1.03 * table[name] for name in ("barometer", "manifold_pressure", "air_mass_flow", "fuel_mass_flow")}
    rise["torque"] = 1.036 * table["torque"]
    assert wrong_barometer.look(corrected(pull(rise), 1.0 / 1.036)) is None


def test_sea_level_pressure_is_seen_from_the_pull_alone() -> None:
    """At altitude the manifold says 85 kPa and the forecast 101 kPa."""
    table = channels(1)
    high = pull({"barometer": np.full(speeds().size, 101.0e3), "manifold_pressure": 0.85 * table["manifold_pressure"]})
    found = sure(wrong_barometer.look(view(high)))
    assert found.size == pytest.approx(16.0e3, rel=0.05)


def test_barometer_says_what_it_needs() -> None:
    """No barometer, or neither references nor a manifold pressure."""
    assert isinstance(wrong_barometer.look(view(pull(without=("barometer",)))), Unseen)
    assert isinstance(wrong_barometer.look(view(pull(without=("manifold_pressure",)))), Unseen)


def test_sweep_faster_than_practice() -> None:
    """700 rpm/s is a warning with or without references; 590 is not; steps never are."""
    found = sure(sweep_too_fast.look(view(replace(pull(), sweep_rate=700.0))))
    assert found.severity == Severity.WARNING
    assert "700 rpm/s" in found.evidence
    assert sweep_too_fast.look(view(replace(pull(), sweep_rate=590.0))) is None
    assert sweep_too_fast.look(view(pull(kind="steps"))) is None


def test_lag_against_slower_pulls() -> None:
    """At 500 rpm/s torque lies 250 rpm to the right of pulls at 200 rpm/s: half a second of lag."""
    rpm = speeds()
    late = np.interp(rpm - 250.0, rpm, steep(1).channels["torque"])
    others = tuple(steep(40 + n) for n in range(3))
    found = sure(sweep_too_fast.look(view(replace(steep(1, {"torque": late}), sweep_rate=500.0), others=others)))
    assert found.size == pytest.approx(250.0, rel=0.25)
    assert sweep_too_fast.look(view(replace(steep(1), sweep_rate=500.0), others=others)) is None


def test_power_that_still_climbs_is_at_least() -> None:
    """Stopped at 4,000 rpm; the whole pull has passed its peak."""
    found = sure(peak_at_end.look(view(replace(pull(), valid_to=4000.0))))
    assert found.severity == Severity.WARNING
    assert "at least" in found.evidence
    assert found.high == 4000.0
    falling = pull({"torque": channels(1)["torque"] * (1.1 - 0.4 * share(speeds()))})
    assert peak_at_end.look(view(falling)) is None
