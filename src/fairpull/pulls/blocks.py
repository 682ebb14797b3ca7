"""A recording thinned to short blocks: enough to see where the pulls are, quick, and deaf to spikes and ripple."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from fairpull.terms.arrays import BoolArray, FloatArray

BLOCK_SECONDS = 0.05


@dataclass(frozen=True, slots=True)
class Blocks:
    """Medians over short blocks of rows.

    Attributes:
        size: rows per block.
        seconds: length of a block [s].
        rows: rows of the recording.
        rpm: median speed, shape (b,) [rpm]; gaps bridged.
        torque: median torque, shape (b,) [N m]; NaN where nothing was logged.
        throttle: median opening, shape (b,), fraction; None without such a channel.
    """

    size: int
    seconds: float
    rows: int
    rpm: FloatArray
    torque: FloatArray
    throttle: FloatArray | None

    def span(self, first: int, last: int) -> tuple[int, int]:
        """Rows [first, end) of blocks ``first`` to ``last`` (included)."""
        return first * self.size, min((last + 1) * self.size, self.rows)


def block_median(values: FloatArray, size: int) -> FloatArray:
    """Median of each block, missing values left out.

    Args:
        values: shape (n,), any unit.
        size: rows per block.

    Returns:
        Shape (ceil(n / size),); NaN where a block is empty. The lower of two middle values is taken.

    Source:
        definition of the median, the lower of two middle values taken.
    """
    blocks = -(-values.size // size)
    padded = np.full(blocks * size, np.nan)
    padded[: values.size] = values
    table = np.sort(padded.reshape(blocks, size), axis=1)  # NaN sorts to the end
    count = np.count_nonzero(~np.isnan(table), axis=1)
    return np.asarray(table[np.arange(blocks), np.maximum(count - 1, 0) // 2])


def bridged(values: FloatArray) -> FloatArray:
    """Missing values filled by straight lines (ends by the nearest value); unchanged when nothing is there.

    Args:
        values: shape (n,), any unit.

    Returns:
        Shape (n,), same unit.

    Source:
        practice (straight lines across gaps).
    """
    good = np.isfinite(values)
    if good.all() or not good.any():
        return values
    rows = np.arange(values.size)
    return np.interp(rows, rows[good], values[good])


def moving_average(values: FloatArray, width: int) -> FloatArray:
    """Centred moving average over ``width`` samples (made odd); the window shrinks evenly at the ends.

    Args:
        values: shape (n,), any unit, no missing values.
        width: samples.

    Returns:
        Shape (n,), same unit.

    Source:
        definition.
    """
    half = max(width // 2, 0)
    n = values.size
    if half == 0 or n < 3:
        return values
    total = np.concatenate(([0.0], np.cumsum(values)))
    at = np.arange(n)
    reach = np.minimum(np.minimum(at, n - 1 - at), half)
    return np.asarray((total[at + reach + 1] - total[at - reach]) / (2 * reach + 1))


def median3(values: FloatArray) -> FloatArray:
    """Running median of three; the ends are kept.

    Args:
        values: shape (n,), any unit.

    Returns:
        Shape (n,).

    Source:
        definition.
    """
    if values.size < 3:
        return values
    a, b, c = values[:-2], values[1:-1], values[2:]
    out = values.copy()
    out[1:-1] = np.maximum(np.minimum(a, b), np.minimum(np.maximum(a, b), c))
    return out


def make_blocks(dt: float, rpm: FloatArray, torque: FloatArray, throttle: FloatArray | None) -> Blocks:
    """Thin a recording.

    Args:
        dt: time between rows [s].
        rpm: shape (n,) [rpm].
        torque: shape (n,) [N m].
        throttle: shape (n,), fraction, or None.

    Returns:
        The blocks, about BLOCK_SECONDS long.
    """
    size = max(1, round(BLOCK_SECONDS / dt))
    return Blocks(
        size=size,
        seconds=size * dt,
        rows=rpm.size,
        rpm=bridged(median3(bridged(block_median(rpm, size)))),
        torque=median3(block_median(torque, size)),
        throttle=None if throttle is None else median3(bridged(block_median(throttle, size))),
    )


def runs(mask: BoolArray) -> list[tuple[int, int]]:
    """Stretches where a mask holds.

    Args:
        mask: shape (n,).

    Returns:
        (first, last) index of each stretch, last included.
    """
    edge = np.diff(np.concatenate(([0], mask.astype(np.int8), [0])))
    first = np.flatnonzero(edge == 1)
    last = np.flatnonzero(edge == -1) - 1
    return list(zip(first.tolist(), last.tolist(), strict=True))


def close_gaps(mask: BoolArray, longest: int) -> BoolArray:
    """The mask with inner gaps of up to ``longest`` samples closed.

    Args:
        mask: shape (n,).
        longest: samples.

    Returns:
        Shape (n,).
    """
    out = mask.copy()
    for first, last in runs(~mask):
        if first > 0 and last < mask.size - 1 and last - first + 1 <= longest:
            out[first : last + 1] = True
    return out
