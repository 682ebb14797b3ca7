"""Spark and mixture loops as pictures: one small panel a speed, and the settings over rpm.

Altair is imported with this module, so this module is imported lazily.
"""

from __future__ import annotations

import math
from typing import Any

import altair as alt

from fairpull.show import chart_frame, chart_tune_rows, digits
from fairpull.show.chart_pull_marks import Ground, hatched, labels, panel, words
from fairpull.show.chart_theme import Size, Theme, config
from fairpull.show.chart_tune_rows import Range, Row
from fairpull.terms.tune_view import TuneView
from fairpull.terms.tuning import Loop

Spec = dict[str, Any]
BEST, BESIDE, NEXT, KNOCK = 5, 3, 1, 6
"""Places in the palette."""
COLUMNS, SMALL_WIDTH, SMALL_HEIGHT = 3, 218, 150
SHAPES = {"no": "circle", "yes": "triangle-up", "not logged": "circle"}


def loops(view: TuneView, theme: Theme, size: Size, system: str = "us") -> Spec:
    """Every loop in a panel of its own: points, parabola with its band, best and next setting, what may be run.

    Args:
        view: the loops.
        theme, size: looks.
        system: "us" or "metric".

    Returns:
        A Vega-Lite document.
    """
    across = COLUMNS if size.width > 400 else 1
    width = SMALL_WIDTH if across > 1 else size.width
    small = Size(size.name, width, SMALL_HEIGHT, SMALL_HEIGHT, size.font - 1 if across > 1 else size.font, 90, 5)
    ground = Ground(theme, small, chart_tune_rows.settings_range(view), chart_tune_rows.setting_title(view))
    panels = [_panel(ground, view, loop, system) for loop in view.result.loops]
    rows = [panels[at : at + across] for at in range(0, len(panels), across)]
    apart = {"scale": {"x": "independent", "y": "independent", "color": "independent"}}
    document: Spec = {
        "vconcat": [{"hconcat": row, "spacing": 26, "resolve": apart} if across > 1 else row[0] for row in rows],
        "spacing": 30,
        "resolve": apart,
        "title": f"{view.result.kind.capitalize()} loops",
        "config": config(theme, small),
        "datasets": ground.sheets,
    }
    return document


def _panel(ground: Ground, view: TuneView, loop: Loop, system: str) -> Spec:
    points = chart_tune_rows.point_rows(view, loop, system)
    fit = [row for row in chart_tune_rows.fit_rows(view, loop, system) if ground.axis[0] <= row["x"] <= ground.axis[1]]
    marks = chart_tune_rows.mark_rows(view, loop, system)
    values = _values(points, fit, marks)
    x, y = _axes(ground, values, f"{digits.number(loop.rpm, 0)} rpm: torque, {_unit(system)}")
    layers = [*_limits(ground, view, values)]
    if fit:
        base = alt.Chart(ground.data(fit))
        tone = ground.theme.ink
        layers.append(
            base.mark_area(color=tone, opacity=0.13, line=False, clip=True).encode(x=x, y="low:Q", y2="high:Q")
        )
        layers.append(base.mark_line(color=tone, strokeWidth=1.8, clip=True).encode(x=x, y=y))
    layers += _spans(ground, marks, values)
    layers += _dots(ground, points, x, y)
    if "next" in marks:
        layers += _next(ground, marks["next"])
    return panel(layers, ground.size.width, ground.size.overlay)


def _unit(system: str) -> str:
    from fairpull.show import scale

    return scale.label("N m", system)


def _values(points: list[Row], fit: list[Row], marks: dict[str, Row]) -> Range:
    """Room for the points and the line; the band may leave the panel where it is wide."""
    ends = [row["value"] for row in (*points, *fit)]
    ends += [marks["next"]["value"]] if "next" in marks else []
    if not ends:
        return (0.0, 1.0)
    low, high = min(ends), max(ends)
    room = max(high - low, 0.004 * abs(high))
    return (low - 0.6 * room, high + 0.2 * room)


def _axes(ground: Ground, values: Range, title: str) -> tuple[alt.X, alt.Y]:
    axis = alt.Axis(title=ground.title, tickCount=ground.size.ticks, format="~f", titleAlign="left")
    x = alt.X("x:Q", scale=alt.Scale(domain=list(ground.axis), nice=False, zero=False), axis=axis)
    up = alt.Axis(title=title, tickCount=4, format=",~f", titleLimit=ground.size.width + 40, titleFontWeight=600)
    return x, alt.Y("value:Q", scale=alt.Scale(domain=list(values), nice=False, zero=False), axis=up)


def _limits(ground: Ground, view: TuneView, values: Range) -> list[alt.Chart]:
    """What may not be run, hatched."""
    if view.span is None:
        return []
    by = chart_tune_rows.factor(view)
    low, high = (one * by for one in view.span)
    regions = chart_frame.untested(ground.axis, (max(low, ground.axis[0]), min(high, ground.axis[1])))
    edges = [{"x": one} for one in (low, high) if ground.axis[0] <= one <= ground.axis[1]]
    rules = alt.Chart(ground.data(edges)).mark_rule(color=ground.theme.builds[KNOCK], strokeWidth=1.5)
    return [
        *hatched(ground, regions, values, ground.size.overlay, "not to be run"),
        *([rules.encode(x=alt.X("x:Q"))] if edges else ()),
    ]


def _spans(ground: Ground, marks: dict[str, Row], values: Range) -> list[alt.Chart]:
    """Best and the setting beside it along the foot: a bar from end to end of the interval, a tick at the value."""
    layers: list[alt.Chart] = []
    height = values[1] - values[0]
    for name, place, share, word in (("best", BEST, 0.15, "best"), ("beside", BESIDE, 0.05, "")):
        if name not in marks:
            continue
        given = marks[name]
        level = values[0] + share * height
        ends = (max(given["x0"], ground.axis[0]), min(given["x1"], ground.axis[1]))
        tone = ground.theme.builds[place]
        row = {"x": ends[0], "x2": ends[1], "value": level, "said": given["said"], "what": name}
        base = alt.Chart(ground.data([row]))
        tips = [alt.Tooltip("what:N", title="setting"), alt.Tooltip("said:N", title="value")]
        bar = base.mark_rule(color=tone, strokeWidth=4, opacity=0.75)
        layers.append(bar.encode(x=alt.X("x:Q"), x2="x2:Q", y=alt.Y("value:Q"), tooltip=tips))
        if ground.axis[0] <= given["x"] <= ground.axis[1]:
            tick = alt.Chart(ground.data([{"x": given["x"], "value": level}]))
            drawn = tick.mark_point(shape="diamond", size=70, filled=True, opacity=1, color=tone)
            layers.append(drawn.encode(x=alt.X("x:Q"), y=alt.Y("value:Q")))
        if word:
            said = [{"x": ground.axis[0], "value": level, "said": f"{word} {given['said']}"}]
            mark: dict[str, Any] = {"align": "left", "baseline": "bottom", "dx": 4, "dy": -5}
            layers += words(ground, said, "said", tone=ground.theme.ink, fontSize=ground.size.font, **mark)
    return layers


def _dots(ground: Ground, points: list[Row], x: alt.X, y: alt.Y) -> list[alt.Chart]:
    layers = []
    for heard, shape in SHAPES.items():
        rows = [row for row in points if row["heard"] == heard]
        if not rows:
            continue
        tone = ground.theme.builds[KNOCK] if heard == "yes" else ground.theme.ink
        base = alt.Chart(ground.data(rows))
        filled = heard != "not logged"
        dots = base.mark_point(
            shape=shape, size=55, filled=filled, opacity=1, color=tone, fill=tone if filled else ground.theme.page
        )
        tips = [alt.Tooltip("pull:N"), alt.Tooltip("heard:N", title="knock")]
        layers.append(dots.encode(x=x, y=y, tooltip=tips))
    return layers


def _next(ground: Ground, row: Row) -> list[alt.Chart]:
    if not ground.axis[0] <= row["x"] <= ground.axis[1]:
        return []
    tone = ground.theme.builds[NEXT]
    base = alt.Chart(ground.data([row]))
    cross = base.mark_point(shape="cross", size=110, filled=True, opacity=1, color=tone, stroke=ground.theme.page)
    mark: dict[str, Any] = {"baseline": "bottom", "dy": -8, "fontSize": ground.size.font, "fontWeight": 600}
    return [
        cross.encode(x=alt.X("x:Q"), y=alt.Y("value:Q")),
        *words(ground, [row], "said", tone=ground.theme.ink, **mark),
    ]


def settings(view: TuneView, theme: Theme, size: Size, system: str = "us") -> Spec:
    """Best setting over rpm with its interval, the setting beside it, what was run, what to run next.

    Args:
        view: the loops.
        theme, size: looks.
        system: "us" or "metric"; settings are the same in both.

    Returns:
        A Vega-Lite document.
    """
    rows = chart_tune_rows.map_rows(view)
    speeds = [loop.rpm for loop in view.result.loops] or [0.0, 1000.0]
    room = max(0.08 * (max(speeds) - min(speeds)), 150.0)
    ground = Ground(theme, size, (min(speeds) - room, max(speeds) + room), "rpm")
    low, high = chart_tune_rows.settings_range(view)
    ends = [row[key] for name in ("best", "beside") for row in rows[name] for key in ("low", "high")]
    known = [one for one in ends if math.isfinite(one)]
    values = (min([low, *known]), max([high, *known]))
    title = chart_tune_rows.setting_title(view)
    axis = alt.Axis(title="rpm", tickCount=size.ticks, format=",.0f", titleAlign="left")
    x = alt.X("x:Q", scale=alt.Scale(domain=list(ground.axis), nice=False, zero=False), axis=axis)
    up = alt.Axis(title=title, tickCount=6, format="~f", titleLimit=size.width)
    y = alt.Y("value:Q", scale=alt.Scale(domain=list(values), nice=False, zero=False), axis=up)
    layers = [*_card(ground, view, values)]
    for name, place, dashed in (("beside", BESIDE, [5, 3]), ("best", BEST, [1, 0])):
        layers += _line(ground, rows[name], theme.builds[place], dashed, x, y)
    layers += _dots(ground, [{**row, "pull": ""} for row in rows["run"]], x, y)
    if rows["next"]:
        base = alt.Chart(ground.data(rows["next"]))
        cross = base.mark_point(
            shape="cross", size=110, filled=True, opacity=1, color=theme.builds[NEXT], stroke=theme.page
        )
        layers.append(cross.encode(x=x, y=y, tooltip=[alt.Tooltip("said:N", title="next")]))
    layers += labels(ground, _names(ground, view, rows, values))
    if not any(rows.values()):
        nothing = alt.Chart(ground.data([{"x": speeds[0], "value": values[0]}]))
        layers.append(nothing.mark_point(opacity=0, aria=False).encode(x=x, y=y))
    drawn = panel(layers, size.width, size.overlay)
    return {**drawn, "title": "Settings over rpm", "config": config(theme, size), "datasets": ground.sheets}


def _card(ground: Ground, view: TuneView, values: Range) -> list[alt.Chart]:
    """The limits card as two rules; what lies beyond is tinted."""
    if view.span is None:
        return []
    by, tone = chart_tune_rows.factor(view), ground.theme.builds[KNOCK]
    low, high = (one * by for one in view.span)
    beyond = [(values[0], min(low, values[1])), (max(high, values[0]), values[1])]
    rows = [{"value": a, "y2": b} for a, b in beyond if b > a]
    rules = [{"value": one} for one in (low, high) if values[0] <= one <= values[1]]
    layers = []
    if rows:
        shade = alt.Chart(ground.data(rows)).mark_rect(color=tone, opacity=0.10, aria=False)
        layers.append(shade.encode(y=alt.Y("value:Q"), y2="y2:Q"))
    if rules:
        layers.append(alt.Chart(ground.data(rules)).mark_rule(color=tone, strokeWidth=1.5).encode(y=alt.Y("value:Q")))
        said = [{"x": ground.axis[0], "value": row["value"], "said": "limits card"} for row in rules[:1]]
        mark: dict[str, Any] = {"align": "left", "baseline": "bottom", "dx": 4, "dy": -3}
        layers += words(ground, said, "said", tone=ground.theme.quiet, fontSize=ground.size.font - 1, **mark)
    return layers


def _line(ground: Ground, rows: list[Row], tone: str, dashed: list[int], x: alt.X, y: alt.Y) -> list[alt.Chart]:
    if not rows:
        return []
    base = alt.Chart(ground.data(rows))
    band = base.mark_area(color=tone, opacity=0.14, line=False).encode(x=x, y=alt.Y("low:Q"), y2="high:Q")
    tips = [alt.Tooltip("x:Q", title="rpm", format=",.0f"), alt.Tooltip("said:N", title="setting")]
    line = base.mark_line(color=tone, strokeWidth=2.2, strokeDash=dashed).encode(x=x, y=y)
    dots = base.mark_point(shape="diamond", filled=True, opacity=1, size=60, color=tone).encode(x=x, y=y, tooltip=tips)
    return [band, line, dots]


def _names(ground: Ground, view: TuneView, rows: dict[str, list[Row]], values: Range) -> list[Row]:
    """Direct labels at the right end of each kind of mark."""
    wanted = []
    for name, said in (
        ("best", "best"),
        ("beside", chart_tune_rows.beside_word(view)),
        ("next", "next"),
        ("run", "run"),
    ):
        if rows[name]:
            last = max(rows[name], key=lambda row: float(row["x"]))
            wanted.append((last, said))
    places = chart_frame.spread([row["value"] for row, _ in wanted], values, ground.size.overlay, ground.size.font + 3)
    right = max((row["x"] for row, _ in wanted), default=0.0)
    return [{"x": right, "value": at, "label": said} for (_, said), at in zip(wanted, places, strict=True)]
