"""ISO 15550: the general standard behind ISO 3046 and ISO 1585, correction method, ISO reference air."""

from __future__ import annotations

from fairpull.air.adjustment import REFERENCE_PRESSURE, REFERENCE_VAPOUR
from fairpull.air.factors import road_factor
from fairpull.air.standard import Case, Standard
from fairpull.terms.arrays import Number


def _factor(case: Case) -> Number:
    return road_factor(case, reference_dry=REFERENCE_PRESSURE - REFERENCE_VAPOUR)


STANDARD = Standard(
    key="iso-15550",
    title="ISO 15550 (correction method)",
    reference="total pressure 100 kPa, 298 K, 30 % relative humidity",
    formula="spark: (p_ref,dry / p_dry)^1.2 (T / 298)^0.6; compression: fa^fm",
    factor=_factor,
    limits=(),
    charged=(
        "For spark ignition the worked example that could be read holds for natural induction only; for "
        "compression ignition turbocharged engines have an atmospheric factor of their own."
    ),
    charged_covered=False,
    compression="own, needs fuel",
    sources=("iso-15550", "textbook-27"),
)
