"""Peaks, band averages, areas and crossovers, each with its interval from the same draws."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from fairpull.compare.bands import interval
from fairpull.terms.arrays import BoolArray, FloatArray
from fairpull.terms.comparison import Estimate, Span

RAD_PER_RPM = np.pi / 30.0
EDGE_SHARE = 0.10  # a peak that one draw in ten puts on the last node is not a peak yet


def power_of(torque: FloatArray, rpm: FloatArray) -> FloatArray:
    """Shaft power.

    Args:
        torque: [N m], shape (..., g).
        rpm: shape (g,).

    Returns:
        Power [W], shape (..., g).

    Source: definition, P = T omega.
    """
    power: FloatArray = torque * rpm * RAD_PER_RPM
    return power


@dataclass(frozen=True, slots=True)
class Peak:
    """A maximum and its place; ``at_least`` inside both where it lies at the end of the tested range."""

    height: Estimate
    rpm: Estimate


def peak(rpm: FloatArray, mean: FloatArray, draws: FloatArray, unit: str) -> Peak:
    """Greatest value along rpm, refined by a parabola through the three highest neighbouring nodes.

    Args:
        rpm: equal steps, shape (g,).
        mean: the curve shown, shape (g,), in ``unit`` (any unit).
        draws: possible curves, shape (s, g), same unit.
        unit: house unit of the curve.

    Returns:
        Height and place with intervals. At the first or last node, or where a tenth of the draws put it there, the
        height is only "at least": the peak was not tested.

    Source: own definition; parabola by three points.
    """
    heights, places, edges = _tops(rpm, draws)
    height, place, edge = _tops(rpm, mean[None, :])
    open_ended = bool(edge[0]) or float(edges.mean()) > EDGE_SHARE
    how = "top of the mean corrected curve, parabola through three nodes; interval from draws of the noise model"
    if open_ended:
        how += "; it lies at the end of the tested range, so the true peak may be higher"
    low, high = np.quantile(heights, [0.025, 0.975])
    near, far = np.quantile(places, [0.025, 0.975])
    return Peak(
        Estimate(float(height[0]), float(low), float(high), unit, how, open_ended),
        Estimate(float(place[0]), float(near), float(far), "rpm", how, open_ended),
    )


def _tops(rpm: FloatArray, curves: FloatArray) -> tuple[FloatArray, FloatArray, BoolArray]:
    top = curves.argmax(axis=1)
    edge = (top == 0) | (top == len(rpm) - 1)
    middle = np.clip(top, 1, len(rpm) - 2)
    rows = np.arange(len(curves))
    left, mid, right = (curves[rows, middle + k] for k in (-1, 0, 1))
    bend = left - 2.0 * mid + right
    shift = np.where(bend < 0, 0.5 * (left - right) / np.where(bend < 0, bend, -1.0), 0.0)
    shift = np.where(edge, 0.0, np.clip(shift, -1.0, 1.0))
    height = np.where(edge, curves[rows, top], mid - 0.25 * (left - right) * shift)
    step = rpm[1] - rpm[0]
    return height, np.where(edge, rpm[top], rpm[middle] + shift * step), edge


def crossovers(rpm: FloatArray, mean: FloatArray, draws: FloatArray, found: Sequence[Span]) -> tuple[Estimate, ...]:
    """Where one build overtakes the other: only between a stretch of gain and one of loss, both beyond noise.

    Args:
        rpm: nodes, shape (g,).
        mean: difference, shape (g,), any unit.
        draws: possible differences, shape (s, g), same unit.
        found: spans beyond noise, ascending.

    Returns:
        One estimate for each pair of neighbouring spans of opposite sign.

    Source: own definition.
    """
    result = []
    for before, after in pairwise(found):
        if before.sign == after.sign:
            continue
        between = (rpm >= before.high) & (rpm <= after.low)
        x = rpm[between]
        crossing = _crossing(x, draws[:, between] * before.sign)
        at = _crossing(x, mean[None, between] * before.sign)
        how = "where the mean difference changes sign between a gain and a loss that are both beyond noise"
        result.append(interval(crossing, "rpm", how, float(at[0])))
    return tuple(result)


def _crossing(x: FloatArray, curves: FloatArray) -> FloatArray:
    """First change from plus to minus, by straight line; the end of the stretch where there is none."""
    falls = (curves[:, :-1] > 0) & (curves[:, 1:] <= 0)
    first = falls.argmax(axis=1)
    rows = np.arange(len(curves))
    left, right = curves[rows, first], curves[rows, first + 1]
    share = np.where(falls.any(axis=1), left / np.where(left == right, 1.0, left - right), 0.0)
    place = x[first] + share * (x[first + 1] - x[first])
    missing = np.where(curves[:, 0] > 0, x[-1], x[0])
    crossing: FloatArray = np.where(falls.any(axis=1), place, missing)
    return crossing
