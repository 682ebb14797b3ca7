"""DIN 70020: total pressure, humidity left out, 1013 mbar and 20 degrees C."""

from __future__ import annotations

from fairpull.air.factors import root_factor
from fairpull.air.standard import Case, Standard
from fairpull.terms.arrays import Number


def _factor(case: Case) -> Number:
    # Total pressure on purpose: feeding it dry pressure is a common slip worth up to 3 %.
    return root_factor(case.pressure, case.temperature, 101300.0, 293.0)


STANDARD = Standard(
    key="din-70020",
    title="DIN 70020 (historical)",
    reference="total pressure 1013 mbar, 20 °C, humidity left out",
    formula="(1013 mbar / p_total) sqrt((t + 273) / 293)",
    factor=_factor,
    limits=(),
    charged=(
        "No statement on pressure-charged engines is known; the factor is the one for naturally aspirated engines."
    ),
    charged_covered=False,
    compression="none",
    sources=("din-70020",),
)
