"""Held speeds of a step test: found, grouped into pulls, and averaged over their settled last part."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from fairpull.pulls.blocks import Blocks, moving_average, runs
from fairpull.pulls.full_load import FullLoad
from fairpull.pulls.options import PullOptions
from fairpull.terms.arrays import BoolArray, FloatArray

SAME_LEVEL = 40.0  # rpm: holds closer than this are one level
SETTLED_SHARE = 0.25  # of the rate at which the speed moves between holds
LEAST_LEVELS = 3
GUARD_SECONDS = 0.2  # the end of a hold is left out: the next move may have begun
BATCHES = 10


@dataclass(frozen=True, slots=True)
class Hold:
    """One held speed, in blocks (last included).

    Attributes:
        first, last: blocks.
        rpm: median speed [rpm].
    """

    first: int
    last: int
    rpm: float


def find_holds(blocks: Blocks, load: FullLoad, options: PullOptions) -> list[list[Hold]]:
    """Find step tests.

    A step test is a set of at least three different held speeds at full load that take at least half of the
    full-load time; each hold lasts ``hold_min`` or longer.

    Args:
        blocks: the thinned recording.
        load: its full-load stretches.
        options: ``kind`` and ``hold_min`` are used.

    Returns:
        The holds of each step test, in running order.
    """
    holds: list[Hold] = []
    for first, last in runs(load.mask):
        own = _holds_in_run(blocks, first, last, options.hold_min)
        held = sum(hold.last - hold.first + 1 for hold in own)
        single = len(own) == 1 and held >= 0.5 * (last - first + 1)
        stepped = _levels(own) >= LEAST_LEVELS and held >= 0.5 * (last - first + 1)
        if single or stepped or (own and options.kind == "steps"):
            holds += own
    return [group for group in _groups(holds) if _levels(group) >= LEAST_LEVELS]


def _levels(holds: list[Hold]) -> int:
    rpm = np.sort([hold.rpm for hold in holds])
    return 0 if not rpm.size else 1 + int(np.count_nonzero(np.diff(rpm) > SAME_LEVEL))


def _holds_in_run(blocks: Blocks, first: int, last: int, hold_min: float) -> list[Hold]:
    rpm = blocks.rpm[first : last + 1]
    if rpm.size < 5:
        return []
    smooth = moving_average(rpm, round(0.5 / blocks.seconds))
    rate = np.abs(np.gradient(smooth)) / blocks.seconds
    ordered = np.sort(rate)
    travelled = np.cumsum(ordered)
    moving = float(ordered[np.searchsorted(travelled, 0.5 * travelled[-1])])
    still = _calm_gaps(rate <= max(SETTLED_SHARE * moving, 3.0), smooth, blocks.seconds)
    if np.ptp(smooth) < SAME_LEVEL:
        still = np.ones(rpm.size, dtype=np.bool_)
    holds = []
    for a, b in runs(still):
        long_enough = (b - a + 1) * blocks.seconds >= hold_min
        if long_enough and abs(smooth[b] - smooth[a]) < SAME_LEVEL:
            holds.append(Hold(first + a, first + b, float(np.median(rpm[a : b + 1]))))
    return holds


def _calm_gaps(still: BoolArray, smooth: FloatArray, seconds: float) -> BoolArray:
    """Moves that come back (hunting) belong to the hold."""
    out = still.copy()
    for a, b in runs(~still):
        back = abs(smooth[b] - smooth[a]) < SAME_LEVEL and (b - a + 1) * seconds < 1.5
        if back and np.ptp(smooth[a : b + 1]) < 2 * SAME_LEVEL:
            out[a : b + 1] = True
    return out


def _groups(holds: list[Hold]) -> list[list[Hold]]:
    """A level that comes back after another one starts a new step test."""
    groups: list[list[Hold]] = []
    for hold in holds:
        earlier = groups[-1][:-1] if groups else []
        if not groups or any(abs(hold.rpm - other.rpm) <= SAME_LEVEL for other in earlier):
            groups.append([hold])
        else:
            groups[-1].append(hold)
    return groups


def settled_part(first_row: int, end_row: int, dt: float, seconds: float) -> tuple[int, int]:
    """Rows over which a hold is averaged: its last ``seconds``, or its last half if shorter, less a short guard.

    Args:
        first_row, end_row: rows of the hold [first, end).
        dt: time between rows [s].
        seconds: averaging time [s].

    Returns:
        Rows [first, end).

    Source:
        40cfr1065, 1065.510 (2004 text: 15 s holds, mean of the last 5 s); shorter holds: practice.
    """
    rows = end_row - first_row
    end = end_row - min(round(GUARD_SECONDS / dt), rows // 4)
    count = max(1, min(round(seconds / dt), rows // 2))
    return max(first_row, end - count), end


def batch_error(values: FloatArray) -> float:
    """Standard error of the mean of a correlated series, by non-overlapping batch means.

    Args:
        values: shape (n,), any unit; missing values are left out.

    Returns:
        The standard error, same unit; NaN below four values.

    Source:
        schmeiser-1982 (ten batches; fewer when the series is short).
    """
    values = values[np.isfinite(values)]
    batches = min(BATCHES, values.size // 2)
    if batches < 2:
        return float("nan")
    size = values.size // batches
    means = values[: size * batches].reshape(batches, size).mean(axis=1)
    return float(np.std(means, ddof=1) / np.sqrt(batches))
