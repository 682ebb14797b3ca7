"""ISO 3046-1: adjustment to the ISO reference air by indicated power and mechanical efficiency."""

from __future__ import annotations

from fairpull.air.adjustment import (
    DEFAULT_MECHANICAL_EFFICIENCY,
    NATURAL_COMPRESSION,
    REFERENCE_PRESSURE,
    REFERENCE_TEMPERATURE,
    REFERENCE_VAPOUR,
    TURBO_COMPRESSION,
    adjustment_to_site,
)
from fairpull.air.factors import spark_factor
from fairpull.air.standard import Case, Standard
from fairpull.terms.arrays import Number


def _factor(case: Case) -> Number:
    if case.ignition == "spark":
        reference_dry = REFERENCE_PRESSURE - REFERENCE_VAPOUR
        return spark_factor(case.dry_pressure, case.temperature, reference_dry, REFERENCE_TEMPERATURE)
    efficiency = case.mechanical_efficiency
    turbo = case.induction in ("turbo", "turbo-held")
    alpha = adjustment_to_site(
        case.pressure,
        case.temperature,
        case.vapour_pressure,
        exponents=TURBO_COMPRESSION if turbo else NATURAL_COMPRESSION,
        mechanical_efficiency=DEFAULT_MECHANICAL_EFFICIENCY if efficiency is None else efficiency,
        coolant_temperature=case.coolant_temperature if turbo else None,
    )
    return 1.0 / alpha


STANDARD = Standard(
    key="iso-3046",
    title="ISO 3046-1 (adjusted to ISO reference air)",
    reference="total pressure 100 kPa, 298 K, 30 % relative humidity, charge coolant 298 K",
    formula=(
        "compression: 1 / alpha, alpha = k - 0.7 (1 - k) (1 / eta_m - 1); spark: (p_ref,dry / p_dry)^1.2 (T / 298)^0.6"
    ),
    factor=_factor,
    limits=(),
    charged=(
        "For spark ignition the worked examples that could be read hold for natural induction only; for "
        "compression ignition turbocharged engines have exponents of their own."
    ),
    charged_covered=False,
    compression="own, needs efficiency",
    sources=("iso-3046", "textbook-27"),
)
