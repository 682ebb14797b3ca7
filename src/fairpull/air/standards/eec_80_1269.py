"""Directive 80/1269/EEC as first issued in 1980; its amended form of 1988 equals ISO 1585."""

from __future__ import annotations

from fairpull.air.factors import REFERENCE_DRY_PRESSURE, REFERENCE_TEMPERATURE, root_factor
from fairpull.air.standard import Case, Standard
from fairpull.terms.arrays import Number


def _factor(case: Case) -> Number:
    return root_factor(case.dry_pressure, case.temperature, REFERENCE_DRY_PRESSURE, REFERENCE_TEMPERATURE)


STANDARD = Standard(
    key="eec-80-1269",
    title="Directive 80/1269/EEC, form of 1980",
    reference="dry pressure 990 mbar, 25 °C",
    formula="(99 kPa / p_dry) sqrt((t + 273) / 298)",
    factor=_factor,
    limits=(),
    charged=(
        "What the text of 1980 says on pressure-charged engines could not be read; the factor is the "
        "one for naturally aspirated engines."
    ),
    charged_covered=False,
    compression="none",
    sources=("eec-80-1269", "workshop-sheet"),
)
