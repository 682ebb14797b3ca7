"""Sweeps inside the full-load stretches: where the ramp is released, where it ends, how fast it runs."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from fairpull.pulls.blocks import Blocks, moving_average, runs
from fairpull.pulls.full_load import FullLoad
from fairpull.pulls.options import PullOptions
from fairpull.terms.arrays import FloatArray

REVERSAL = 100.0  # rpm: a smaller move back is hunting, not a new ramp
EDGE = 60.0  # rpm: near the bottom or top of a ramp
SMOOTH_SECONDS = 0.25
RATE_SECONDS = 0.5
HELD_SHARE = 0.3  # below this share of the ramp's rate the speed is held
HELD_SECONDS = 0.4
RUNAWAY = 2.0  # above this multiple of the ramp's rate the brake does not hold the ramp


@dataclass(frozen=True, slots=True)
class Ramp:
    """One sweep, in blocks.

    Attributes:
        first, last: blocks that count, last included.
        up: True when the speed rises.
        rate: median rate of change [rpm/s], negative downwards.
        released: speed at which the ramp was released [rpm].
        seen_release: False when the log begins inside the ramp.
        held_top: True when the speed was held at the end of the ramp.
    """

    first: int
    last: int
    up: bool
    rate: float
    released: float
    seen_release: bool
    held_top: bool


def find_ramps(blocks: Blocks, load: FullLoad, options: PullOptions) -> tuple[list[Ramp], list[str]]:
    """Find the sweeps.

    Args:
        blocks: the thinned recording.
        load: its full-load stretches.
        options: ``min_span``, ``min_duration``, ``settle_rpm`` are used.

    Returns:
        The ramps in running order, and for every stretch that is none the reason in words.
    """
    found: list[Ramp] = []
    rejected: list[str] = []
    for first, last in runs(load.mask):
        for start, end in _legs(_smooth(blocks, first, last)):
            made = _ramp(blocks, first, last, start, end, options)
            if isinstance(made, Ramp):
                found.append(made)
            else:
                rejected.append(made)
    return found, rejected


def _smooth(blocks: Blocks, first: int, last: int) -> FloatArray:
    return moving_average(blocks.rpm[first : last + 1], round(SMOOTH_SECONDS / blocks.seconds))


def _legs(rpm: FloatArray) -> list[tuple[int, int]]:
    """Turning points of a speed trace that move back by more than REVERSAL, as (start, end) of each leg."""
    turns = [0]
    best, direction = 0, 0
    values = rpm.tolist()
    for i, value in enumerate(values):
        if direction == 0:
            if abs(value - values[0]) > REVERSAL:
                direction, best = (1 if value > values[0] else -1), i
        elif direction * (value - values[best]) > 0:
            best = i
        elif direction * (values[best] - value) > REVERSAL:
            turns.append(best)
            direction, best = -direction, i
    turns.append(best if direction else len(values) - 1)
    legs = list(pairwise(turns))
    # The first leg starts at its true bottom, not at the first block.
    if legs and direction:
        start, end = legs[0]
        sign = 1.0 if values[end] > values[start] else -1.0
        legs[0] = (start + int(np.argmin(sign * rpm[start : end + 1])), end)
    return legs


def _ramp(blocks: Blocks, first: int, last: int, start: int, end: int, options: PullOptions) -> Ramp | str:
    sign = 1.0 if blocks.rpm[first + end] >= blocks.rpm[first + start] else -1.0
    speed = sign * _smooth(blocks, first, last)
    span = float(speed[end] - speed[start])
    rows = blocks.span(first + start, first + end)
    where = f"rows {rows[0]} to {rows[1] - 1}"
    if span < options.min_span:
        return f"{where}: full load, but the speed moves by {span:.0f} rpm only"
    rate = np.gradient(moving_average(sign * blocks.rpm[first : last + 1], round(RATE_SECONDS / blocks.seconds)))
    rate /= blocks.seconds
    usual = _travel_median(rate[start : end + 1])
    if usual <= 0:
        return f"{where}: full load, but the speed jumps by {span:.0f} rpm at once"
    begin, base, released_seen = _release(speed, rate, start, end, usual, blocks.seconds)
    seconds = (end - begin) * blocks.seconds
    if seconds < options.min_duration:
        return f"{where}: full load, but {span:.0f} rpm in {seconds:.2g} s is no pull against a brake"
    settled = np.flatnonzero(speed[begin : end + 1] >= base + options.settle_rpm)
    last_block, held = _end(speed, rate, begin, end, usual, blocks.seconds)
    if not settled.size or begin + settled[0] + 2 >= last_block:
        return f"{where}: nothing is left after the first {options.settle_rpm:.0f} rpm are discarded"
    one = begin + int(settled[0])
    middle = float(np.median(rate[one : last_block + 1]))
    seen = released_seen or first + start > 0
    return Ramp(first + one, first + last_block, sign > 0, sign * middle, sign * base, seen, held)


def _travel_median(rate: FloatArray) -> float:
    """The rate at which half of the way was covered: deaf to holds before and after a ramp."""
    forward = np.sort(rate[rate > 0])
    if not forward.size:
        return 0.0
    travelled = np.cumsum(forward)
    return float(forward[np.searchsorted(travelled, 0.5 * travelled[-1])])


def _release(
    speed: FloatArray, rate: FloatArray, start: int, end: int, usual: float, seconds: float
) -> tuple[int, float, bool]:
    """Block and speed of the ramp's release, and whether a hold or a slower start was seen before it."""
    span = speed[end] - speed[start]
    lower = speed[start : end + 1] <= speed[start] + 0.4 * span
    held = runs((rate[start : end + 1] < HELD_SHARE * usual) & lower)
    held = [(a, b) for a, b in held if (b - a + 1) * seconds >= HELD_SECONDS]
    if held:
        a, b = held[-1]
        return start + b, float(np.mean(speed[start + a : start + b + 1])), True
    # No hold: skip a snap of the throttle that runs up faster than the ramp.
    calm = np.flatnonzero(rate[start : end + 1] <= 1.5 * usual)
    begin = start + int(calm[0])
    near = speed[begin : end + 1] < speed[begin] + EDGE
    stop = int(np.argmin(near)) or 1
    return begin, float(np.mean(speed[begin : begin + stop])), begin > start


def _end(speed: FloatArray, rate: FloatArray, begin: int, end: int, usual: float, seconds: float) -> tuple[int, bool]:
    """Last block of the ramp, and whether the speed was then held there."""
    stop = end
    while stop > begin and rate[stop] > RUNAWAY * usual:
        stop -= 1
    top = speed[stop]
    near = speed[begin:] >= top - EDGE
    dwell = np.count_nonzero(near) * seconds
    if stop == end and dwell > 2.0 * EDGE / usual + 0.5:
        return begin + int(np.argmax(speed[begin : end + 1] >= top - 0.25 * EDGE)), True
    return stop, False
