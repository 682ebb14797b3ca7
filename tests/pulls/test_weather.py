"""The air of a pull: logged, given, assumed, unknown, moving."""

from __future__ import annotations

from dataclasses import astuple

import numpy as np
import pytest

from fairpull.air import air_from
from fairpull.pulls import air_of, conditions_of, curve
from fairpull.terms.arrays import FloatArray
from fairpull.terms.pull import Air, Pull
from fairpull.terms.recording import Conditions
from tests.pulls.rig import ORIGIN, truth

RPM = np.linspace(2000.0, 6000.0, 1000)


def logged(given: Conditions | None = None) -> Pull:
    return pull(given, barometer=98000.0, inlet_temperature=303.0, relative_humidity=0.4)


def same(air: Air | None, expected: Air) -> bool:
    return air is not None and astuple(air) == pytest.approx(astuple(expected), rel=1e-12)


def pull(given: Conditions | None = None, /, **channels: float | FloatArray) -> Pull:
    values = {name: np.broadcast_to(value, RPM.size).copy() for name, value in channels.items()}
    return Pull(
        name="made",
        origin=ORIGIN,
        kind="sweep",
        channels={"rpm": RPM, "torque": truth(RPM), **values},
        given=given or Conditions(),
    )


def test_logged_weather() -> None:
    air, findings = conditions_of(logged())
    assert same(air, air_from(98000.0, 303.0, relative_humidity=0.4))
    assert findings == ()
    assert curve(logged()).air == air


def test_given_fills_what_was_not_logged() -> None:
    air, findings = conditions_of(pull(Conditions(pressure=97000.0, dew_point=285.0), inlet_temperature=300.0))
    assert same(air, air_from(97000.0, 300.0, dew_point=285.0))
    assert findings == ()


def test_given_wins_and_is_told() -> None:
    air, findings = conditions_of(logged(Conditions(pressure=97000.0, relative_humidity=0.6)))
    assert same(air, air_from(97000.0, 303.0, relative_humidity=0.6))
    assert [finding.code for finding in findings] == ["weather-overruled"]


@pytest.mark.parametrize(("name", "value"), [("vapour_pressure", 1500.0), ("dew_point", 286.0), ("wet_bulb", 291.0)])
def test_any_humidity_will_do(name: str, value: float) -> None:
    air = air_of(pull(barometer=98000.0, inlet_temperature=303.0, **{name: value}))
    assert air is not None
    if name == "vapour_pressure":
        assert same(air, air_from(98000.0, 303.0, vapour_pressure=value))
    elif name == "dew_point":
        assert same(air, air_from(98000.0, 303.0, dew_point=value))
    else:
        assert same(air, air_from(98000.0, 303.0, wet_bulb=value))


def test_missing_humidity_is_assumed_and_told() -> None:
    air, findings = conditions_of(pull(barometer=98000.0, inlet_temperature=303.0))
    assert same(air, air_from(98000.0, 303.0, relative_humidity=0.5))
    assert [finding.code for finding in findings] == ["humidity-assumed"]


def test_unknown_pressure_or_temperature_gives_no_air() -> None:
    for unknown in (pull(), pull(barometer=98000.0, relative_humidity=0.4), pull(inlet_temperature=300.0)):
        air, findings = conditions_of(unknown)
        assert air is None
        assert [finding.code for finding in findings] == ["weather-unknown"]
    assert "weather-unknown" in {finding.code for finding in curve(pull()).findings}


def test_impossible_weather_gives_no_air_but_a_fault() -> None:
    air, findings = conditions_of(pull(Conditions(pressure=3000.0), inlet_temperature=300.0, relative_humidity=0.4))
    assert air is None
    assert [finding.code for finding in findings] == ["weather-refused"]


def test_air_that_moves_within_the_pull() -> None:
    soak = 303.0 + np.linspace(0.0, 8.0, RPM.size)  # 8 K: 1.3 % of the square root, two thirds of it between thirds
    findings = conditions_of(pull(barometer=98000.0, inlet_temperature=soak, relative_humidity=0.4))[1]
    assert [finding.code for finding in findings] == ["weather-moving"]
    slow = 303.0 + np.linspace(0.0, 2.0, RPM.size)
    assert conditions_of(pull(barometer=98000.0, inlet_temperature=slow, relative_humidity=0.4))[1] == ()
    by_hand = pull(Conditions(temperature=303.0), barometer=98000.0, inlet_temperature=soak, relative_humidity=0.4)
    assert "weather-moving" not in {finding.code for finding in conditions_of(by_hand)[1]}
