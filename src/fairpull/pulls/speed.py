"""Speed and its rate of change by local quadratic regression against time."""

from __future__ import annotations

import numpy as np

from fairpull.terms.arrays import FloatArray

RPM_TO_RAD = np.pi / 30.0  # rad/s per rpm, exact


def rate_of_change(time: FloatArray, values: FloatArray, half_width: float) -> FloatArray:
    """Slope of a local quadratic fit.

    Args:
        time: shape (n,) [s], rising, near-even steps (uneven ones are resampled).
        values: shape (n,), any unit, no missing values.
        half_width: half-width of the fit's window [s].

    Returns:
        Slope, shape (n,) [unit per second]; at the ends from the last full window's quadratic.

    Valid range:
        At least five samples.

    Source:
        savitzky-golay-1964 (least-squares quadratic; in the middle of an even window its slope is the line's).
    """
    n = time.size
    if n < 5:
        return np.gradient(values, time) if n > 1 else np.zeros(n)
    dt = (time[-1] - time[0]) / (n - 1)
    steps = np.diff(time)
    if np.abs(steps - dt).max() > 0.2 * dt:
        even = np.linspace(time[0], time[-1], n)
        slope = rate_of_change(even, np.interp(even, time, values), half_width)
        return np.asarray(np.interp(time, even, slope))
    half = int(min(max(round(half_width / dt), 2), (n - 1) // 2))
    at = np.arange(-half, half + 1, dtype=np.float64)
    norm = float(at @ at)
    slope = np.empty(n)
    slope[half : n - half] = np.convolve(values, -at / norm, mode="valid")
    for window, rows in ((slice(0, 2 * half + 1), slice(0, half)), (slice(n - 2 * half - 1, n), slice(n - half, n))):
        curve = float(_quadratic(values[window], at))
        middle = float(values[window] @ at) / norm
        offset = at[:half] if rows.start == 0 else at[half + 1 :]
        slope[rows] = middle + 2.0 * curve * offset
    return np.asarray(slope / dt)


def _quadratic(values: FloatArray, at: FloatArray) -> np.float64:
    square = at * at - np.mean(at * at)
    return np.float64((values @ square) / (square @ square))
