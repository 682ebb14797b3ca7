"""Limits of a linearity verification (40 CFR 1065.307, Table 1) as data, and the check of a line against them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from fairpull.pulls.line import Line
from fairpull.terms.calibration import LimitCheck
from fairpull.terms.errors import Fault, UnknownName


@dataclass(frozen=True, slots=True)
class LinearityLimits:
    """One row of the table; fractions of the full scale named in the table.

    Attributes:
        intercept: limit of ``abs(xmin * (a1 - 1) + a0)``, fraction of full scale.
        slope_low, slope_high: limits of the slope a1.
        see: limit of the standard error of the estimate, fraction of full scale.
        r2: least coefficient of determination.
        source: key in terms/sources.py with the clause.
    """

    intercept: float
    slope_low: float
    slope_high: float
    see: float
    r2: float
    source: str = "40cfr1065, 1065.307 Table 1"


_LOAD = LinearityLimits(0.01, 0.98, 1.02, 0.02, 0.990)
_STATE = LinearityLimits(0.01, 0.99, 1.01, 0.01, 0.998, "un-gtr-linearity, table 7")

LINEARITY: Mapping[str, LinearityLimits] = {
    "rpm": LinearityLimits(0.0005, 0.98, 1.02, 0.02, 0.990),
    "torque": _LOAD,
    "power": _LOAD,
    "fuel_mass_flow": _LOAD,
    "air_mass_flow": _LOAD,
    "fuel_scale": LinearityLimits(0.003, 0.996, 1.004, 0.004, 0.999),
    "temperature": _STATE,
    "pressure": _STATE,
}


def intercept_term(slope: float, intercept: float, least_reference: float) -> float:
    """The intercept's figure of merit: the line's error at the least reference value, absolute.

    Args:
        slope: a1 [1].
        intercept: a0, unit of the reading.
        least_reference: xmin, the least reference value, unit of the reading.

    Returns:
        ``abs(xmin * (a1 - 1) + a0)``, unit of the reading.

    Source:
        40cfr1065, 1065.307 Table 1; the limit is on the absolute value.
    """
    return abs(least_reference * (slope - 1.0) + intercept)


def check_linearity(
    line: Line, least_reference: float, full_scale: float, quantity: str = "torque", unit: str = "N m"
) -> tuple[LimitCheck, ...]:
    """Hold a line (reading against reference) against the regulation's limits.

    Args:
        line: fitted with the reference as x and the reading as y.
        least_reference: xmin, unit of the reading.
        full_scale: what the limits are fractions of, unit of the reading.
        quantity: a key of LINEARITY.
        unit: the reading's unit.

    Returns:
        Checks of intercept, slope, standard error of the estimate and r2, in that order.

    Raises:
        UnknownName: no such row in the table.
    """
    if quantity not in LINEARITY:
        known = ", ".join(LINEARITY)
        raise UnknownName(Fault("linearity-quantity", "quantity", repr(quantity), f"one of {known}"))
    limits = LINEARITY[quantity]
    term = intercept_term(line.slope, line.intercept, least_reference)
    rows = (
        ("intercept", term, 0.0, limits.intercept * full_scale, unit),
        ("slope", line.slope, limits.slope_low, limits.slope_high, "1"),
        ("standard error of the estimate", line.see, 0.0, limits.see * full_scale, unit),
        ("r2", line.r2, limits.r2, 1.0, "1"),
    )
    return tuple(
        LimitCheck(name, value, low, high, shown, bool(low <= value <= high), limits.source)
        for name, value, low, high, shown in rows
    )
