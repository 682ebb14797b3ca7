"""Reading curves off the comparison's grid: values at given rpm, and which rows a table shows."""

from __future__ import annotations

import numpy as np

from fairpull.terms.arrays import FloatArray, IntArray

STEPS = (1.0, 2.0, 2.5, 5.0)
MOST_ROWS = 22


def at(axis: FloatArray, values: FloatArray, wanted: FloatArray) -> FloatArray:
    """Values at the grid points nearest to ``wanted``, shape of ``wanted``; NaN beyond one grid step outside."""
    if len(axis) == 0:
        return np.full(wanted.shape, np.nan)
    step = float(axis[1] - axis[0]) if len(axis) > 1 else 1.0
    nearest = np.abs(axis[:, None] - wanted[None, :]).argmin(axis=0)
    far = np.abs(axis[nearest] - wanted) > 0.5 * step + 1e-9
    return np.where(far, np.nan, values[nearest])


def nice_step(low: float, high: float, most: int = MOST_ROWS) -> float:
    """The smallest round step (1, 2, 2.5 or 5 times a power of ten) that gives at most ``most`` rows."""
    width = max(high - low, 1e-9)
    power = 10.0 ** np.floor(np.log10(width / most))
    for step in (*STEPS, *(10.0 * one for one in STEPS)):
        if width / (step * power) < most:
            return float(step * power)
    return width


def rows_of(axis: FloatArray, most: int = MOST_ROWS) -> IntArray:
    """Indices of the rows that a table shows: the grid points nearest to round steps, and both ends of the range."""
    if len(axis) == 0:
        return np.zeros(0, dtype=np.int64)
    step = nice_step(float(axis[0]), float(axis[-1]), most)
    first, last = np.ceil(axis[0] / step - 1e-9), np.floor(axis[-1] / step + 1e-9)
    wanted = step * np.arange(first, last + 1)
    if len(wanted) == 0:
        return np.array([0, len(axis) - 1], dtype=np.int64)
    found = np.abs(axis[:, None] - wanted[None, :]).argmin(axis=0)
    return np.unique([0, *found, len(axis) - 1]).astype(np.int64)
