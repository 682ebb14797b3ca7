"""The ground a chart stands on: ranges of its axes, what is untested, where labels find room. Plain numbers only."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from fairpull.show import chart_rows
from fairpull.show.chart_rows import Row
from fairpull.show.facts import grid
from fairpull.terms.comparison import Comparison

Range = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Frame:
    """Ranges along the axis, in its shown unit.

    Attributes:
        axis: what the panels span.
        any_build: tested by at least one build.
        every_build: tested by every build; nothing is compared outside.
        band: band of interest over which the verdict was given.
        title: title of the axis.
    """

    axis: Range
    any_build: Range
    every_build: Range
    band: Range
    title: str


def _shown(comparison: Comparison, values: Sequence[float], system: str) -> list[float]:
    shown: list[float] = chart_rows.axis(comparison, np.asarray(values, dtype=np.float64), system).tolist()
    return shown


def frame(comparison: Comparison, system: str) -> Frame:
    """The frame of a comparison's charts: a little wider than everything drawn, so that an end is seen as an end."""
    lows = _shown(comparison, [group.tested[0] for group in comparison.groups], system)
    highs = _shown(comparison, [group.tested[1] for group in comparison.groups], system)
    band_low, band_high = _shown(comparison, comparison.band, system)
    edges = [*lows, *highs, band_low, band_high]
    if chart_rows.has_power(comparison):
        for curve in comparison.declared:
            edges.extend(float(one) for one in curve.rpm if math.isfinite(one))
    low, high = min(edges), max(edges)
    step = grid.nice_step(low, high, most=16)
    axis = (step * math.floor(low / step - 0.25), step * math.ceil(high / step + 0.25))
    return Frame(
        (max(axis[0], 0.0), axis[1]),
        (min(lows), max(highs)),
        (max(lows), min(highs)),
        (band_low, band_high),
        chart_rows.axis_title(comparison, system),
    )


def values_range(rows: Sequence[Row], names: Sequence[str], *, margin: float = 0.06) -> Range:
    """Lowest and highest of the named fields with a margin; from zero where the lowest is small against the highest."""
    values = [row[name] for row in rows for name in names if name in row and math.isfinite(row[name])]
    if not values:
        return (0.0, 1.0)
    low, high = min(values), max(values)
    room = margin * (high - low or abs(high) or 1.0)
    if 0.0 <= low < 0.35 * high:
        return (0.0, high + room)
    step = grid.nice_step(low, high, most=12)
    return (step * math.floor((low - room / 2) / step), high + room)


def untested(outer: Range, inner: Range) -> list[Range]:
    """The stretches of ``outer`` that lie outside ``inner``; all of it where ``inner`` is empty."""
    if inner[1] <= inner[0]:
        return [outer]
    both = [(outer[0], inner[0]), (inner[1], outer[1])]
    return [(low, high) for low, high in both if high - low > 1e-6 * (outer[1] - outer[0])]


def clear_of(avoid: Sequence[float], values: Range) -> float:
    """A value near the middle of the panel, or a third above or below it, that keeps furthest from those to avoid."""
    places = [values[0] + share * (values[1] - values[0]) for share in (0.5, 0.7, 0.3)]
    return max(places, key=lambda at: min((abs(at - one) for one in avoid), default=0.0))


def hatch(region: Range, axis: Range, values: Range, width: float, height: float, gap: float = 9.0) -> list[Row]:
    """Diagonal lines at 45 degrees on the screen, cut to a region: ``x``, ``x2``, ``y``, ``y2`` in data values.

    Args:
        region: stretch of the axis to fill.
        axis, values: ranges that the panel spans.
        width, height: of the panel [px].
        gap: distance of lines along the axis [px].
    """
    per_x, per_y = (axis[1] - axis[0]) / width, (values[1] - values[0]) / height
    left, right = (region[0] - axis[0]) / per_x, (region[1] - axis[0]) / per_x
    rows: list[Row] = []
    start = left - height
    count = math.ceil((right - start) / gap)
    for n in range(count + 1):
        at = start + n * gap  # where this line meets the panel's foot
        low, high = max(left, at), min(right, at + height)
        if high - low < 0.5:
            continue
        rows.append(
            {
                "x": axis[0] + low * per_x,
                "x2": axis[0] + high * per_x,
                "y": values[0] + (low - at) * per_y,
                "y2": values[0] + (high - at) * per_y,
            }
        )
    return rows


def spread(wanted: Sequence[float], values: Range, height: float, gap: float) -> list[float]:
    """Label places near the wanted values, at least ``gap`` px apart, inside the panel.

    Args:
        wanted: values where the labels would stand, in any order.
        values: range that the panel spans.
        height: of the panel [px].
        gap: least distance [px].

    Returns:
        Values in the order of ``wanted``.
    """
    per = (values[1] - values[0]) / height
    order = sorted(range(len(wanted)), key=lambda n: wanted[n])
    placed = list(wanted)
    last = -math.inf
    for n in order:
        placed[n] = max(placed[n], last + gap * per)
        last = placed[n]
    top = values[1]
    for n in reversed(order):
        placed[n] = min(placed[n], top)
        top = placed[n] - gap * per
    return placed
