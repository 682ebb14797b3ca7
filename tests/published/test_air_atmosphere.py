"""The standard atmosphere against its table.

Birth certificate: ISO 2533 / ICAO table READ in an independent library's test table (by geometric height); values by
geopotential height worked by hand; ASHRAE 2017 chapter 1 table 1 READ in another library's tests.
"""

from __future__ import annotations

import pytest

from fairpull import air


@pytest.mark.parametrize(
    ("height", "kelvin", "pascal", "density"),
    [(0.0, 288.150, 101325.0, 1.22500), (1000.0, 281.651, 89876.3, 1.11166), (2000.0, 275.154, 79501.4, 1.00655)],
)
def test_table_by_geometric_height(height: float, kelvin: float, pascal: float, density: float) -> None:
    altitude = air.geopotential_altitude(height)
    assert round(float(air.standard_temperature(altitude)), 3) == kelvin
    # the table prints six figures: 101325, 89876.3
    assert float(air.standard_pressure(altitude)) == pytest.approx(pascal, abs=0.06)
    assert round(float(air.standard_density(altitude)), 5) == density


@pytest.mark.parametrize(
    ("altitude", "pascal"),
    [(500.0, 95460.8), (1000.0, 89874.6), (1500.0, 84556.0), (3000.0, 70108.5), (11000.0, 22632.0)],
)
def test_pressure_by_geopotential_height(altitude: float, pascal: float) -> None:
    assert float(air.standard_pressure(altitude)) == pytest.approx(pascal, abs=0.06)
    assert float(air.pressure_altitude(pascal)) == pytest.approx(altitude, abs=0.02)


def test_temperature_at_the_top() -> None:
    assert float(air.standard_temperature(11000.0)) == pytest.approx(216.65, abs=1e-9)


@pytest.mark.parametrize(
    ("altitude", "kilopascal"), [(500.0, 95.461), (1000.0, 89.875), (4000.0, 61.640), (10000.0, 26.436)]
)
def test_ashrae_table_1(altitude: float, kilopascal: float) -> None:
    assert float(air.standard_pressure(altitude)) / 1000.0 == pytest.approx(kilopascal, abs=6e-4)


@pytest.mark.parametrize(("altitude", "difference"), [(1000.0, 1.7), (5000.0, 28.0)])
def test_trap_of_geometric_against_geopotential(altitude: float, difference: float) -> None:
    by_height = air.standard_pressure(air.geopotential_altitude(altitude))
    assert float(by_height - air.standard_pressure(altitude)) == pytest.approx(difference, abs=0.5)


@pytest.mark.parametrize(("altitude", "hectopascal"), [(100.0, 12.0), (200.0, 24.0), (500.0, 58.0), (1000.0, 115.0)])
def test_barometer_subtraction_of_a_workshop_sheet(altitude: float, hectopascal: float) -> None:
    # READ in the workshop sheet of the correction table, whole hPa, its rounding unknown
    station = air.station_from_sea_level(101325.0, altitude)
    assert (101325.0 - float(station)) / 100.0 == pytest.approx(hectopascal, abs=0.7)
