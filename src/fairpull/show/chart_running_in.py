"""Running in as a picture: torque, blow-by and oil temperature of every pull in running order.

Altair is imported with this module, so this module is imported lazily.
"""

from __future__ import annotations

import math
from typing import Any

import altair as alt
import numpy as np

from fairpull.show import chart_frame, scale
from fairpull.show.chart_pull_marks import Ground, finish, panel, words, y_of
from fairpull.show.chart_theme import Size, Theme
from fairpull.show.csv_cells import csv_text
from fairpull.show.facts.tune_page import pulls_table
from fairpull.show.facts.words import plain
from fairpull.terms.arrays import FloatArray
from fairpull.terms.tune_view import RunningInView
from fairpull.terms.tuning import RunningIn

Spec = dict[str, Any]
Row = dict[str, Any]
SETTLED = 3  # place in the palette


def trend(view: RunningInView, theme: Theme, size: Size, system: str = "us") -> Spec:
    """Panels above each other on the age of the engine.

    Args:
        view: the trend, with the build of each pull.
        theme, size: looks.
        system: "us" or "metric".

    Returns:
        A Vega-Lite document.
    """
    result = view.result
    ages = [float(one) for one in result.hours] or [0.0, 1.0]
    room = max(0.05 * (max(ages) - min(ages)), 0.5 if result.age == "pulls" else 0.05)
    title = "engine hours" if result.age == "h" else "pull, in running order"
    ground = Ground(theme, size, (min(ages) - room, max(ages) + room), title)
    kinds = [(name, unit, values, high) for name, unit, values, high in _kinds(result, system) if _known(values)]
    shown = _with_last(kinds)
    panels = [
        _panel(
            ground,
            view,
            f"{name}, {unit}",
            values,
            height if size.width > 400 else min(height, 150),
            place,
            place == len(shown) - 1,
        )
        for place, (name, unit, values, height) in enumerate(shown)
    ]
    return finish(panels, ground, f"Running in: {plain(result.engine)}", (), 34)


def _with_last(kinds: list[tuple[str, str, FloatArray, int]]) -> list[tuple[str, str, FloatArray, int]]:
    return kinds or [("torque", "", np.zeros(0), 120)]


def _kinds(result: RunningIn, system: str) -> list[tuple[str, str, FloatArray, int]]:
    return [
        ("torque", scale.label("N m", system), scale.arrays(result.torque, "N m", system), 220),
        (
            "blow-by",
            scale.label("m3/s", system, "blow_by"),
            scale.arrays(result.blow_by, "m3/s", system, "blow_by"),
            110,
        ),
        ("oil temperature", scale.label("K", system), scale.arrays(result.oil_temperature, "K", system), 110),
    ]


def _known(values: FloatArray) -> bool:
    return bool(np.isfinite(values).any())


def point_rows(view: RunningInView, values: FloatArray) -> list[Row]:
    """One row a pull that has a value: ``x``, ``value``, ``pull``, ``build``, ``run``, ``latest`` "yes" or "no".

    Args:
        view: the trend.
        values: of one quantity, shape (n,).

    Returns:
        The rows; ``run`` counts the stretches in which one build ran, since each build has a level of its own.
    """
    result = view.result
    runs = np.cumsum([place > 0 and one != view.builds[place - 1] for place, one in enumerate(view.builds)])
    first = len(result.pulls) - result.latest
    return [
        {"x": float(x), "value": float(v), "pull": plain(name), "latest": "yes" if place >= first else "no"}
        | {"build": plain(build), "run": int(run)}
        for place, (x, v, name, build, run) in enumerate(
            zip(result.hours, values, result.pulls, view.builds, runs, strict=True)
        )
        if math.isfinite(v)
    ]


def _panel(
    ground: Ground, view: RunningInView, title: str, values: FloatArray, height: int, place: int, last: bool
) -> Spec:
    result = view.result
    theme, size = ground.theme, ground.size
    rows = point_rows(view, values) if values.size else []
    low, high = chart_frame.values_range(rows, ("value",), margin=0.2)
    if rows and low == 0.0:
        low = min(row["value"] for row in rows) - 0.2 * (high - min(row["value"] for row in rows))
    axis = alt.Axis(
        title=ground.title if last else None,
        labels=last,
        ticks=last,
        tickCount=size.ticks,
        format="~f",
        titleAlign="left",
        tickMinStep=1 if result.age == "pulls" else 0,
    )
    x = alt.X("x:Q", scale=alt.Scale(domain=list(ground.axis), nice=False, zero=False), axis=axis)
    y = y_of(ground, (low, high), title, ticks=4)
    base = alt.Chart(
        ground.data(rows or [{"x": ground.axis[0], "value": low, "pull": "", "build": "", "latest": "no"}])
    )
    if not rows:
        return panel([base.mark_point(opacity=0, aria=False).encode(x=x, y=y)], size.width, height)
    tips = [
        alt.Tooltip("pull:N"),
        alt.Tooltip("build:N"),
        alt.Tooltip("x:Q", title=ground.title),
        alt.Tooltip("value:Q", format=",.1f"),
    ]
    layers: list[Any] = _settled(ground, result, place)
    layers.append(base.mark_line(color=theme.faint, strokeWidth=1.2, aria=False).encode(x=x, y=y, detail="run:N"))
    layers += _builds(ground, rows, place)
    for latest, filled in (("no", False), ("yes", True)):
        mine = [row for row in rows if row["latest"] == latest]
        if mine:
            dots = alt.Chart(ground.data(mine)).mark_point(
                size=75, filled=filled, opacity=1, color=theme.ink, fill=theme.ink if filled else theme.page
            )
            layers.append(dots.encode(x=x, y=y, tooltip=tips))
    return panel(layers, size.width, height)


def _builds(ground: Ground, rows: list[Row], place: int) -> list[alt.Chart]:
    """Name of the build above the first pull of each of its runs, where there is room for words."""
    if place or ground.size.width < 400:
        return []
    firsts: dict[int, Row] = {}
    for row in rows:
        firsts.setdefault(row["run"], row)
    said = [{"x": row["x"], "value": row["value"], "said": row["build"]} for row in firsts.values()]
    mark: dict[str, Any] = {"align": "left", "baseline": "bottom", "dx": -4, "dy": -8, "fontSize": ground.size.font - 1}
    return words(ground, said, "said", tone=ground.theme.quiet, **mark)


def _settled(ground: Ground, result: RunningIn, place: int) -> list[alt.Chart]:
    """From where it has settled: a tint and, in the first panel, words."""
    if result.settled_at not in result.pulls:
        return []
    at = float(result.hours[result.pulls.index(result.settled_at)])
    tone = ground.theme.builds[SETTLED]
    base = alt.Chart(ground.data([{"x": at, "x2": ground.axis[1]}]))
    layers = [base.mark_rect(color=tone, opacity=0.10, aria=False).encode(x=alt.X("x:Q"), x2="x2:Q")]
    if place == 0:
        mark: dict[str, Any] = {"align": "left", "baseline": "top", "dx": 5, "fontSize": ground.size.font}
        said = alt.Chart(ground.data([{"x": at, "said": "settled from here"}]))
        drawn = said.mark_text(color=ground.theme.quiet, **mark)
        layers.append(drawn.encode(x=alt.X("x:Q"), y=alt.value(3), text="said:N"))
    return layers


def trend_csv(result: RunningIn, system: str = "us") -> str:
    """The pulls as CSV text."""
    table = pulls_table(result, system)
    return csv_text([f"{one.name} [{one.unit}]" if one.unit else one.name for one in table.columns], table.rows)
