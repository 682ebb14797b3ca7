"""Single layers of the charts, each a small Altair chart over rows of plain numbers."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import altair as alt

from fairpull.show import chart_frame
from fairpull.show.chart_canvas import Canvas
from fairpull.show.chart_frame import Range
from fairpull.show.chart_rows import Row
from fairpull.show.chart_theme import DECLARED_DASH, colour, dash
from fairpull.show.facts.words import plain

SIGNED = "datum.value == 0 ? '0' : format(datum.value, '+.2~f')"
HALO: dict[str, Any] = {"strokeWidth": 4, "strokeJoin": "round", "strokeOpacity": 0.9}


def x_of(canvas: Canvas, *, labels: bool = True) -> alt.X:
    """The shared axis along the bottom; its labels only under the last panel."""
    frame = canvas.frame
    axis = alt.Axis(
        title=frame.title if labels else None,
        labels=labels,
        ticks=labels,
        tickCount=canvas.size.ticks,
        format=",.0f" if frame.axis[1] > 100 else ".1f",
        titleAlign="left",
    )
    return alt.X("x:Q", scale=alt.Scale(domain=list(frame.axis), nice=False, zero=False), axis=axis)


def y_of(canvas: Canvas, values: Range, title: str | list[str], *, signed: bool = False) -> alt.Y:
    """The axis of values with its title lying above it."""
    said = alt.Axis(labelExpr=SIGNED) if signed else alt.Axis(format=",~f")
    said.title, said.tickCount, said.titleLimit = title, 6, canvas.size.width + 40
    if isinstance(title, list):  # further lines hang beneath the first
        said.titleY = -12 - (len(title) - 1) * (canvas.size.font + 3)
    return alt.Y("value:Q", scale=alt.Scale(domain=list(values), nice=False, zero=False), axis=said)


def build_scales(canvas: Canvas) -> tuple[alt.Color, alt.StrokeDash]:
    """Colour and dash by build: always the same order, never a legend (curves carry their names)."""
    names = [plain(group.name) for group in canvas.comparison.groups]
    tones = alt.Scale(domain=names, range=[colour(canvas.theme, n) for n in range(len(names))])
    dashes = alt.Scale(domain=names, range=[dash(n) for n in range(len(names))])
    return alt.Color("build:N", scale=tones, legend=None), alt.StrokeDash("build:N", scale=dashes, legend=None)


def words(canvas: Canvas, rows: Sequence[Row], y: str, said: str, *, tone: str, **mark: Any) -> list[alt.Chart]:
    """Words on a halo of the page's colour, so that lines behind do not cut through them."""
    base = alt.Chart(canvas.data(rows))
    places = {"x": alt.X("x:Q"), "y": alt.Y(f"{y}:Q"), "text": f"{said}:N"}
    halo = base.mark_text(stroke=canvas.theme.page, color=canvas.theme.page, aria=False, **HALO, **mark)
    return [halo.encode(**places), base.mark_text(color=tone, **mark).encode(**places)]


def untested(
    canvas: Canvas, regions: Sequence[Range], values: Range, height: int, said: str, avoid: Sequence[float] = ()
) -> list[alt.Chart]:
    """Hatched stretches with words: what nobody measured is drawn as that, never left looking like a flat curve.

    Args:
        canvas: the chart being drawn.
        regions: stretches of the axis.
        values: range that the panel spans.
        height: of the panel [px].
        said: the words, read upwards.
        avoid: values near which other words or lines stand.
    """
    at = chart_frame.clear_of(avoid, values)
    lines, labels = [], []
    frame, size = canvas.frame, canvas.size
    per = size.width / (frame.axis[1] - frame.axis[0])
    for region in regions:
        lines.extend(chart_frame.hatch(region, frame.axis, values, size.width, height))
        if (region[1] - region[0]) * per > size.font + 3:
            labels.append({"x": sum(region) / 2, "y": at, "said": said})
    if not lines:
        return []
    hatched = alt.Chart(canvas.data(lines)).mark_rule(color=canvas.theme.hatch, strokeWidth=1, aria=False)
    layers = [hatched.encode(x=alt.X("x:Q"), x2="x2:Q", y=alt.Y("y:Q"), y2="y2:Q")]
    if labels:
        mark: dict[str, Any] = {"angle": 270, "fontSize": size.font - 1, "align": "center", "baseline": "middle"}
        layers.extend(words(canvas, labels, "y", "said", tone=canvas.theme.quiet, **mark))
    return layers


def pulls(canvas: Canvas, rows: Sequence[Row], x: alt.X, y: alt.Y) -> alt.Chart:
    """Every single pull, thin and grey, behind the means."""
    drawn: alt.Chart = (
        alt.Chart(canvas.data(rows))
        .mark_line(color=canvas.theme.faint, strokeWidth=0.8, opacity=0.85)
        .encode(x=x, y=y, detail=["build:N", "pull:N"])
    )
    return drawn


def band(canvas: Canvas, rows: Sequence[Row], tone: Any, opacity: float) -> alt.Chart:
    """The simultaneous band as an area."""
    drawn: alt.Chart = (
        alt.Chart(canvas.data(rows))
        .mark_area(opacity=opacity, line=False, clip=True)
        .encode(x=alt.X("x:Q"), y=alt.Y("low:Q"), y2="high:Q", color=tone)
    )
    return drawn


def means(canvas: Canvas, rows: Sequence[Row]) -> alt.Chart:
    """Every build's mean."""
    tone, dashes = build_scales(canvas)
    drawn: alt.Chart = (
        alt.Chart(canvas.data(rows))
        .mark_line(strokeWidth=2.4, strokeCap="butt")
        .encode(x=alt.X("x:Q"), y=alt.Y("value:Q"), color=tone, strokeDash=dashes)
    )
    return drawn


def declared(canvas: Canvas, rows: Sequence[Row], *, few: bool) -> alt.Chart:
    """Declared curves: dotted, without a band; where they are few, with a dot at every stated point."""
    tone = canvas.theme.quiet
    drawn: alt.Chart = (
        alt.Chart(canvas.data(rows))
        .mark_line(
            color=tone,
            strokeWidth=1.8 if few else 1.0,
            strokeDash=list(DECLARED_DASH),
            strokeCap="round",
            opacity=1.0 if few else 0.55,
            point={"filled": True, "size": 14, "color": tone} if few else False,
        )
        .encode(x=alt.X("x:Q"), y=alt.Y("value:Q"), detail="curve:N")
    )
    return drawn


def labels(canvas: Canvas, rows: Sequence[Row]) -> list[alt.Chart]:
    """Direct labels to the right of where each curve ends."""
    size = canvas.size
    mark: dict[str, Any] = {
        "align": "left",
        "baseline": "middle",
        "dx": 8,
        "fontSize": size.font,
        "limit": size.label_limit,
    }
    return words(canvas, rows, "value", "label", tone=canvas.theme.ink, **mark)


def peaks(canvas: Canvas, rows: Sequence[Row]) -> alt.Chart:
    """Highest values: a ring, or an arrow head upwards where the peak itself was not reached."""
    tone, _ = build_scales(canvas)
    shape = alt.Shape("reached:N", legend=None, scale=alt.Scale(domain=["yes", "no"], range=["circle", "triangle-up"]))
    drawn: alt.Chart = (
        alt.Chart(canvas.data(rows))
        .mark_point(size=70, filled=True, opacity=1, stroke=canvas.theme.page, strokeWidth=1)
        .encode(
            x=alt.X("x:Q"),
            y=alt.Y("value:Q"),
            color=tone,
            shape=shape,
            tooltip=[
                alt.Tooltip("build:N"),
                alt.Tooltip("said:N", title="highest"),
                alt.Tooltip("where:N", title="at"),
            ],
        )
    )
    return drawn


def bracket(canvas: Canvas, at: float, said: str) -> list[alt.Chart]:
    """The band of interest as a thin line with ends and words."""
    low, high = canvas.frame.band
    tone, size = canvas.theme.quiet, canvas.size
    line = alt.Chart(canvas.data([{"x": low, "x2": high, "y": at}])).mark_rule(color=tone, strokeWidth=1)
    ends = alt.Chart(canvas.data([{"x": low, "y": at}, {"x": high, "y": at}]))
    tick = ends.mark_tick(color=tone, thickness=1, size=9, orient="vertical")
    middle = [{"x": (low + high) / 2, "y": at, "said": said}]
    mark: dict[str, Any] = {"fontSize": size.font - 1, "baseline": "bottom", "dy": -3, "limit": size.width}
    return [
        line.encode(x=alt.X("x:Q"), x2="x2:Q", y=alt.Y("y:Q")),
        tick.encode(x=alt.X("x:Q"), y=alt.Y("y:Q")),
        *words(canvas, middle, "y", "said", tone=tone, **mark),
    ]


def reader(
    canvas: Canvas, rows: Sequence[Row], told: Sequence[tuple[str, str]], own: str, names: Sequence[str]
) -> list[alt.Chart]:
    """What the pointer reads: unseen strips, one per grid point, and a rule shown in all panels at once.

    Args:
        canvas: the chart being drawn.
        rows: with ``x``, the strip's ends ``x0`` and ``x1``, and finished strings.
        told: field and title of each string.
        own: name of this panel's selection.
        names: names of all panels' selections.
    """
    selection = alt.selection_point(name=own, on="pointerover", clear="pointerout", fields=["x"], empty=False)
    base = alt.Chart(canvas.data(rows))
    strips = base.mark_rect(color="transparent", aria=False).encode(
        x=alt.X("x0:Q"), x2="x1:Q", tooltip=[alt.Tooltip(f"{field}:N", title=title) for field, title in told]
    )
    any_panel = {"or": [{"param": name, "empty": False} for name in names]}
    opacity = {"condition": {"test": any_panel, "value": 0.9}, "value": 0.0}
    rule = base.mark_rule(color=canvas.theme.quiet, strokeWidth=1, aria=False).encode(
        x=alt.X("x:Q"), opacity=alt.OpacityValue.from_dict(opacity)
    )
    return [rule, strips.add_params(selection)]
