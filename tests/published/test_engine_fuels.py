"""Fuels against published ratios and heating values.

Birth certificates stand at each test; "Cantera" is an independent library, with air as 20.946 % oxygen.
"""

from __future__ import annotations

import pytest

from fairpull import engine
from fairpull.terms.engine import Fuel
from fairpull.terms.sources import SOURCES
from fairpull.terms.units import to_house


@pytest.mark.parametrize(
    ("y", "printed"), [(1.80, 14.499), (1.85, 14.570), (1.87, 14.599), (1.90, 14.642), (2.00, 14.783)]
)
def test_ratio_of_a_hydrocarbon(y: float, printed: float) -> None:
    # Heywood's formula FROM MEMORY; figures worked by hand, 3 decimals
    assert round(float(engine.stoichiometric_from_hydrogen(y)), 3) == printed


@pytest.mark.parametrize(
    ("name", "printed"),
    [("ethanol", 9.0), ("petrol", 14.7)],  # US Department of Energy fuel table, READ
)
def test_ratios_of_the_fuel_table(name: str, printed: float) -> None:
    assert engine.FUELS[name].fuel.stoichiometric == printed


@pytest.mark.parametrize(
    ("name", "printed"),
    [("iso-octane", 15.132), ("methanol", 6.474), ("methane", 17.239), ("hydrogen", 34.296), ("ethanol", 9.005)],
)
def test_ratios_computed_for_real_air(name: str, printed: float) -> None:
    # Cantera, real air
    assert engine.FUELS[name].fuel.stoichiometric == pytest.approx(printed, rel=1e-3)


@pytest.mark.parametrize(
    ("name", "btu", "megajoule"), [("ethanol", 11585.0, 26.95), ("methanol", 8637.0, 20.09), ("petrol", 18676.0, 43.44)]
)
def test_heating_values(name: str, btu: float, megajoule: float) -> None:
    # US Department of Energy fuel table, READ, in Btu/lb
    assert engine.FUELS[name].fuel.heating_value == pytest.approx(megajoule * 1e6, rel=1e-12)
    assert round(to_house(btu, "Btu/lb", "J/kg") / 1e6, 2) == megajoule


@pytest.mark.parametrize(
    ("share", "mass", "ratio", "megajoule"), [(0.85, 0.8572, 9.80, 29.2), (0.10, 0.1053, 14.01, 41.7)]
)
def test_blends(share: float, mass: float, ratio: float, megajoule: float) -> None:
    # worked by hand from 9.0 and 14.6, 26.8 and 43.5 MJ/kg, 0.7893 and 0.745
    ethanol, petrol = Fuel("ethanol", 9.0, 26.8e6, 789.3), Fuel("petrol", 14.6, 43.5e6, 745.0)
    mixed = engine.blend("mixed", ethanol, petrol, share)
    assert round(float(engine.mass_share(share, 789.3, 745.0)), 4) == mass
    assert round(mixed.stoichiometric, 2) == ratio
    assert round(mixed.heating_value / 1e6, 1) == megajoule


@pytest.mark.parametrize(("name", "printed"), [("e10", 14.1), ("e85", 9.8)])
def test_blends_of_the_table(name: str, printed: float) -> None:
    # figures of the trade: E10 14.1 (from memory), E85 9.8 (a tuning shop's page, published)
    assert round(engine.FUELS[name].fuel.stoichiometric, 1) == printed


def test_every_fuel_names_a_known_source() -> None:
    assert {row.source for row in engine.FUELS.values()} <= set(SOURCES)
