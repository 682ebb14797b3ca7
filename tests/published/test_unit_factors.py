"""Factors of units as printed.

Birth certificate: NIST Special Publication 811 (2008), Appendix B.8, "Factors for units listed alphabetically", seven
digits as printed there; conventional inch of mercury and of water as printed for 0 degC and 4 degC. Status: FROM
MEMORY.
"""

from __future__ import annotations

import pytest

from fairpull.terms import units


@pytest.mark.parametrize(
    ("unit", "house", "printed"),
    [
        ("lb-ft", "N m", "1.355818"),
        ("lb-in", "N m", "0.1129848"),
        ("kgf m", "N m", "9.80665"),
        ("hp", "W", "745.6999"),
        ("PS", "W", "735.4988"),
        ("psi", "Pa", "6894.757"),
        ("inHg", "Pa", "3386.389"),
        ("mmHg", "Pa", "133.3224"),
        ("inH2O", "Pa", "249.0889"),
        ("torr", "Pa", "133.3224"),
        ("atm", "Pa", "101325"),
        ("cfm", "m3/s", "0.0004719474"),
        ("gal/min", "m3/s", "0.00006309020"),
        ("lb/h", "kg/s", "0.0001259979"),
        ("lb/min", "kg/s", "0.007559873"),
        ("lb/gal", "kg/m3", "119.8264"),
        ("in3", "m3", "0.00001638706"),
        ("lbf", "N", "4.448222"),
        ("slug ft2", "kg m2", "1.355818"),
        ("Btu/lb", "J/kg", "2326"),
        ("mph", "m/s", "0.44704"),
    ],
)
def test_factors(unit: str, house: str, printed: str) -> None:
    half_digit = 0.5 * 10.0 ** -len(printed.partition(".")[2])
    assert abs(units.to_house(1.0, unit, house) - float(printed)) <= half_digit * (1 + 1e-6)


@pytest.mark.parametrize(("fahrenheit", "kelvin"), [(32.0, "273.15"), (77.0, "298.15"), (-459.67, "0.00")])
def test_temperatures(fahrenheit: float, kelvin: str) -> None:
    assert f"{units.to_house(fahrenheit, '°F', 'K'):.2f}" == kelvin
