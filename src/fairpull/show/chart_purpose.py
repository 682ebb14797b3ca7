"""Scores on a duty as pictures: the ranking with its ties, and the curves under what the duty asks for.

Altair is imported with this module, so this module is imported lazily.
"""

from __future__ import annotations

from typing import Any

import altair as alt

from fairpull.show import chart_frame, chart_purpose_rows, digits
from fairpull.show.chart_marks import HALO
from fairpull.show.chart_pull_marks import Ground, cursor, finish, hatched, labels, panel, words, x_of, y_of
from fairpull.show.chart_purpose_rows import Line, Row
from fairpull.show.chart_theme import DECLARED_DASH, Size, Theme, colour, dash
from fairpull.terms.duty_view import DutyView

Spec = dict[str, Any]
NEED = 6  # place in the palette of what the duty asks for
LINE, HEAD = 46, 30  # height of a build's line and of a heading [px]


def ranking(view: DutyView, theme: Theme, size: Size, system: str = "us") -> Spec:
    """Every build's score with its interval, best first, ties under one heading.

    Args:
        view: the scores.
        theme, size: looks.
        system: "us" or "metric".

    Returns:
        A Vega-Lite document.
    """
    lines = chart_purpose_rows.ranking_lines(view.scores, system)
    axis = chart_purpose_rows.score_range(view.scores, system)
    ground = Ground(theme, size, axis, chart_purpose_rows.score_title(view.scores, system))
    tops, height = _places(lines)
    bare = alt.Axis(title=None, labels=False, ticks=False, domain=False, grid=False)
    y = alt.Y("value:Q", scale=alt.Scale(domain=[height, 0], nice=False, zero=False), axis=bare)
    axis_x = alt.Axis(title=ground.title, tickCount=size.ticks, titleAlign="left", format=",~f", grid=True)
    x = alt.X("x:Q", scale=alt.Scale(domain=list(axis), nice=False, zero=False), axis=axis_x)
    layers = [*_asked(ground, view, system, height), *_headings(ground, lines, tops, y)]
    for line, top in zip(lines, tops, strict=True):
        if not line.heading:
            layers += _build(ground, line, top, x, y)
    if all(line.heading or line.value is None for line in lines):
        empty = alt.Chart(ground.data([{"x": axis[0], "value": 0.0}])).mark_point(opacity=0, aria=False)
        layers.append(empty.encode(x=x, y=y))
    return finish([panel(layers, size.width, height)], ground, view.scores.duty.name, (), 0)


def _places(lines: list[Line]) -> tuple[list[int], int]:
    """Top of each line [px], and the height of all."""
    tops, at = [], 0
    for line in lines:
        at += 8 if line.heading and at else 0
        tops.append(at)
        at += _height(line)
    return tops, max(at, LINE) + 6


def _height(line: Line) -> int:
    if not line.heading:
        return LINE
    return HEAD if line.name else 4


def _asked(ground: Ground, view: DutyView, system: str, height: int) -> list[alt.Chart]:
    """Where the demand is met, for duties that ask for a power."""
    at = chart_purpose_rows.demand(view.scores, system)
    if at is None or not ground.axis[0] <= at <= ground.axis[1]:
        return []
    tone = ground.theme.builds[NEED]
    rule = alt.Chart(ground.data([{"x": at}])).mark_rule(color=tone, strokeWidth=1.5, strokeDash=[5, 3])
    said = [{"x": at, "said": "demand", "value": height - 4}]
    base = alt.Chart(ground.data(said))
    mark: dict[str, Any] = {"align": "left", "dx": 4, "baseline": "bottom", "fontSize": ground.size.font - 1}
    places = {"x": alt.X("x:Q"), "y": alt.value(height - 2), "text": alt.Text("said:N")}
    halo = base.mark_text(stroke=ground.theme.page, color=ground.theme.page, aria=False, **HALO, **mark)
    return [
        rule.encode(x=alt.X("x:Q")),
        halo.encode(**places),
        base.mark_text(color=ground.theme.ink, **mark).encode(**places),
    ]


def _headings(ground: Ground, lines: list[Line], tops: list[int], y: alt.Y) -> list[alt.Chart]:
    left = ground.axis[0]
    rows = [
        {"x": left, "value": top + HEAD - 9, "said": line.name}
        for line, top in zip(lines, tops, strict=True)
        if line.heading and line.name
    ]
    rules = [
        {"x": left, "x2": ground.axis[1], "value": top + max(_height(line) - 5, 0)}
        for line, top in zip(lines, tops, strict=True)
        if line.heading
    ]
    if not rules:
        return []
    rule = alt.Chart(ground.data(rules)).mark_rule(color=ground.theme.faint, strokeWidth=1, aria=False)
    mark: dict[str, Any] = {"align": "left", "baseline": "bottom", "fontSize": ground.size.font, "fontWeight": 600}
    return [
        rule.encode(x=alt.X("x:Q"), x2="x2:Q", y=y),
        *(words(ground, rows, "said", tone=ground.theme.quiet, limit=ground.size.width, **mark) if rows else ()),
    ]


def _build(ground: Ground, line: Line, top: int, x: alt.X, y: alt.Y) -> list[alt.Chart]:
    """One build: its rank and name, its score in words on the same line, dot and bar beneath."""
    size, theme = ground.size, ground.theme
    said = line.said if size.width > 400 else line.short
    room = size.width - 7 * len(said) - 12
    name: dict[str, Any] = {"align": "left", "baseline": "bottom", "fontSize": size.font, "limit": max(room, 60)}
    right: dict[str, Any] = {"align": "right", "baseline": "bottom", "fontSize": size.font, "limit": size.width - 80}
    level = top + 20
    layers = [
        *words(ground, [{"x": ground.axis[0], "value": level, "said": line.label}], "said", tone=theme.ink, **name),
        *words(ground, [{"x": ground.axis[1], "value": level, "said": said}], "said", tone=theme.quiet, **right),
    ]
    if line.value is None:
        return layers
    row = {"x": line.low, "x2": line.high, "at": line.value, "value": level + 10, "build": line.name, "said": line.said}
    base = alt.Chart(ground.data([row]))
    tips = [alt.Tooltip("build:N"), alt.Tooltip("said:N", title="score")]
    tone = theme.ink if line.ranked else theme.quiet
    bar = base.mark_rule(color=tone, strokeWidth=3, strokeCap="round", strokeDash=[1, 0] if line.ranked else [4, 4])
    dot = base.mark_point(
        shape="circle" if line.ranked else "cross",
        size=90,
        filled=line.ranked,
        opacity=1,
        color=tone,
        fill=tone if line.ranked else theme.page,
        strokeWidth=2,
    )
    return [
        *layers,
        bar.encode(x=x, x2="x2:Q", y=y, tooltip=tips),
        dot.encode(x=alt.X("at:Q"), y=y, tooltip=tips),
    ]


def curves(view: DutyView, theme: Theme, size: Size, system: str = "us") -> Spec:
    """Every build's curve at the output shaft with its interval, under the bands, points or load of the duty.

    Args:
        view: scores and curves.
        theme, size: looks.
        system: "us" or "metric".

    Returns:
        A Vega-Lite document.
    """
    rows = chart_purpose_rows.curve_rows(view, system)
    asked = chart_purpose_rows.asked_rows(view, system)
    axis = chart_purpose_rows.rpm_range(view, rows)
    rows = chart_purpose_rows.inside(rows, axis)
    ground = Ground(theme, size, axis, chart_purpose_rows.rpm_title(view.scores.duty))
    low, high = chart_frame.values_range([*rows, *asked.line, *asked.points], ("value", "low", "high"))
    values = (low, high + 0.12 * (high - low))
    start = "" if low == 0.0 else f" (axis starts at {low:,.4g})"
    title = f"{chart_purpose_rows.curve_title(view.scores.duty, system)}{start}"
    x, y = x_of(ground, labels=True, title=True), y_of(ground, values, title)
    names = list(dict.fromkeys(row["build"] for row in rows))
    tested = [row["x"] for row in rows]
    outside = chart_frame.untested(axis, (min(tested), max(tested))) if tested else [axis]
    layers = [
        *_bands(ground, asked.bands, values),
        *hatched(ground, outside, values, size.overlay, "not tested"),
        *_bars(ground, asked.bars, values),
    ]
    tone = alt.Color(
        "build:N", legend=None, scale=alt.Scale(domain=names, range=[colour(theme, n) for n in range(len(names))])
    )
    dashes = alt.StrokeDash(
        "build:N", legend=None, scale=alt.Scale(domain=names, range=[dash(n) for n in range(len(names))])
    )
    base = alt.Chart(ground.data(rows))
    layers.append(base.mark_area(opacity=0.10, line=False).encode(x=x, y=alt.Y("low:Q"), y2="high:Q", color=tone))
    layers.append(base.mark_line(strokeWidth=2.2).encode(x=x, y=y, color=tone, strokeDash=dashes))
    layers += _load(ground, asked.line, asked.margin)
    layers += _points(ground, asked.points)
    layers += labels(ground, _ends(ground, rows, names, values))
    fields, read = chart_purpose_rows.reading(view, system)
    layers += cursor(ground, read, fields, "curves-strips")
    return finish([panel(layers, size.width, size.overlay)], ground, view.scores.duty.name, ("curves-strips",), 0)


def _ends(ground: Ground, rows: list[Row], names: list[str], values: tuple[float, float]) -> list[Row]:
    """Names right of the panel, as near to where each curve ends as they can stand without touching."""
    ends = {row["build"]: row for row in rows}
    per = (values[1] - values[0]) / ground.size.overlay
    gap = (ground.size.font + 3) * per
    placed = chart_purpose_rows.apart([float(ends[name]["value"]) for name in names], gap, values)
    right = max((row["x"] for row in rows), default=ground.axis[1])
    return [{"x": right, "value": at, "label": name} for name, at in zip(names, placed, strict=True)]


def _bands(ground: Ground, bands: list[Row], values: tuple[float, float]) -> list[alt.Chart]:
    """Bands of speed with their weights: a tint that is stronger where the weight is larger, and the share on top."""
    if not bands:
        return []
    theme, size = ground.theme, ground.size
    layers = []
    for band in bands:
        base = alt.Chart(ground.data([band]))
        shade = base.mark_rect(color=theme.builds[5], opacity=0.05 + 0.22 * band["share"], aria=False)
        layers.append(shade.encode(x=alt.X("x:Q"), x2="x2:Q"))
    edges = alt.Chart(ground.data([{"x": at} for band in bands for at in (band["x"], band["x2"])]))
    layers.append(edges.mark_rule(color=theme.faint, strokeWidth=1, aria=False).encode(x=alt.X("x:Q")))
    top = values[1] - 0.015 * (values[1] - values[0])
    said = [{"x": (band["x"] + band["x2"]) / 2, "value": top, "said": band["said"]} for band in bands]
    mark: dict[str, Any] = {"baseline": "top", "fontSize": size.font, "fontWeight": 600}
    return [*layers, *words(ground, said, "said", tone=theme.ink, **mark)]


def _bars(ground: Ground, bars: list[Row], values: tuple[float, float]) -> list[alt.Chart]:
    """Time at each speed: bars from the foot, as high as the time is long."""
    if not bars:
        return []
    theme, size = ground.theme, ground.size
    foot, room = values[0], 0.3 * (values[1] - values[0])
    most = max(bar["share"] for bar in bars)
    rows = [{**bar, "low": foot, "high": foot + room * bar["share"] / most} for bar in bars]
    drawn = alt.Chart(ground.data(rows)).mark_rule(color=theme.builds[5], opacity=0.55, strokeWidth=9)
    said = [{"x": row["x"], "value": row["high"], "said": row["said"]} for row in rows]
    mark: dict[str, Any] = {"baseline": "bottom", "dy": -3, "fontSize": size.font}
    return [
        drawn.encode(x=alt.X("x:Q"), y=alt.Y("low:Q"), y2="high:Q"),
        *words(ground, said, "said", tone=theme.ink, **mark),
    ]


def _load(ground: Ground, line: list[Row], margin: float) -> list[alt.Chart]:
    """The load line, and above it the margin that must be left over."""
    if not line:
        return []
    tone = ground.theme.builds[NEED]
    layers = [
        alt.Chart(ground.data([{"x": row["x"], "value": row["value"]} for row in line]))
        .mark_line(color=tone, strokeWidth=2.6, strokeDash=[2, 2])
        .encode(x=alt.X("x:Q"), y=alt.Y("value:Q"))
    ]
    place = line[len(line) // 3]
    said = [{"x": place["x"], "value": place["value"], "said": "needed"}]
    if margin > 0:
        spare = [{"x": row["x"], "low": row["value"], "high": row["high"]} for row in line]
        area = alt.Chart(ground.data(spare)).mark_area(color=tone, opacity=0.18, line=False)
        layers.insert(0, area.encode(x=alt.X("x:Q"), y=alt.Y("low:Q"), y2="high:Q"))
        said[0]["said"] = f"needed, tinted: {digits.bare(100.0 * margin, 2)} % over"
    mark: dict[str, Any] = {"align": "left", "baseline": "top", "dx": 6, "dy": 6, "fontSize": ground.size.font}
    return [*layers, *words(ground, said, "said", tone=ground.theme.ink, **mark)]


def _points(ground: Ground, points: list[Row]) -> list[alt.Chart]:
    """Loaded points of a cycle, with their numbers."""
    if not points:
        return []
    base = alt.Chart(ground.data(points))
    drawn = base.mark_point(
        shape="diamond", size=110, filled=True, opacity=1, color=ground.theme.builds[NEED], stroke=ground.theme.page
    )
    line = base.mark_line(color=ground.theme.builds[NEED], strokeWidth=1, strokeDash=list(DECLARED_DASH), aria=False)
    tips = [alt.Tooltip("said:N", title="point"), alt.Tooltip("told:N", title="needs")]
    mark: dict[str, Any] = {"align": "left", "baseline": "top", "dx": 7, "dy": 3, "fontSize": ground.size.font}
    shown = [line] if chart_purpose_rows.lies_along_a_line(points) else []
    return [
        *(one.encode(x=alt.X("x:Q"), y=alt.Y("value:Q")) for one in shown),
        drawn.encode(x=alt.X("x:Q"), y=alt.Y("value:Q"), tooltip=tips),
        *words(ground, points, "said", tone=ground.theme.ink, **mark),
    ]
