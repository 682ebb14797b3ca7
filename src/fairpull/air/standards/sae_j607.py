"""SAE J607: the old "standard day" of the trade, 29.92 inHg dry and 60 degrees F."""

from __future__ import annotations

import numpy as np

from fairpull.air.standard import Case, Standard
from fairpull.terms.arrays import Number
from fairpull.terms.units import from_house, to_house

REFERENCE_PRESSURE = float(to_house(29.92, "inHg", "Pa"))


def _factor(case: Case) -> Number:
    fahrenheit = from_house(case.temperature, "degF", "K")
    factor: Number = REFERENCE_PRESSURE / case.dry_pressure * np.sqrt((fahrenheit + 460.0) / 520.0)
    return factor


STANDARD = Standard(
    key="sae-j607",
    title='SAE J607 (the old "standard day")',
    reference="dry pressure 29.92 inHg (101.32 kPa), 60 °F",
    formula="(29.92 inHg / p_dry) sqrt((t_F + 460) / 520)",
    factor=_factor,
    limits=(),
    charged=(
        "No statement on pressure-charged engines is known; the factor is the one for naturally aspirated engines."
    ),
    charged_covered=False,
    compression="none",
    sources=("sae-j607",),
)
