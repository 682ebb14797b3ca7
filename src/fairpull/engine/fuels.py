"""Fuels as data, each with its source, and blends of two."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from fairpull.terms.arrays import Number
from fairpull.terms.engine import Fuel

CARBON, HYDROGEN = 12.011, 1.008  # [g/mol]


@dataclass(frozen=True, slots=True)
class FuelRow:
    """A fuel with the origin of its numbers: key of terms/sources.py and a remark."""

    fuel: Fuel
    source: str
    note: str


def stoichiometric_from_hydrogen(ratio: Number) -> Number:
    """Stoichiometric air-fuel ratio of a hydrocarbon CHy.

    Args:
        ratio: y, hydrogen atoms for each carbon atom, scalar or shape (n,) [1].

    Returns:
        Air-fuel ratio by mass [1], same shape.

    Valid range: fuels without oxygen.

    Source: heywood, equation 3.6 (from memory; arithmetic checked).
    """
    return 34.56 * (4.0 + ratio) / (CARBON + HYDROGEN * ratio)


def mass_share(volume_share: Number, density: Number, other_density: Number) -> Number:
    """Mass share of a component from its volume share, volumes taken to add up.

    Args:
        volume_share: of the component, fraction, scalar or shape (n,) [1].
        density: of the component [kg/m3].
        other_density: of the rest [kg/m3].

    Returns:
        Mass share, fraction [1], broadcast shape.

    Source: practice (definition).
    """
    mass = volume_share * density
    return mass / (mass + (1.0 - volume_share) * other_density)


def blend(name: str, fuel: Fuel, other: Fuel, volume_share: float) -> Fuel:
    """Blend of two liquid fuels.

    Args:
        name: of the blend.
        fuel: the component whose share is given.
        other: the rest.
        volume_share: of ``fuel``, fraction [1].

    Returns:
        The blend; air-fuel ratio and heating value go by mass share, density by volume share.

    Source: practice (conservation of mass and energy).
    """
    share = float(mass_share(volume_share, fuel.density, other.density))
    return Fuel(
        name,
        share * fuel.stoichiometric + (1.0 - share) * other.stoichiometric,
        share * fuel.heating_value + (1.0 - share) * other.heating_value,
        volume_share * fuel.density + (1.0 - volume_share) * other.density,
    )


_NO_LIQUID = float("nan")  # density of a gas depends on its tank; it is not used
_PETROL = Fuel("petrol", 14.7, 43.44e6, 745.0)
_ETHANOL = Fuel("ethanol", 9.0, 26.95e6, 789.3)
_DOE = "density from practice"

_ROWS = (
    FuelRow(_PETROL, "doe-fuels", f"ordinary pump petrol; published ratios run from 14.5 to 14.7; {_DOE}"),
    FuelRow(blend("e5", _ETHANOL, _PETROL, 0.05), "doe-fuels", "computed: 5 % of volume ethanol in the petrol above"),
    FuelRow(blend("e10", _ETHANOL, _PETROL, 0.10), "doe-fuels", "computed: 10 % of volume ethanol in the petrol above"),
    FuelRow(
        blend("e85", _ETHANOL, _PETROL, 0.85),
        "doe-fuels",
        "computed: 85 % of volume ethanol; what a pump sells as E85 varies with the season",
    ),
    FuelRow(_ETHANOL, "doe-fuels", _DOE),
    FuelRow(Fuel("methanol", 6.47, 20.09e6, 791.0), "doe-fuels", f"ratio computed for air; {_DOE}"),
    FuelRow(Fuel("iso-octane", 15.13, 44.3e6, 692.0), "heywood", "ratio computed for air"),
    FuelRow(Fuel("diesel", 14.5, 42.8e6, 835.0), "practice", "varies with grade and season"),
    FuelRow(Fuel("methane", 17.24, 50.0e6, _NO_LIQUID), "heywood", "ratio computed for air; gas"),
    FuelRow(Fuel("propane", 15.67, 46.3e6, 500.0), "practice", "liquid under pressure"),
    FuelRow(Fuel("hydrogen", 34.3, 120.0e6, _NO_LIQUID), "heywood", "ratio computed for air; gas"),
)

FUELS: Mapping[str, FuelRow] = MappingProxyType({row.fuel.name: row for row in _ROWS})

# What people write for the same fuel.
ALSO: Mapping[str, str] = MappingProxyType(
    {
        "gasoline": "petrol",
        "pump gas": "petrol",
        "benzin": "petrol",
        "super": "petrol",
        "isooctane": "iso-octane",
        "natural gas": "methane",
        "cng": "methane",
        "lpg": "propane",
        "e100": "ethanol",
    }
)
