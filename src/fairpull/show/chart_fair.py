"""A fair view as a chart: the ratio on fair ground with its band, the plain ratio beside it; and what boost gave."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

import altair as alt
import numpy as np

from fairpull.show import chart_difference, chart_frame, chart_marks, scale
from fairpull.show.chart_canvas import Canvas
from fairpull.show.chart_frame import Frame, Range
from fairpull.show.chart_rows import Row
from fairpull.show.chart_theme import Size, Theme, colour, config, dash
from fairpull.show.facts import grid
from fairpull.show.fair_rows import AXIS_UNITS, boost_rows, look_rows
from fairpull.terms.comparison import Comparison
from fairpull.terms.ledger import BoostFacts, FairLook

FAIR, PLAIN = 1, 0  # places in the palette: the other build's, and ink


def look(comparison: Comparison, given: FairLook, other: str, theme: Theme, size: Size, system: str) -> dict[str, Any]:
    """A fair view's ratio along its axis, with the plain ratio beside it.

    Args:
        comparison: the result; its smallest difference worth having is drawn.
        given: the view.
        other: name of the build it is about.
        theme, size: looks.
        system: "us" or "metric".

    Returns:
        A Vega-Lite document.
    """
    rows = look_rows(given, system)
    unit = AXIS_UNITS.get(given.axis, "rpm")
    title = given.axis if unit == "rpm" else f"{given.axis}, {scale.label(unit, system)}"
    place = next(n for n, group in enumerate(comparison.groups) if group.name == other)
    return _drawn(
        _canvas(comparison, rows, title, theme, size, system),
        [row for row in rows if row["series"] == "fair"],
        [row for row in rows if row["series"] == "plain"],
        (f"{given.name}, % against {comparison.groups[0].name}", given.name, "plain"),
        place,
    )


def boost(comparison: Comparison, given: BoostFacts, theme: Theme, size: Size, system: str) -> dict[str, Any]:
    """The gain from boost along rpm with its band, and what pressure ratio alone would give.

    Args:
        comparison: the result.
        given: what boost gave.
        theme, size: looks.
        system: "us" or "metric".

    Returns:
        A Vega-Lite document.
    """
    rows = boost_rows(given)
    place = next(n for n, group in enumerate(comparison.groups) if group.name == given.boosted)
    return _drawn(
        _canvas(comparison, rows, "rpm", theme, size, system),
        [row for row in rows if row["series"] == "gain"],
        [row for row in rows if row["series"] == "simple"],
        (f"gain of {given.boosted} over {given.natural}, %", "gain", "by pressure ratio alone"),
        place,
    )


def _canvas(comparison: Comparison, rows: Sequence[Row], title: str, theme: Theme, size: Size, system: str) -> Canvas:
    ends = [row["x"] for row in rows] or [0.0, 1.0]
    low, high = min(ends), max(ends)
    step = grid.nice_step(low, high, most=16)
    axis = (max(step * math.floor(low / step - 0.25), 0.0), step * math.ceil(high / step + 0.25))
    return Canvas(comparison, theme, size, system, Frame(axis, (low, high), (low, high), (low, high), title))


def _drawn(
    canvas: Canvas, main: Sequence[Row], beside: Sequence[Row], said: tuple[str, str, str], place: int
) -> dict[str, Any]:
    smallest = 100.0 * canvas.comparison.question.smallest
    every = [*main, *({**row, "low": row["value"], "high": row["value"]} for row in beside)]
    values = chart_difference.values_range(every, smallest) if every else (-1.0, 1.0)
    tone, theme = colour(canvas.theme, place), canvas.theme
    x, y = chart_marks.x_of(canvas), chart_marks.y_of(canvas, values, said[0], signed=True)
    line = alt.Chart(canvas.data(main)).mark_line(color=tone, strokeWidth=2.4, strokeDash=dash(place))
    zero = alt.Chart(canvas.data([{"y": 0.0}])).mark_rule(color=theme.ink, strokeWidth=1)
    plain = alt.Chart(canvas.data(beside)).mark_line(color=theme.quiet, strokeWidth=1.4, strokeDash=[2, 3])
    layers = [
        zero.encode(y=alt.Y("y:Q")),
        chart_marks.band(canvas, [row for row in main if "low" in row], alt.value(tone), 0.26),
        plain.encode(x=alt.X("x:Q"), y=alt.Y("value:Q")),
        line.encode(x=x, y=y),
        *chart_marks.labels(canvas, _labels(canvas, (main, said[1]), (beside, said[2]), values)),
    ]
    drawn = alt.layer(*layers).properties(width=canvas.size.width, height=canvas.size.under)
    looks = alt.Config.from_dict(config(theme, canvas.size))
    document: dict[str, Any] = drawn.properties(config=looks).to_dict(validate=False)
    document.pop("$schema", None)
    document["datasets"] = canvas.sheets
    return document


def _labels(canvas: Canvas, one: tuple[Sequence[Row], str], two: tuple[Sequence[Row], str], values: Range) -> list[Row]:
    rows = [{**line[-1], "label": name} for line, name in (one, two) if line]
    kept = [{"x": row["x"], "value": row["value"], "label": row["label"]} for row in rows]
    wanted = [float(np.asarray(row["value"])) for row in kept]
    places = chart_frame.spread(wanted, values, canvas.size.under, canvas.size.font + 3)
    return [{**row, "value": at} for row, at in zip(kept, places, strict=True)]
