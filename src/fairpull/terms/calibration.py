"""A brake's dead-weight calibration: the line, its quality, and the limits it was held against."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from fairpull.terms.arrays import FloatArray
from fairpull.terms.findings import Finding


@dataclass(frozen=True, slots=True)
class LimitCheck:
    """One figure of merit held against its limit.

    Attributes:
        name: what was checked, e.g. "slope".
        value: what was found.
        low, high: the limits, in the same unit as ``value``.
        unit: house unit of the three numbers.
        passed: True when ``low <= value <= high``.
        source: key in terms/sources.py with the clause.
    """

    name: str
    value: float
    low: float
    high: float
    unit: str
    passed: bool
    source: str


@dataclass(frozen=True, slots=True)
class Calibration:
    """Indicated torque against reference torque: ``indicated = slope * reference + intercept``.

    Attributes:
        slope: a1 of the least-squares line [1].
        intercept: a0 [N m].
        slope_se, intercept_se: their standard errors ([1], [N m]).
        correlation: correlation of slope and intercept [1].
        see: standard error of the estimate [N m].
        r2: coefficient of determination [1].
        full_scale: torque to which the limits refer [N m].
        reference, indicated: the points in the order they were taken, shape (n,) [N m].
        hysteresis: largest difference of reading, loads going down against going up [N m]; None when only one way.
        return_to_zero: last unloaded reading less the first [N m]; None when not read twice.
        checks: each limit with what was found.
        passed: True when every limit is kept.
        findings, choices: what a tester should know; what was assumed.
    """

    slope: float
    intercept: float
    slope_se: float
    intercept_se: float
    correlation: float
    see: float
    r2: float
    full_scale: float
    reference: FloatArray
    indicated: FloatArray
    hysteresis: float | None = None
    return_to_zero: float | None = None
    checks: tuple[LimitCheck, ...] = ()
    passed: bool = False
    findings: tuple[Finding, ...] = ()
    choices: Mapping[str, str] = field(default_factory=dict)
