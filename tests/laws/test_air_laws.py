"""Laws of the air: independent libraries, round trips, limits, unit invariance, scalar equals vector."""

from __future__ import annotations

import itertools
from collections.abc import Callable

import numpy as np
import psychrolib
import pytest
from CoolProp.HumidAirProp import HAPropsSI
from hypothesis import given, settings
from hypothesis import strategies as st

from fairpull import air
from fairpull.terms.arrays import FloatArray, Number
from fairpull.terms.pull import Air
from fairpull.terms.units import from_house, to_house

psychrolib.SetUnitSystem(psychrolib.SI)

UNHURRIED = settings(deadline=None)  # a loaded machine is no failure
PRESSURES = st.floats(80000.0, 105000.0)
TEMPERATURES = st.floats(265.0, 318.0)
HUMIDITIES = st.floats(0.01, 1.0)
ROOMS = [(p, t, h) for p in (85000.0, 101325.0) for t in (268.15, 283.15, 298.15, 313.15) for h in (0.1, 0.5, 0.95)]


@pytest.mark.parametrize("celsius", [-30.0, -5.0, -0.5, 0.0, 0.005, 0.02, 10.0, 25.0, 45.0, 80.0])
def test_saturation_pressure_is_psychrolibs(celsius: float) -> None:
    expected = psychrolib.GetSatVapPres(celsius)
    assert float(air.saturation_pressure(celsius + 273.15)) == pytest.approx(expected, rel=1e-10)


@pytest.mark.parametrize(("pressure", "kelvin", "humidity"), ROOMS)
def test_humid_air_is_psychrolibs(pressure: float, kelvin: float, humidity: float) -> None:
    celsius = kelvin - 273.15
    vapour = air.vapour_pressure_from_relative_humidity(kelvin, humidity)
    ratio = psychrolib.GetHumRatioFromRelHum(celsius, humidity, pressure)
    assert float(air.humidity_ratio(pressure, vapour)) == pytest.approx(ratio, rel=1e-9)
    assert float(air.density(pressure, kelvin, vapour)) == pytest.approx(
        psychrolib.GetMoistAirDensity(celsius, ratio, pressure), rel=1e-5
    )
    assert float(air.specific_humidity(pressure, vapour)) == pytest.approx(
        psychrolib.GetSpecificHumFromHumRatio(ratio), rel=1e-9
    )
    dew = psychrolib.GetTDewPointFromRelHum(celsius, humidity)
    assert float(air.dew_point(vapour)) - 273.15 == pytest.approx(dew, abs=2e-3)
    wet = psychrolib.GetTWetBulbFromRelHum(celsius, humidity, pressure)
    back = float(air.vapour_pressure_from_wet_bulb(pressure, kelvin, wet + 273.15))
    assert back == pytest.approx(float(vapour), rel=2e-3, abs=1.5)


@pytest.mark.parametrize(("pressure", "kelvin", "humidity"), [room for room in ROOMS if room[1] > 273.16])
def test_humid_air_is_within_the_real_gas_of_coolprop(pressure: float, kelvin: float, humidity: float) -> None:
    state = ("T", kelvin, "P", pressure, "R", humidity)
    vapour = float(air.vapour_pressure_from_relative_humidity(kelvin, humidity))
    assert 1.0 / HAPropsSI("Vha", *state) == pytest.approx(float(air.density(pressure, kelvin, vapour)), rel=6e-4)
    assert HAPropsSI("P_w", *state) == pytest.approx(vapour, rel=6e-3)
    assert HAPropsSI("D", *state) == pytest.approx(float(air.dew_point(vapour)), abs=0.02)
    assert HAPropsSI("W", *state) == pytest.approx(float(air.humidity_ratio(pressure, vapour)), rel=7e-3)


@pytest.mark.parametrize("altitude", [0.0, 250.0, 1609.0, 3000.0])
def test_standard_atmosphere_is_psychrolibs(altitude: float) -> None:
    expected = psychrolib.GetStandardAtmPressure(altitude)
    assert float(air.standard_pressure(altitude)) == pytest.approx(expected, rel=1e-5)


@UNHURRIED
@given(temperature=st.floats(233.0, 353.0))
def test_dew_point_undoes_saturation(temperature: float) -> None:
    back = float(air.dew_point(air.saturation_pressure(temperature)))
    assert back == pytest.approx(temperature, abs=1e-7)


@UNHURRIED
@given(altitude=st.floats(-500.0, 11000.0))
def test_altitudes_undo_the_atmosphere(altitude: float) -> None:
    assert float(air.pressure_altitude(air.standard_pressure(altitude))) == pytest.approx(altitude, abs=1e-6)
    assert float(air.altitude_of_density(air.standard_density(altitude))) == pytest.approx(altitude, abs=1e-6)


@UNHURRIED
@given(altitude=st.floats(0.0, 5000.0))
def test_dry_standard_air_has_its_own_density_altitude(altitude: float) -> None:
    found = air.density_altitude(air.standard_pressure(altitude), air.standard_temperature(altitude))
    # two gas constants for dry air, 287.042 and 287.05287: under half a metre
    assert float(found) == pytest.approx(altitude, abs=0.5)


@UNHURRIED
@given(setting=st.floats(97000.0, 104500.0), altitude=st.floats(0.0, 3000.0))
def test_station_pressure_from_an_altimeter_setting(setting: float, altitude: float) -> None:
    station = float(air.station_from_sea_level(setting, altitude))
    assert float(air.station_from_sea_level(station, -altitude)) == pytest.approx(setting, rel=1e-12)
    assert station <= setting * (1.0 + 1e-12)


@UNHURRIED
@given(altitude=st.floats(0.0, 3000.0), setting=st.floats(97500.0, 104000.0))
def test_honest_station_pressures_are_never_suspected(altitude: float, setting: float) -> None:
    assert air.check_station_pressure(float(air.station_from_sea_level(setting, altitude)), altitude) is None


@UNHURRIED
@given(altitude=st.floats(900.0, 3000.0), setting=st.floats(97500.0, 104000.0))
def test_sea_level_barometers_at_altitude_are_always_suspected(altitude: float, setting: float) -> None:
    assert air.check_station_pressure(setting, altitude) is not None


@UNHURRIED
@given(pressure=PRESSURES, temperature=TEMPERATURES, humidity=HUMIDITIES)
def test_moist_air_is_lighter_and_wet_bulb_lies_between(pressure: float, temperature: float, humidity: float) -> None:
    vapour = float(air.vapour_pressure_from_relative_humidity(temperature, humidity))
    assert float(air.density(pressure, temperature, vapour)) < float(air.density(pressure, temperature))
    assert float(air.dew_point(vapour)) <= temperature + 1e-7
    saturated = float(air.vapour_pressure_from_wet_bulb(pressure, temperature, temperature))
    assert saturated == pytest.approx(float(air.saturation_pressure(temperature)), rel=1e-9)


REFERENCE = {
    "sae-j1349": Air(100000.0, 298.15, 1000.0),
    "sae-j607": Air(to_house(29.92, "inHg", "Pa"), to_house(60.0, "°F", "K"), 0.0),
    "iso-1585": Air(100000.0, 298.15, 1000.0),
    "un-r85": Air(100000.0, 298.15, 1000.0),
    "jis-d1001": Air(100000.0, 298.15, 1000.0),
    "eec-80-1269": Air(100000.0, 298.15, 1000.0),
    "din-70020": Air(101300.0, 293.15, 800.0),
    "iso-3046": air.air_from(100000.0, 298.15, relative_humidity=0.30),
    "iso-15550": air.air_from(100000.0, 298.15, relative_humidity=0.30),
}


@pytest.mark.parametrize("key", list(REFERENCE))
def test_reference_air_has_factor_one(key: str) -> None:
    assert air.correct(key, REFERENCE[key]).factor == pytest.approx(1.0, abs=1e-12)
    diesel = {"ignition": "compression", "fuel_per_cycle": 0.05}
    if key not in ("sae-j1349",):
        found = air.correct(key, REFERENCE[key], **diesel)  # type: ignore[arg-type]
        assert found.factor == pytest.approx(1.0, abs=1e-12)


@pytest.mark.parametrize("key", list(REFERENCE))
@given(pressure=PRESSURES, temperature=TEMPERATURES, vapour=st.floats(0.0, 3000.0))
@settings(max_examples=40, deadline=None)
def test_poorer_air_needs_a_larger_factor(key: str, pressure: float, temperature: float, vapour: float) -> None:
    here = air.correct(key, Air(pressure, temperature, vapour)).factor
    assert air.correct(key, Air(pressure - 100.0, temperature, vapour)).factor > here
    assert air.correct(key, Air(pressure, temperature + 1.0, vapour)).factor > here
    wetter = air.correct(key, Air(pressure, temperature, vapour + 50.0)).factor
    if key == "din-70020":
        assert wetter == here
    else:
        assert wetter > here


def cases() -> list[tuple[str, str, str]]:
    return list(itertools.product(air.STANDARDS, air.IGNITIONS, air.INDUCTIONS))


@pytest.mark.parametrize(("key", "ignition", "induction"), cases())
def test_factor_of_a_vector_is_the_vector_of_factors(key: str, ignition: str, induction: str) -> None:
    pressure, temperature = np.linspace(88000.0, 103000.0, 7), np.linspace(275.0, 312.0, 7)
    vapour, fuel = np.linspace(200.0, 2500.0, 7), np.linspace(0.03, 0.08, 7)
    factor = air.STANDARDS[key].factor
    many = np.broadcast_to(factor(air.Case(pressure, temperature, vapour, induction, ignition, fuel, 1.0)), 7)
    for i in range(7):
        case = air.Case(
            float(pressure[i]), float(temperature[i]), float(vapour[i]), induction, ignition, float(fuel[i]), 1.0
        )
        assert float(many[i]) == pytest.approx(float(factor(case)), rel=1e-15, nan_ok=True)


FORMULAS: list[tuple[Callable[..., Number], tuple[FloatArray, ...]]] = [
    (air.saturation_pressure, (np.linspace(250.0, 320.0, 9),)),
    (air.saturation_pressure_1065, (np.linspace(274.0, 320.0, 9),)),
    (air.saturation_pressure_86344, (np.linspace(274.0, 320.0, 9),)),
    (air.dew_point, (np.linspace(50.0, 9000.0, 9),)),
    (air.dew_point_1065, (np.linspace(700.0, 9000.0, 9),)),
    (air.vapour_pressure_from_relative_humidity, (np.linspace(250.0, 320.0, 9), np.linspace(0.0, 1.0, 9))),
    (air.vapour_pressure_from_dew_point, (np.linspace(250.0, 320.0, 9),)),
    (
        air.vapour_pressure_from_wet_bulb,
        (np.linspace(9e4, 1e5, 9), np.linspace(265.0, 310.0, 9), np.linspace(264.0, 300.0, 9)),
    ),
    (
        air.vapour_pressure_from_wet_bulb_ferrel,
        (np.linspace(9e4, 1e5, 9), np.linspace(280.0, 310.0, 9), np.linspace(279.0, 300.0, 9)),
    ),
    (air.humidity_ratio, (np.linspace(9e4, 1e5, 9), np.linspace(0.0, 3000.0, 9))),
    (air.density, (np.linspace(9e4, 1e5, 9), np.linspace(265.0, 310.0, 9), np.linspace(0.0, 900.0, 9))),
    (air.density_altitude, (np.linspace(9e4, 1e5, 9), np.linspace(265.0, 310.0, 9), np.linspace(0.0, 900.0, 9))),
    (air.standard_pressure, (np.linspace(0.0, 9000.0, 9),)),
    (air.pressure_altitude, (np.linspace(5e4, 1.05e5, 9),)),
    (air.station_from_sea_level, (np.linspace(9.8e4, 1.03e5, 9), np.linspace(0.0, 2000.0, 9))),
    (air.friction_torque, (np.linspace(0.001, 0.006, 9), np.linspace(0.0, 35.0, 9))),
]


@pytest.mark.parametrize(("formula", "arguments"), FORMULAS)
def test_scalar_equals_vector(formula: Callable[..., Number], arguments: tuple[FloatArray, ...]) -> None:
    many = np.asarray(formula(*arguments))
    assert many.shape == (9,)
    for i in range(9):
        one = formula(*(float(argument[i]) for argument in arguments))
        assert np.ndim(one) == 0
        assert float(one) == pytest.approx(float(many[i]), rel=1e-14, abs=1e-9)


def test_nan_in_nan_out() -> None:
    for formula, arguments in FORMULAS:
        holed = [argument.copy() for argument in arguments]
        for argument in holed:
            argument[4] = np.nan
        found = np.asarray(formula(*holed))
        assert np.isnan(found[4])
        assert np.isfinite(found[[0, 8]]).all()


@UNHURRIED
@given(inches=st.floats(25.0, 31.0), fahrenheit=st.floats(20.0, 110.0), humidity=HUMIDITIES)
def test_units_do_not_matter(inches: float, fahrenheit: float, humidity: float) -> None:
    metric = (
        round(from_house(to_house(inches, "inHg", "Pa"), "hPa", "Pa"), 9),
        from_house(to_house(fahrenheit, "°F", "K"), "°C", "K"),
    )
    us = air.air_from(to_house(inches, "inHg", "Pa"), to_house(fahrenheit, "°F", "K"), relative_humidity=humidity)
    si = air.air_from(to_house(metric[0], "hPa", "Pa"), to_house(metric[1], "°C", "K"), relative_humidity=humidity)
    for key in REFERENCE:
        assert air.correct(key, us).factor == pytest.approx(air.correct(key, si).factor, rel=1e-11)


def test_the_choice_of_saturation_formula_moves_a_factor_by_less_than_2e_5() -> None:
    moved = [
        air.correct("iso-1585", Air(95000.0, 303.15, 0.6 * float(formula(303.15)))).factor
        for formula in (air.saturation_pressure, air.saturation_pressure_86344)
    ]
    assert 0.0 < abs(moved[0] - moved[1]) < 2e-5
