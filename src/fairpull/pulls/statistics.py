"""The regulation's own statistics (40 CFR 1065.602): mean, spread, accuracy, and the goodness of a line."""

from __future__ import annotations

import numpy as np

from fairpull.terms.arrays import FloatArray


def mean(values: FloatArray) -> float:
    """Arithmetic mean.

    Args:
        values: shape (n,), any unit.

    Returns:
        The mean, same unit.

    Source:
        40cfr1065, 1065.602(b).
    """
    return float(np.mean(values))


def standard_deviation(values: FloatArray) -> float:
    """Standard deviation with n - 1, by two passes (stable where mean is large against spread).

    Args:
        values: shape (n,), n >= 2, any unit.

    Returns:
        The standard deviation, same unit.

    Source:
        40cfr1065, 1065.602(c).
    """
    return float(np.std(values, ddof=1))


def root_mean_square(values: FloatArray) -> float:
    """Root mean square.

    Args:
        values: shape (n,), any unit.

    Returns:
        The root mean square, same unit.

    Source:
        40cfr1065, 1065.602(d).
    """
    return float(np.sqrt(np.mean(np.square(values))))


def accuracy(values: FloatArray, reference: float) -> float:
    """Absolute difference between a mean reading and the reference.

    Args:
        values: readings, shape (n,), any unit.
        reference: reference value, same unit.

    Returns:
        The accuracy, same unit, never negative.

    Source:
        40cfr1065, 1065.602(e).
    """
    return abs(mean(values) - reference)


def intercept(mean_y: float, mean_x: float, slope: float) -> float:
    """Intercept of a least-squares line from the means and the slope.

    Args:
        mean_y: mean of the readings, any unit.
        mean_x: mean of the reference values, any unit.
        slope: slope of the line, unit of y over unit of x.

    Returns:
        ``mean_y - slope * mean_x``, unit of the readings.

    Source:
        40cfr1065, 1065.602(i).
    """
    return mean_y - slope * mean_x


def coefficient_of_determination(values: FloatArray, fitted: FloatArray) -> float:
    """Coefficient of determination r2.

    Args:
        values: readings, shape (n,), any unit.
        fitted: the line at the same points, shape (n,), same unit.

    Returns:
        ``1 - SS(residuals) / SS(about the mean)``.

    Source:
        40cfr1065, 1065.602(k).
    """
    spread = float(np.sum(np.square(values - np.mean(values))))
    return 1.0 - float(np.sum(np.square(values - fitted))) / spread
