"""Humid air against printed values: 40 CFR 1065 and 86, the ASHRAE Handbook, CIPM-2007.

Birth certificates stand at each test.
"""

from __future__ import annotations

import math

import pytest

from fairpull import air


def test_1065_vapour_pressure_at_a_dew_point() -> None:
    # 40 CFR 1065.645, READ, 7 digits printed
    assert round(float(air.saturation_pressure_1065(282.65)) / 1000.0, 6) == 1.186581


def test_1065_mole_fraction_from_a_dew_point() -> None:
    # 40 CFR 1065.645, READ: 99.980 kPa, dew point 9.5 degrees C, x = 0.011868
    fraction = air.vapour_mole_fraction(99980.0, air.saturation_pressure_1065(282.65))
    assert round(float(fraction), 6) == 0.011868


def test_1065_vapour_pressure_at_20_degrees() -> None:
    # 40 CFR 1065.645, READ: 2.3371 kPa
    assert round(float(air.saturation_pressure_1065(293.15)) / 1000.0, 4) == 2.3371


def test_1065_mole_fraction_from_relative_humidity() -> None:
    # 40 CFR 1065.645, READ: 50.77 %, 20 degrees C, 99.980 kPa, x = 0.011868
    fraction = air.vapour_mole_fraction(99980.0, 0.5077 * air.saturation_pressure_1065(293.15))
    assert round(float(fraction), 6) == 0.011868


def test_1065_dew_point_from_relative_humidity() -> None:
    # 39.61 % at 20 degrees C: 0.925717 kPa READ; dew point 279.001023 K second-hand (public laboratory code)
    vapour = 0.3961 * float(air.saturation_pressure_1065(293.15))
    assert round(vapour / 1000.0, 6) == 0.925717
    assert round(float(air.dew_point_1065(vapour)), 4) == 279.0010


# degrees C: 1065.645 (coefficients second-hand), 86.344-79 (READ), ASHRAE 2017 (an independent library); kPa
SATURATION = {
    0: (0.61069, 0.61075, 0.61115),
    10: (1.22709, 1.22757, 1.22800),
    20: (2.33708, 2.33834, 2.33880),
    25: (3.16682, 3.16862, 3.16922),
    30: (4.24272, 4.24515, 4.24603),
    40: (7.37733, 7.38129, 7.38346),
}


@pytest.mark.parametrize("celsius", list(SATURATION))
def test_three_saturation_formulas(celsius: int) -> None:
    formulas = (air.saturation_pressure_1065, air.saturation_pressure_86344, air.saturation_pressure)
    found = tuple(round(float(formula(celsius + 273.15)) / 1000.0, 5) for formula in formulas)
    assert found == SATURATION[celsius]


def test_ferrel_wet_bulb() -> None:
    # worked by hand from Ferrel's equation FROM MEMORY: 98 kPa, 25/18 degrees C: 1601.7 Pa, 50.55 %, 10.335 g/kg
    vapour = air.vapour_pressure_from_wet_bulb_ferrel(98000.0, 298.15, 291.15)
    assert round(float(vapour), 1) == 1601.7
    assert round(100.0 * float(vapour / air.saturation_pressure_86344(298.15)), 2) == 50.55
    # the regulation's own K is 0.6220
    assert round(1000.0 * 0.6220 * float(vapour) / (98000.0 - float(vapour)), 3) == 10.335


def test_house_wet_bulb() -> None:
    # ASHRAE 2017 by an independent library: 51.16 %, 10.464 g/kg
    vapour = air.vapour_pressure_from_wet_bulb(98000.0, 298.15, 291.15)
    assert round(100.0 * float(air.relative_humidity(298.15, vapour)), 2) == 51.16
    assert round(1000.0 * float(air.humidity_ratio(98000.0, vapour)), 3) == 10.464


def test_specific_humidity_at_a_dew_point() -> None:
    # worked by hand: dew point 9.5 degrees C, 99.98 kPa: 7.471 g/kg dry air, with the regulation's K of 0.6220
    vapour = float(air.saturation_pressure_1065(282.65))
    assert round(1000.0 * 0.6220 * vapour / (99980.0 - vapour), 3) == 7.471
    assert 1000.0 * float(air.humidity_ratio(99980.0, vapour)) == pytest.approx(7.471, rel=2e-4)


@pytest.mark.parametrize(("celsius", "printed"), [(5.0, 872.6), (25.0, 3169.7), (50.0, 12351.3), (100.0, 101418.0)])
def test_ashrae_saturation_table(celsius: float, printed: float) -> None:
    # ASHRAE 2017, chapter 1, table 3, READ in an independent library's tests; that library allows 300 ppm
    assert float(air.saturation_pressure(celsius + 273.15)) == pytest.approx(printed, rel=3e-4)


@pytest.mark.parametrize(("celsius", "printed"), [(5.0, 0.005425), (25.0, 0.020173), (50.0, 0.086863)])
def test_ashrae_saturated_humidity_ratio(celsius: float, printed: float) -> None:
    # ASHRAE 2017, table 2, READ as above: real gas, which the ideal formula misses by up to 0.62 %
    found = float(air.humidity_ratio(101325.0, air.saturation_pressure(celsius + 273.15)))
    assert found == pytest.approx(printed, rel=6.3e-3)
    assert found < printed
    if celsius == 25.0:
        assert round(found, 6) == 0.020081  # ideal, an independent library


def test_ashrae_example_1() -> None:
    # ASHRAE 2017, example 1: 40 degrees C dry, 20 wet, 101.325 kPa: W 0.0065, dew point 7 degrees C, RH 14 %, v 0.896;
    # an independent library: 0.00640, 7.43, 13.98 %
    vapour = air.vapour_pressure_from_wet_bulb(101325.0, 313.15, 293.15)
    ratio = float(air.humidity_ratio(101325.0, vapour))
    assert round(ratio, 5) == 0.00640
    assert round(float(air.dew_point(vapour)) - 273.15, 2) == 7.43
    assert round(100.0 * float(air.relative_humidity(313.15, vapour)), 2) == 13.98
    volume = (1.0 + ratio) / float(air.density(101325.0, 313.15, vapour))
    assert round(volume, 3) == 0.896


def test_ashrae_volume_of_dry_air() -> None:
    # table 2: 0.8443 m3/kg at 25 degrees C
    assert 1.0 / float(air.density(101325.0, 298.15)) == pytest.approx(0.8443, rel=1e-3)


def cipm_density(celsius: float, pressure: float, relative_humidity: float) -> float:
    """CIPM-2007, abstract and constants READ, coefficients FROM MEMORY; gives the four printed values below."""
    kelvin = celsius + 273.15
    saturation = math.exp(1.2378847e-5 * kelvin**2 - 1.9121316e-2 * kelvin + 33.93711047 - 6.3431645e3 / kelvin)
    enhancement = 1.00062 + 3.14e-8 * pressure + 5.6e-7 * celsius**2
    share = relative_humidity * enhancement * saturation / pressure
    first = 1.58123e-6 - 2.9331e-8 * celsius + 1.1043e-10 * celsius**2
    first += (5.707e-6 - 2.051e-8 * celsius) * share + (1.9898e-4 - 2.376e-6 * celsius) * share**2
    ratio = pressure / kelvin
    squeeze = 1.0 - ratio * first + ratio**2 * (1.83e-11 - 0.765e-8 * share**2)
    return 3.483740e-3 * ratio / squeeze * (1.0 - 0.3780 * share)


# worked by hand with 400 ppm CO2, 6 decimals
DENSITY = [
    (20.0, 101325.0, 0.50, 1.199314),
    (20.0, 100000.0, 0.50, 1.183557),
    (25.0, 99000.0, 0.0, 1.157118),
    (25.0, 100000.0, 0.30, 1.164615),
    (30.0, 95000.0, 0.60, 1.080954),
]


@pytest.mark.parametrize(("celsius", "pressure", "humidity", "printed"), DENSITY)
def test_moist_density_against_cipm(celsius: float, pressure: float, humidity: float, printed: float) -> None:
    vapour = air.vapour_pressure_from_relative_humidity(celsius + 273.15, humidity)
    found = float(air.density(pressure, celsius + 273.15, vapour))
    assert round(cipm_density(celsius, pressure, humidity), 6) == pytest.approx(printed, abs=1.1e-6)
    assert found == pytest.approx(printed, rel=5e-4)


# the same cases by an independent library, ideal gas
@pytest.mark.parametrize(
    ("row", "printed"), list(zip(DENSITY, (1.198898, 1.183152, 1.156791, 1.164276, 1.080675), strict=True))
)
def test_moist_density_against_an_ideal_gas_library(row: tuple[float, float, float, float], printed: float) -> None:
    celsius, pressure, humidity, _ = row
    vapour = air.vapour_pressure_from_relative_humidity(celsius + 273.15, humidity)
    assert round(float(air.density(pressure, celsius + 273.15, vapour)), 6) == pytest.approx(printed, abs=2e-6)


def test_cost_of_humidity() -> None:
    # trade, computed: 77 degrees F and 50 % is about 0.46 inHg and costs about 1.9 % by the net formula
    vapour = float(air.vapour_pressure_from_relative_humidity(298.15, 0.5))
    assert round(vapour / 3386.389, 2) == pytest.approx(0.46, abs=0.011)
    factor = air.STANDARDS["sae-j1349"].factor
    humid, dry = (float(factor(air.Case(100000.0, 298.15, share))) for share in (vapour, 0.0))
    assert humid / dry - 1.0 == pytest.approx(0.019, abs=5e-4)
