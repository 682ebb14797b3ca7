"""The day as a chart: band average per pull in running order with the expected drift, and the factor beneath."""

from __future__ import annotations

from collections.abc import Sequence

import altair as alt

from fairpull.show import chart_frame, chart_marks, chart_rows, scale
from fairpull.show.chart_canvas import Canvas
from fairpull.show.chart_frame import Range
from fairpull.show.chart_rows import Row
from fairpull.show.facts import words
from fairpull.show.facts.words import plain

SHAPES = ("circle", "square", "triangle-up", "diamond", "cross", "triangle-down", "triangle-left", "triangle-right")


def _x(count: int, *, labels: bool) -> alt.X:
    axis = alt.Axis(
        title="pull, in running order" if labels else None,
        labels=labels,
        ticks=labels,
        values=list(range(1, count + 1)),
        format="d",
        labelOverlap=True,
    )
    return alt.X("x:Q", scale=alt.Scale(domain=[0.5, count + 0.5], nice=False, zero=False), axis=axis)


def _tooltip(canvas: Canvas) -> list[alt.Tooltip]:
    comparison, system = canvas.comparison, canvas.system
    unit = scale.label(words.main_unit(comparison), system, comparison.quantity)
    return [
        alt.Tooltip("pull:N"),
        alt.Tooltip("build:N"),
        alt.Tooltip("time:N"),
        alt.Tooltip("value:Q", title=f"mean, {unit}", format=",.1f"),
        alt.Tooltip("factor:Q", format=".4f"),
        alt.Tooltip("inlet:Q", title=f"inlet, {scale.label('K', system)}", format=".0f"),
        alt.Tooltip("drift:Q", title="expected drift, %", format="+.2f"),
    ]


def _ends(canvas: Canvas, rows: Sequence[Row], values: Range, count: int) -> list[Row]:
    ends = [row for row in rows if row["x"] == count]
    places = chart_frame.spread([row["value"] for row in ends], values, canvas.size.under, canvas.size.font + 3)
    return [{"x": count, "value": at, "label": row["build"]} for row, at in zip(ends, places, strict=True)]


def _averages(canvas: Canvas, rows: Sequence[Row], count: int) -> alt.LayerChart:
    comparison, size = canvas.comparison, canvas.size
    levels = chart_rows.level_rows(comparison, canvas.system)
    values = chart_frame.values_range([*rows, *levels], ("value",), margin=0.15)
    names = [plain(group.name) for group in comparison.groups]
    tone, dashes = chart_marks.build_scales(canvas)
    kinds = alt.Scale(domain=names, range=[SHAPES[n % len(SHAPES)] for n in range(len(names))])
    unit = scale.label(words.main_unit(comparison), canvas.system, comparison.quantity)
    title = f"mean {words.quantity(comparison)}, {unit}; lines: each build's level with the day's expected drift"
    short = [f"mean {words.quantity(comparison)}, {unit}", "lines: expected drift"]
    dots = (
        alt.Chart(canvas.data(rows))
        .mark_point(size=90, filled=True, opacity=1)
        .encode(
            x=_x(count, labels=False),
            y=chart_marks.y_of(canvas, values, title if size.width > 400 else short),
            color=tone,
            shape=alt.Shape("build:N", legend=None, scale=kinds),
            tooltip=_tooltip(canvas),
        )
    )
    lines = alt.Chart(canvas.data(levels)).mark_line(strokeWidth=1.4, opacity=0.75)
    drawn = lines.encode(x=alt.X("x:Q"), y=alt.Y("value:Q"), color=tone, strokeDash=dashes)
    named = chart_marks.labels(canvas, _ends(canvas, levels, values, count))
    layered: alt.LayerChart = alt.LayerChart(layer=[drawn, dots, *named])
    return layered.properties(width=size.width, height=size.under)


def _factors(canvas: Canvas, rows: Sequence[Row], count: int) -> alt.Chart:
    theme = canvas.theme
    values = chart_frame.values_range(rows, ("factor",), margin=0.25)
    title = f"factor, {words.standard_name(canvas.comparison.standard)}"
    y = alt.Y(
        "factor:Q",
        scale=alt.Scale(domain=list(values), nice=False, zero=False),
        axis=alt.Axis(title=title, tickCount=3, format=".3f"),
    )
    drawn: alt.Chart = (
        alt.Chart(canvas.data(rows))
        .mark_line(color=theme.quiet, strokeWidth=1.2, point={"color": theme.quiet, "size": 30})
        .encode(x=_x(count, labels=True), y=y, tooltip=_tooltip(canvas))
        .properties(width=canvas.size.width, height=canvas.size.under // 2)
    )
    return drawn


def panels(canvas: Canvas) -> alt.VConcatChart:
    """The timeline: averages above, factor beneath, one dot per pull."""
    rows = chart_rows.timeline_rows(canvas.comparison, canvas.system)
    count = max((int(row["x"]) for row in rows), default=1)
    stacked = alt.vconcat(_averages(canvas, rows, count), _factors(canvas, rows, count), spacing=44)
    resolved: alt.VConcatChart = stacked.resolve_scale(x="shared", y="independent", color="independent")
    return resolved
