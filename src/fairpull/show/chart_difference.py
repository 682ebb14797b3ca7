"""The panel that settles arguments: one difference in per cent, its band, zero, and the smallest worth having."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

import altair as alt
import numpy as np

from fairpull.show import chart_frame, chart_marks, chart_rows, digits
from fairpull.show.chart_canvas import Canvas
from fairpull.show.chart_frame import Range
from fairpull.show.chart_rows import Row
from fairpull.show.chart_theme import colour, dash
from fairpull.show.facts import words
from fairpull.show.facts.words import plain
from fairpull.terms.comparison import Difference

GAIN, LOSS = 3, 6  # places in the palette: bluish green, vermillion


def values_range(rows: Sequence[Row], smallest: float) -> Range:
    """Room for the band, for zero and for the smallest difference worth having, and a strip beneath for words."""
    ends = [row[name] for row in rows for name in ("low", "high") if math.isfinite(row[name])]
    low, high = min([*ends, -1.6 * smallest]), max([*ends, 1.6 * smallest])
    return (low - 0.18 * (high - low), high + 0.12 * (high - low))


def _worth(canvas: Canvas, smallest: float) -> list[alt.Chart]:
    theme, axis = canvas.theme, canvas.frame.axis
    row = {"x": axis[0], "x2": axis[1], "low": -smallest, "high": smallest}
    area = alt.Chart(canvas.data([row])).mark_rect(color=theme.faint, opacity=0.16)
    edges = alt.Chart(canvas.data([{"y": -smallest}, {"y": smallest}])).mark_rule(
        color=theme.quiet, strokeWidth=0.8, strokeDash=[2, 3]
    )
    zero = alt.Chart(canvas.data([{"y": 0.0}])).mark_rule(color=theme.ink, strokeWidth=1)
    return [
        area.encode(x=alt.X("x:Q"), x2="x2:Q", y=alt.Y("low:Q"), y2="high:Q"),
        edges.encode(y=alt.Y("y:Q")),
        zero.encode(y=alt.Y("y:Q")),
    ]


def span_rows(canvas: Canvas, difference: Difference) -> list[Row]:
    """Where gain and loss hold beyond noise: ``x`` and ``x2`` along the axis, ``sign``, ``said``."""
    rows = []
    for span in difference.verdict.spans:
        ends = np.array([span.low, span.high])
        low, high = chart_rows.axis(canvas.comparison, ends, canvas.system).tolist()
        least = 3.0 * (canvas.frame.axis[1] - canvas.frame.axis[0]) / canvas.size.width  # a single rpm is seen too
        if high - low < least:
            low, high = (low + high - least) / 2, (low + high + least) / 2
        said = "+ gain" if span.sign > 0 else "\u2212 loss"
        rows.append({"x": low, "x2": high, "sign": int(span.sign), "said": said})
    return rows


def said_rows(canvas: Canvas, difference: Difference) -> list[Row]:
    """Where the spans' words stand: ``x``, ``said``; the sign alone where there is no room, nothing where none is."""
    per = canvas.size.width / (canvas.frame.axis[1] - canvas.frame.axis[0])
    letter = 0.62 * canvas.size.font
    rows: list[Row] = []
    free = -math.inf
    for row in span_rows(canvas, difference):
        middle = (row["x"] + row["x2"]) / 2
        for said in (row["said"], row["said"][0]):
            half = letter * (len(said) + 1) / 2.0 / per
            if middle - half >= free:
                rows.append({"x": middle, "said": said})
                free = middle + half
                break
    return rows


def _spans(canvas: Canvas, difference: Difference, values: Range) -> list[alt.Chart]:
    floor = values[0] + 0.045 * (values[1] - values[0])
    layers: list[alt.Chart] = []
    for row in span_rows(canvas, difference):
        tone = canvas.theme.builds[GAIN if row["sign"] > 0 else LOSS]
        bar = alt.Chart(canvas.data([{**row, "y": floor}])).mark_rule(color=tone, strokeWidth=4)
        layers.append(bar.encode(x=alt.X("x:Q"), x2="x2:Q", y=alt.Y("y:Q")))
    middles = [{**row, "y": floor} for row in said_rows(canvas, difference)]
    mark: dict[str, Any] = {"fontSize": canvas.size.font - 1, "baseline": "bottom", "dy": -4}
    return [
        *layers,
        *(chart_marks.words(canvas, middles, "y", "said", tone=canvas.theme.ink, **mark) if middles else ()),
    ]


def crossover_rows(canvas: Canvas, difference: Difference) -> list[Row]:
    """Crossovers along the axis: ``x``, ``low``, ``high``, ``said``."""
    rows = []
    for one in difference.crossovers:
        ends = np.array([one.value, one.low, one.high])
        x, low, high = chart_rows.axis(canvas.comparison, ends, canvas.system).tolist()
        decimals = digits.interval_decimals(low, high, default=0)
        said = f"crossover {digits.number(x, decimals)} ({digits.interval(low, high, decimals)})"
        rows.append({"x": x, "low": low, "high": high, "said": said})
    return rows


def _crossovers(canvas: Canvas, difference: Difference, at: float) -> list[alt.Chart]:
    rows = crossover_rows(canvas, difference)
    if not rows:
        return []
    tone, size = canvas.theme.quiet, canvas.size
    base = alt.Chart(canvas.data([{**row, "y": at} for row in rows]))
    labels = [{"x": row["high"], "y": at, "said": row["said"]} for row in rows]
    mark: dict[str, Any] = {
        "fontSize": size.font - 1,
        "align": "left",
        "baseline": "middle",
        "dx": 8,
        "limit": size.width,
    }
    return [
        base.mark_rule(color=tone, strokeWidth=1, strokeDash=[3, 3]).encode(x=alt.X("x:Q")),
        base.mark_rule(color=tone, strokeWidth=2).encode(x=alt.X("low:Q"), x2="high:Q", y=alt.Y("y:Q")),
        *chart_marks.words(canvas, labels, "y", "said", tone=canvas.theme.ink, **mark),
    ]


def _title(canvas: Canvas, difference: Difference, smallest: float) -> str | list[str]:
    names = f"{plain(difference.other)} against {plain(difference.reference)}, % of {words.quantity(canvas.comparison)}"
    level = words.fraction(difference.verdict.level, decimals=0)
    legend = f"tinted: {level} band; grey: under {digits.bare(smallest, 2)} %"
    return [names, legend] if canvas.size.width < 400 else f"{names}   \u00b7   {legend}, not worth having"


def panel(canvas: Canvas, place: int, *, last: bool) -> list[alt.Chart]:
    """The layers of one difference's panel.

    Args:
        canvas: the chart being drawn.
        place: which difference, 0 first.
        last: whether the axis carries its labels here.
    """
    difference = canvas.comparison.differences[place]
    rows = chart_rows.difference_rows(canvas.comparison, difference, canvas.system)
    smallest = 100.0 * canvas.comparison.question.smallest
    values = values_range(rows, smallest)
    tone = colour(canvas.theme, place + 1)
    both = (rows[0]["x"], rows[-1]["x"]) if rows else (0.0, 0.0)
    regions = chart_frame.untested(canvas.frame.axis, both)
    x = chart_marks.x_of(canvas, labels=last)
    y = chart_marks.y_of(canvas, values, _title(canvas, difference, smallest), signed=True)
    line = alt.Chart(canvas.data(rows)).mark_line(color=tone, strokeWidth=2.4, strokeDash=dash(place + 1))
    top = values[1] - 0.05 * (values[1] - values[0])
    return [
        *_worth(canvas, smallest),
        chart_marks.band(canvas, rows, alt.value(tone), 0.26),
        *chart_marks.untested(canvas, regions, values, canvas.size.under, "not tested by both", [0.0]),
        line.encode(x=x, y=y),
        *_spans(canvas, difference, values),
        *_crossovers(canvas, difference, top),
    ]
