"""Curves at the output shaft, and torque between their nodes; nothing beyond what was tested."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from fairpull.compare.purpose.draws import DrawnCurve
from fairpull.terms.arrays import BoolArray, FloatArray, IntArray

STEP = 20.0  # rpm between the points that averages and margins are taken at
GAP = 1.5  # a pause between nodes longer than this many usual steps was not tested


@dataclass(frozen=True, slots=True)
class ShaftCurve:
    """One build at its output shaft.

    rpm: nodes, shape (g,); torque: [N m], shape (g,); draws: [N m], shape (s, g); gear: engine speed over output speed.
    """

    name: str
    rpm: FloatArray
    torque: FloatArray
    draws: FloatArray
    gear: float = 1.0


def at_shaft(curve: DrawnCurve, gear: float, efficiency: float) -> ShaftCurve:
    """The curve behind a reduction.

    Args:
        curve: at the crankshaft.
        gear: engine speed over output speed [1].
        efficiency: output power over engine power [1].

    Returns:
        The curve at the output shaft.

    Source: definition, P = T omega through a gear of given efficiency.
    """
    scale = gear * efficiency
    return ShaftCurve(curve.name, curve.rpm / gear, curve.torque * scale, curve.draws * scale, gear)


def middles(low: float, high: float) -> FloatArray:
    """Middles of equal steps that fill a stretch.

    Args:
        low, high: ends [rpm].

    Returns:
        Speeds [rpm], shape (m,), no more than ``STEP`` apart.

    Source: midpoint rule, definition.
    """
    steps = max(int(np.ceil((high - low) / STEP)), 1)
    return low + (high - low) * (np.arange(steps) + 0.5) / steps


def _neighbours(curve: ShaftCurve, rpm: FloatArray) -> tuple[IntArray, FloatArray]:
    left = np.clip(np.searchsorted(curve.rpm, rpm, side="right") - 1, 0, len(curve.rpm) - 2)
    share = (rpm - curve.rpm[left]) / (curve.rpm[left + 1] - curve.rpm[left])
    return left, share


def torque_at(curve: ShaftCurve, rpm: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Torque by straight line between nodes; ask only where ``covered`` says so.

    Args:
        curve: at the output shaft.
        rpm: output speeds, shape (m,) [rpm].

    Returns:
        Torque shape (m,) and draws shape (s, m) [N m].

    Source: definition, linear interpolation.
    """
    left, share = _neighbours(curve, rpm)
    middle = curve.torque[left] * (1.0 - share) + curve.torque[left + 1] * share
    return middle, curve.draws[:, left] * (1.0 - share) + curve.draws[:, left + 1] * share


def covered(curve: ShaftCurve, rpm: FloatArray) -> BoolArray:
    """Where the pulls say something.

    Args:
        curve: at the output shaft.
        rpm: output speeds, shape (m,) [rpm].

    Returns:
        True between nodes of the usual distance, shape (m,).

    Source: own definition.
    """
    if len(curve.rpm) < 2:
        return np.zeros(len(rpm), dtype=np.bool_)
    left, share = _neighbours(curve, rpm)
    width = np.diff(curve.rpm)
    tiny = 1e-9 * curve.rpm[-1] / width[left]
    between = (share >= -tiny) & (share <= 1.0 + tiny)
    on_node = (np.abs(share) <= tiny) | (np.abs(share - 1.0) <= tiny)
    inside: BoolArray = between & (on_node | (width[left] <= GAP * np.median(width)))
    return inside


def untested(curve: ShaftCurve, low: float, high: float) -> tuple[tuple[float, float], ...]:
    """Stretches of a range that the pulls do not cover.

    Args:
        curve: at the output shaft.
        low, high: the range [rpm]; one speed where they are equal.

    Returns:
        (low, high) of each stretch [rpm], ascending; empty where all of it was tested.

    Source: own definition.
    """
    if low == high:
        return () if covered(curve, np.array([low]))[0] else ((low, high),)
    marks = curve.rpm[(curve.rpm > low) & (curve.rpm < high)]
    edges = np.unique(np.concatenate([[low], marks, [high]]))
    bare = ~covered(curve, 0.5 * (edges[:-1] + edges[1:]))
    found: list[tuple[float, float]] = []
    for start, end, missing in zip(edges[:-1], edges[1:], bare, strict=True):
        if missing and found and found[-1][1] == start:
            found[-1] = (found[-1][0], float(end))
        elif missing:
            found.append((float(start), float(end)))
    return tuple(found)
