"""Every channel of a pull as small charts above each other, with one cursor through all of them.

Altair is imported with this module, so this module is imported lazily.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from typing import Any

import altair as alt
import numpy as np

from fairpull.show import chart_frame, chart_pull_panels, chart_pull_rows
from fairpull.show.chart_pull_marks import Ground, Spec, cursor, finish, labels, panel, shaded, x_of, y_of
from fairpull.show.chart_pull_panels import RPM, Axis, Panel
from fairpull.show.chart_pull_rows import Range, Row
from fairpull.show.chart_theme import Size, Theme, colour, dash
from fairpull.show.facts.words import plain
from fairpull.terms.arrays import FloatArray
from fairpull.terms.pull import Pull
from fairpull.terms.pull_page import PullPage

HEIGHTS = {"wide": 76, "narrow": 84}
TALL = {"wide": 130, "narrow": 140}
"""Height of a panel of several channels [px]."""
MANY = 3
SPACING = 40
LABELS_EVERY = 6  # panels between two rows of axis labels
LEAST_SPAN = 0.05  # of its values that a panel spans, so that noise does not look like an event


def channels(
    page: PullPage,
    theme: Theme,
    size: Size,
    system: str = "us",
    *,
    by: str = RPM,
    only: Collection[str] = (),
    live: bool = True,
) -> Spec:
    """The small charts.

    Args:
        page: content of the page; the latest of its earlier pulls is drawn behind, where there is one.
        theme, size: looks.
        system: "us" or "metric".
        by: "rpm" or "time"; rpm where the pull has no clock.
        only: plain names of the channels that are wanted; all where none of them is there.
        live: with the cursor; a still picture has none.

    Returns:
        A Vega-Lite document; without a trace, an empty frame that says so.
    """
    if page.trace is None:
        return _nothing(page, theme, size)
    given = chart_pull_panels.axis(page.trace, by)
    drawn = chart_pull_panels.panels(page.trace, given.kind, system, only)
    if not drawn:
        return _nothing(page, theme, size)
    ground = Ground(theme, size, given.ends, given.title)
    told, rows = chart_pull_panels.reading(page, given.kind, system, only)
    behind = _behind(page, given.kind, system)
    count = sum(len(one.lines) for one in drawn)
    each = chart_pull_panels.points_each(count, chart_pull_panels.OWN_POINTS, size.width)
    charts, readers = [], []
    for n, one in enumerate(drawn):
        layers = _panel(page, ground, given, one, behind.get(one.base), each, n, len(drawn))
        if rows and live:
            readers.append(f"read_{n}")
            layers += cursor(ground, rows, (told[0], told[n + 1], told[-1]), readers[-1], f"p{n}")
        charts.append(panel(layers, size.width, _height(one, size)))
    title = [f"{plain(page.line.name)}: channels by {given.kind}, as logged"]
    title += [f"grey: {plain(page.earlier[-1].curve.name)}"] if behind else []
    return finish(charts, ground, title, readers, SPACING)


def _height(panel: Panel, size: Size) -> int:
    return (TALL if len(panel.lines) >= MANY else HEIGHTS)[size.name]


def _nothing(page: PullPage, theme: Theme, size: Size) -> Spec:
    ground = Ground(theme, size, (0.0, 1.0), "")
    said = alt.Chart(ground.data([{"said": "no channel can be drawn"}])).mark_text(color=theme.quiet)
    only = panel([said.encode(text="said:N")], size.width, HEIGHTS["wide"])
    return finish([only], ground, f"{plain(page.line.name)}: channels", [], SPACING)


def _behind(page: PullPage, by: str, system: str) -> dict[str, tuple[Panel, Axis]]:
    """Panels of the latest earlier pull, by their channel; none of a pull without a clock along time."""
    if not page.earlier:
        return {}
    trace = page.earlier[-1].trace
    given = chart_pull_panels.axis(trace, by)
    if given.kind != by:
        return {}
    return {panel.base: (panel, given) for panel in chart_pull_panels.panels(trace, by, system)}


def _panel(
    page: PullPage,
    ground: Ground,
    given: Axis,
    shown: Panel,
    behind: tuple[Panel, Axis] | None,
    each: int,
    place: int,
    count: int,
) -> list[Any]:
    """The layers of one panel, without its cursor."""
    own = {line.label: _rows(given.x, line.values, each) for line in shown.lines}
    reference: list[Row] = []
    if behind is not None:
        budget = chart_pull_panels.points_each(count, chart_pull_panels.REFERENCE_POINTS, ground.size.width)
        reference = _reference(ground, behind, budget // max(len(behind[0].lines), 1))
    known = [row for rows in (*own.values(), reference) for row in rows if row["value"] is not None]
    values = panel_range(known)
    last = place == count - 1
    x = x_of(ground, labels=last or place % LABELS_EVERY == LABELS_EVERY - 1, title=last)
    y = y_of(ground, values, shown.title, ticks=3)
    frame = alt.Chart(ground.data([{"x": one, "value": values[0]} for one in ground.axis]))
    layers: list[Any] = [frame.mark_point(opacity=0, aria=False).encode(x=x, y=y)]
    layers += shaded(ground, _spans(page, ground, given, shown.base), numbered=True)
    layers += _limit(page, ground, given)
    if reference:
        line = alt.Chart(ground.data(reference)).mark_line(color=ground.theme.faint, strokeWidth=1, clip=True)
        layers.append(line.encode(x=alt.X("x:Q"), y=alt.Y("value:Q"), detail="line:N"))
    for n, rows in enumerate(own.values()):
        base = alt.Chart(ground.data(rows))
        style: dict[str, Any] = {"color": colour(ground.theme, n), "strokeWidth": 1.3, "strokeDash": dash(n)}
        drawn = base.mark_line(**style, point=_dots(page, style["color"]))
        layers.append(drawn.encode(x=alt.X("x:Q"), y=alt.Y("value:Q")))
    return layers + _names(ground, own, values, _height(shown, ground.size))


def _dots(page: PullPage, tone: str) -> Any:
    """Held steps are dots on their line; a channel of one sample would be no line at all."""
    few = page.trace is not None and page.trace.channels["rpm"].size < 60
    return {"filled": True, "size": 18, "color": tone} if few else False


def _rows(x: FloatArray, values: FloatArray, most: int) -> list[Row]:
    return [{"x": at, "value": value} for at, value in chart_pull_rows.thinned(x, values, most)]


def _reference(ground: Ground, behind: tuple[Panel, Axis], most: int) -> list[Row]:
    panel, given = behind
    low, high = ground.axis
    return [
        {"line": str(n), **row}
        for n, line in enumerate(panel.lines)
        for row in _rows(given.x, line.values, max(most, 20))
        if low <= row["x"] <= high
    ]


def panel_range(rows: Sequence[Row]) -> Range:
    """Range of values that one panel spans: its own, a little wider, and never so narrow that noise fills it."""
    values = [row["value"] for row in rows]
    if not values:
        return (0.0, 1.0)
    low, high = min(values), max(values)
    least = LEAST_SPAN * max(abs(high), abs(low))
    if high - low >= least > 0.0:
        return chart_frame.values_range(rows, ("value",))
    middle, half = (low + high) / 2, least / 2 or 1.0
    return (middle - half, middle + half)


def _spans(page: PullPage, ground: Ground, given: Axis, base: str) -> list[Row]:
    """Findings that concern this channel, along this axis."""
    least = 4 * ground.per_pixel
    if given.kind == RPM:
        return chart_pull_rows.spans(page, least, base)
    rows = []
    for row in chart_pull_rows.spans(page, 0.0, base):
        ends = time_of(page.trace, given.x, (row["x"], row["x2"]))
        if ends is not None:
            middle, half = sum(ends) / 2, max(ends[1] - ends[0], least) / 2
            rows.append({**row, "x": middle - half, "x2": middle + half})
    return rows


def time_of(trace: Pull | None, seconds: FloatArray, speeds: Range) -> Range | None:
    """From when to when a pull ran between two speeds; None where it never did."""
    if trace is None:
        return None
    rpm = trace.channels["rpm"]
    inside = seconds[(rpm >= speeds[0]) & (rpm <= speeds[1])]
    inside = inside[np.isfinite(inside)]
    return (float(inside.min()), float(inside.max())) if inside.size else None


def _limit(page: PullPage, ground: Ground, given: Axis) -> list[Any]:
    """Where the pull stops to count."""
    limit = page.line.valid_to
    if limit is None:
        return []
    at: float | None = limit
    if given.kind != RPM:
        before = time_of(page.trace, given.x, (-np.inf, limit))
        at = None if before is None else before[1]
    if at is None:
        return []
    rule = alt.Chart(ground.data([{"x": at}])).mark_rule(color=ground.theme.quiet, strokeWidth=1, strokeDash=[2, 2])
    return [rule.encode(x=alt.X("x:Q"))]


def _names(ground: Ground, own: dict[str, list[Row]], values: Range, height: int) -> list[Any]:
    """Direct labels of channels that stand together."""
    ends = []
    for label, rows in own.items():
        known = [row for row in rows if row["value"] is not None]
        if label and known:
            ends.append({**known[-1], "label": plain(label)})
    if not ends:
        return []
    edge = max(row["x"] for row in ends)
    gap = min(ground.size.font + 1.0, height / len(ends))
    at = chart_frame.spread([row["value"] for row in ends], values, height, gap)
    return labels(ground, [{**row, "x": edge, "value": place} for row, place in zip(ends, at, strict=True)])
