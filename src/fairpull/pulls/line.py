"""A least-squares line with everything a calibration needs to know about it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from fairpull.pulls import statistics
from fairpull.terms.arrays import FloatArray, Number
from fairpull.terms.errors import Fault, ValueRefused


@dataclass(frozen=True, slots=True)
class Line:
    """``y = intercept + slope * (x - origin)`` with standard errors; units as the points had.

    Attributes:
        slope, intercept: the line; the intercept belongs to ``x = origin``.
        slope_se, intercept_se: standard errors.
        correlation: correlation coefficient of intercept and slope.
        see: standard error of the estimate (n - 2 degrees of freedom).
        r2: coefficient of determination.
        n: number of points.
        origin: the x to which the intercept belongs.
    """

    slope: float
    intercept: float
    slope_se: float
    intercept_se: float
    correlation: float
    see: float
    r2: float
    n: int
    origin: float = 0.0


def fit_line(x: FloatArray, y: FloatArray, *, origin: float = 0.0) -> Line:
    """Fit a straight line by ordinary least squares, floating intercept.

    Args:
        x: reference values, shape (n,), any unit, n >= 3, not all equal.
        y: readings, shape (n,), any unit.
        origin: the x to which the intercept refers, unit of x.

    Returns:
        The line.

    Raises:
        ValueRefused: fewer than three points, or all x equal, or values missing.

    Source:
        40cfr1065, 1065.602(h) to (k); gum, H.3.2 (equations H.13a to H.13f).
    """
    x = np.asarray(x, dtype=np.float64)
    y = np.asarray(y, dtype=np.float64)
    if x.shape != y.shape or x.ndim != 1 or x.size < 3:
        seen = f"{x.size} and {y.size} values"
        raise ValueRefused(Fault("line-points", "points of the line", seen, "give three or more pairs of values"))
    if not (np.isfinite(x).all() and np.isfinite(y).all()):
        raise ValueRefused(Fault("line-missing", "points of the line", "missing values", "leave such points out"))
    dx = x - x.mean()
    sxx = float(dx @ dx)
    if sxx == 0:
        raise ValueRefused(Fault("line-one-place", "points of the line", f"all at {x[0]:g}", "vary the reference"))
    slope = float(dx @ (y - y.mean())) / sxx
    # Refining once on the residuals removes the rounding left by large means.
    residual = (y - y.mean()) - slope * dx
    slope += float(dx @ residual) / sxx
    residual = (y - y.mean()) - slope * dx
    x0 = float(x.mean()) - origin
    a0 = statistics.intercept(float(y.mean()), x0, slope)
    see = float(np.sqrt(residual @ residual / (x.size - 2)))
    intercept_variance = 1.0 / x.size + x0 * x0 / sxx
    r2 = float("nan") if np.ptp(y) == 0 else statistics.coefficient_of_determination(y, y - residual)
    return Line(
        slope=slope,
        intercept=a0,
        slope_se=see / sxx**0.5,
        intercept_se=see * intercept_variance**0.5,
        correlation=-x0 / (sxx * intercept_variance) ** 0.5,
        see=see,
        r2=r2,
        n=int(x.size),
        origin=origin,
    )


def predict(line: Line, x: Number) -> tuple[Number, Number]:
    """The line's value at x, and its standard error.

    Args:
        line: the fitted line.
        x: where, scalar or shape (n,), unit of the line's x.

    Returns:
        Value and standard error, each like ``x``.

    Source:
        gum, H.3.4 (equation H.15).
    """
    d = np.asarray(x, dtype=np.float64) - line.origin
    value = line.intercept + line.slope * d
    cross = 2.0 * line.correlation * line.intercept_se * line.slope_se
    variance = line.intercept_se**2 + d * d * line.slope_se**2 + d * cross
    error = np.sqrt(np.maximum(variance, 0.0))
    return (float(value), float(error)) if np.ndim(x) == 0 else (value, error)
