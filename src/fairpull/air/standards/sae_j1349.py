"""SAE J1349: net power, dry reference 99 kPa and 25 degrees C, 85 % mechanical efficiency assumed."""

from __future__ import annotations

from fairpull.air.factors import REFERENCE_DRY_PRESSURE, REFERENCE_TEMPERATURE, root_factor
from fairpull.air.standard import Case, Limit, Standard
from fairpull.terms.arrays import Number


def density_term(dry_pressure: Number, temperature: Number) -> Number:
    """The factor on indicated power inside J1349, "D"; with measured friction use it with ``friction_kept``.

    Args:
        dry_pressure: scalar or shape (n,) [Pa].
        temperature: scalar or shape (n,) [K].

    Returns:
        Factor [1], broadcast shape.

    Source: sae-j1349, text of June 1990, second-hand.
    """
    return root_factor(dry_pressure, temperature, REFERENCE_DRY_PRESSURE, REFERENCE_TEMPERATURE)


def _factor(case: Case) -> Number:
    return 1.180 * density_term(case.dry_pressure, case.temperature) - 0.180


STANDARD = Standard(
    key="sae-j1349",
    title="SAE J1349 (net, friction not measured)",
    reference="dry pressure 99 kPa, 25 °C (100 kPa with 1 kPa of vapour)",
    formula="1.180 (99 kPa / p_dry) sqrt((t + 273) / 298) - 0.180",
    factor=_factor,
    limits=(
        Limit("factor", 0.95, 1.05, "memory"),
        Limit("temperature", 288.15, 308.15, "memory"),
        Limit("dry pressure", 90000.0, 105000.0, "memory"),
    ),
    charged=(
        "Its clause on pressure-charged spark-ignition engines could not be read for this program; the "
        "factor shown is the one for naturally aspirated engines."
    ),
    charged_covered=False,
    compression="unread",
    sources=("sae-j1349",),
)
