from __future__ import annotations

import math

import pytest

from fairpull import air
from fairpull.terms.errors import ValueRefused
from fairpull.terms.recording import Conditions


def codes(**given: float | None) -> set[str]:
    """Codes of the refusal for one reading of the air; good values stand in for what is not given."""
    values: dict[str, float | None] = {"pressure": 100300.0, "temperature": 293.15, **given}
    if not set(given) & {"relative_humidity", "dew_point", "wet_bulb", "vapour_pressure"}:
        values["relative_humidity"] = 0.5
    pressure, temperature = values.pop("pressure"), values.pop("temperature")
    assert pressure is not None
    assert temperature is not None
    with pytest.raises(ValueRefused) as refusal:
        air.air_from(pressure, temperature, **values)
    return {fault.code for fault in refusal.value.faults}


def test_a_good_reading() -> None:
    found = air.air_from(100300.0, 293.15, relative_humidity=0.56)
    assert (found.pressure, found.temperature) == (100300.0, 293.15)
    assert found.vapour_pressure == pytest.approx(0.56 * 2338.80, rel=1e-5)


def test_four_measures_of_the_same_humidity_agree() -> None:
    vapour = air.air_from(100300.0, 293.15, relative_humidity=0.56).vapour_pressure
    dew = float(air.dew_point(vapour))
    assert air.air_from(100300.0, 293.15, dew_point=dew).vapour_pressure == pytest.approx(vapour, rel=1e-9)
    assert air.air_from(100300.0, 293.15, vapour_pressure=vapour).vapour_pressure == vapour
    both = air.air_from(100300.0, 293.15, relative_humidity=0.58, dew_point=dew)
    assert both.vapour_pressure == pytest.approx(vapour, rel=1e-9), "dew point goes before relative humidity"


@pytest.mark.parametrize("percent", [45.0, 1.03, 100.0, 450.0])
def test_humidity_in_per_cent_is_refused(percent: float) -> None:
    with pytest.raises(ValueRefused) as refusal:
        air.air_from(100300.0, 293.15, relative_humidity=percent)
    (fault,) = refusal.value.faults
    assert fault.code == "humidity-as-percent"
    assert fault.where == "relative_humidity"
    if percent == 45.0:
        assert "45%" in fault.remedy
        assert "0.45" in fault.remedy


def test_saturated_air_with_a_sensor_a_little_above_is_taken() -> None:
    assert air.air_from(100300.0, 293.15, relative_humidity=1.02).vapour_pressure > 2338.0


@pytest.mark.parametrize(
    ("pressure", "code", "word"),
    [
        (29.62, "pressure-in-other-unit", "inHg"),
        (100.3, "pressure-in-other-unit", "kPa"),
        (1003.0, "pressure-in-other-unit", "hPa"),
        (752.0, "pressure-in-other-unit", "mmHg"),
        (14.55, "pressure-in-other-unit", "psi"),
        (1.003, "pressure-in-other-unit", "bar"),
        (0.0, "pressure-gauge", "gauge"),
        (-350.0, "pressure-gauge", "gauge"),
        (200000.0, "pressure-implausible", "manifold"),
        (49000.0, "pressure-implausible", "50 to 110"),
        (math.nan, "not-a-number", "absolute"),
    ],
)
def test_slips_in_the_barometer_are_named(pressure: float, code: str, word: str) -> None:
    with pytest.raises(ValueRefused) as refusal:
        air.air_from(pressure, 293.15, relative_humidity=0.5)
    (fault,) = refusal.value.faults
    assert fault.code == code
    assert word in fault.seen + fault.remedy


@pytest.mark.parametrize(
    ("temperature", "code"),
    [
        (20.0, "temperature-in-celsius"),
        (-5.0, "temperature-in-celsius"),
        (68.0, "temperature-in-fahrenheit"),
        (200.0, "temperature-implausible"),
        (400.0, "temperature-implausible"),
        (math.nan, "not-a-number"),
    ],
)
def test_slips_in_the_thermometer_are_named(temperature: float, code: str) -> None:
    assert codes(temperature=temperature) == {code}


def test_all_faults_at_once() -> None:
    assert codes(pressure=29.62, temperature=68.0, relative_humidity=45.0) == {
        "pressure-in-other-unit",
        "temperature-in-fahrenheit",
        "humidity-as-percent",
    }


@pytest.mark.parametrize(
    ("given", "code"),
    [
        ({"relative_humidity": -0.1}, "humidity-negative"),
        ({"relative_humidity": math.nan}, "not-a-number"),
        ({"vapour_pressure": -10.0}, "humidity-negative"),
        ({"vapour_pressure": 1.2}, "pressure-in-other-unit"),
        ({"vapour_pressure": 3000.0}, "vapour-above-saturation"),
        ({"dew_point": 12.0}, "temperature-in-celsius"),
        ({"dew_point": 295.0}, "dew-point-above-air"),
        ({"wet_bulb": 295.0}, "wet-bulb-above-air"),
        ({"wet_bulb": 275.0}, "wet-bulb-too-low"),
        ({"relative_humidity": 0.4, "dew_point": 290.0}, "humidities-disagree"),
        ({"relative_humidity": None}, "humidity-missing"),
    ],
)
def test_slips_in_humidity_are_named(given: dict[str, float | None], code: str) -> None:
    assert codes(**given) == {code}


def test_conditions_without_weather_give_no_air_and_say_so() -> None:
    found = air.air_of_conditions(Conditions(temperature=293.15))
    assert found.air is None
    assert [finding.code for finding in found.findings] == ["weather-unknown"]
    assert found.findings[0].where == "pressure"


def test_conditions_without_humidity_assume_half_and_say_what_it_may_cost() -> None:
    found = air.air_of_conditions(Conditions(100000.0, 298.15))
    assert found.air is not None
    assert found.air.vapour_pressure == pytest.approx(0.5 * 3169.22, rel=1e-5)
    assert [finding.code for finding in found.findings] == ["humidity-assumed"]
    assert "1.6 %" in found.findings[0].text


def test_full_conditions_need_no_finding() -> None:
    found = air.air_of_conditions(Conditions(100000.0, 298.15, wet_bulb=291.15))
    assert found.findings == ()
    assert found.air == air.air_from(100000.0, 298.15, wet_bulb=291.15)


def test_bad_conditions_are_refused() -> None:
    with pytest.raises(ValueRefused):
        air.air_of_conditions(Conditions(100000.0, 298.15, relative_humidity=56.0))
