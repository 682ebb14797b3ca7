"""Past work as a picture: every comparison with its interval, then all together, then what to expect next time.

Altair is imported with this module, so this module is imported lazily.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import altair as alt

from fairpull.show.chart_marks import SIGNED
from fairpull.show.chart_pull_marks import Ground, finish, panel, words
from fairpull.show.chart_theme import Size, Theme
from fairpull.show.csv_cells import csv_text
from fairpull.show.facts.past_page import effects_table, line, own_interval, scaled, unit_of
from fairpull.show.facts.words import plain
from fairpull.terms.comparison import Estimate
from fairpull.terms.tuning import PastWork

Spec = dict[str, Any]
TOGETHER, AHEAD = 5, 1  # places in the palette
LINE, GAP = 44, 14  # [px]


@dataclass(frozen=True, slots=True)
class Line:
    """One line of the picture: its name, value with interval in the shown unit, words, and kind.

    kind: "one", "mean" or "next".
    """

    name: str
    value: float
    low: float
    high: float
    said: str
    kind: str


def lines(past: PastWork, system: str) -> list[Line]:
    """Comparisons in their order, then the mean of all and the expectation where there are any.

    Args:
        past: the summary.
        system: "us" or "metric".

    Returns:
        The lines; the words are those of the tables.
    """
    factor, unit = unit_of(past, system)
    table = effects_table(past, system)
    made: list[Line] = []
    for effect, row in zip(past.effects, table.rows, strict=True):
        one = own_interval(effect, factor)
        said = f"{row[1]} {unit} ({row[2]} to {row[3]})"
        made.append(Line(plain(effect.name), one.value, one.low, one.high, said, "one"))
    if past.mean is not None and len(past.effects) > 1:
        made.append(_line("mean of all", past.mean, factor, unit, "mean"))
    if past.expected is not None:
        made.append(_line("expected next time, 95 % of cases", past.expected, factor, unit, "next"))
    return made


def _line(name: str, given: Estimate, factor: float, unit: str, kind: str) -> Line:
    shown = scaled(given, factor)
    return Line(name, shown.value, shown.low, shown.high, line(given, factor, unit), kind)


def forest(past: PastWork, theme: Theme, size: Size, system: str = "us") -> Spec:
    """The picture.

    Args:
        past: the summary.
        theme, size: looks.
        system: "us" or "metric".

    Returns:
        A Vega-Lite document.
    """
    drawn = lines(past, system)
    _, unit = unit_of(past, system)
    axis = _range(drawn)
    ground = Ground(theme, size, axis, f"effect on torque, {unit}; bars: 95 %")
    tops, height = _places(drawn)
    bare = alt.Axis(title=None, labels=False, ticks=False, domain=False, grid=False)
    y = alt.Y("value:Q", scale=alt.Scale(domain=[height, 0], nice=False, zero=False), axis=bare)
    told = alt.Axis(title=ground.title, tickCount=size.ticks, titleAlign="left", labelExpr=SIGNED)
    x = alt.X("x:Q", scale=alt.Scale(domain=list(axis), nice=False, zero=False), axis=told)
    zero = alt.Chart(ground.data([{"x": 0.0}])).mark_rule(color=theme.ink, strokeWidth=1)
    layers: list[Any] = [zero.encode(x=x)]
    for one, top in zip(drawn, tops, strict=True):
        layers += _draw(ground, one, top, x, y)
    if not drawn:
        nothing = alt.Chart(ground.data([{"x": 0.0, "value": 0.0}])).mark_point(opacity=0, aria=False)
        layers.append(nothing.encode(x=x, y=y))
    return finish([panel(layers, size.width, height)], ground, f"Past work: {plain(past.kind)}", (), 0)


def _range(drawn: list[Line]) -> tuple[float, float]:
    """All comparisons and the mean whole; a very wide expectation may leave the panel."""
    core = [end for one in drawn if one.kind != "next" for end in (one.low, one.high, one.value) if math.isfinite(end)]
    ahead = [end for one in drawn if one.kind == "next" for end in (one.low, one.high) if math.isfinite(end)]
    low, high = min([0.0, *core]), max([0.0, *core])
    room = (high - low) or 1.0
    low, high = (
        min([low, *(max(end, low - room) for end in ahead)]),
        max([high, *(min(end, high + room) for end in ahead)]),
    )
    return (low - 0.06 * (high - low or 1.0), high + 0.06 * (high - low or 1.0))


def _places(drawn: list[Line]) -> tuple[list[int], int]:
    tops, at = [], 0
    for place, one in enumerate(drawn):
        at += GAP if place and one.kind != "one" and drawn[place - 1].kind == "one" else 0
        tops.append(at)
        at += LINE
    return tops, max(at, LINE) + 4


def _draw(ground: Ground, one: Line, top: int, x: alt.X, y: alt.Y) -> list[Any]:
    size, theme = ground.size, ground.theme
    level = top + 19
    wide = size.width > 400
    said = one.said if wide else one.said.partition(" (")[0]
    bold = 400 if one.kind == "one" else 600
    name: dict[str, Any] = {"align": "left", "limit": max(size.width - 7 * len(said) - 12, 70)}
    right: dict[str, Any] = {"align": "right", "limit": size.width}
    both: dict[str, Any] = {"baseline": "bottom", "fontSize": size.font}
    tone = {"one": theme.ink, "mean": theme.builds[TOGETHER], "next": theme.builds[AHEAD]}[one.kind]
    ends = (max(one.low, ground.axis[0]), min(one.high, ground.axis[1]))
    row = {"x": ends[0], "x2": ends[1], "at": one.value, "value": level + 10, "name": one.name, "said": one.said}
    base = alt.Chart(ground.data([row]))
    tips = [alt.Tooltip("name:N", title="comparison"), alt.Tooltip("said:N", title="effect")]
    bar = base.mark_rule(
        color=tone,
        strokeWidth=3 if one.kind == "one" else 6,
        strokeCap="round",
        opacity=1.0 if one.kind != "next" else 0.6,
    )
    dot = base.mark_point(
        shape="circle" if one.kind == "one" else "diamond", size=90, filled=True, opacity=1, color=tone
    )
    layers = [
        *words(
            ground,
            [{"x": ground.axis[0], "value": level, "said": one.name}],
            "said",
            tone=theme.ink,
            fontWeight=bold,
            **name,
            **both,
        ),
        *words(
            ground, [{"x": ground.axis[1], "value": level, "said": said}], "said", tone=theme.quiet, **right, **both
        ),
        bar.encode(x=x, x2="x2:Q", y=y, tooltip=tips),
    ]
    if ground.axis[0] <= one.value <= ground.axis[1]:
        layers.append(dot.encode(x=alt.X("at:Q"), y=y, tooltip=tips))
    return layers


def forest_csv(past: PastWork, system: str = "us") -> str:
    """Comparisons, mean and expectation as CSV text."""
    _, unit = unit_of(past, system)
    head = ["what", "kind", f"effect [{unit}]", f"low [{unit}]", f"high [{unit}]"]
    rows = [
        [one.name, one.kind, *("" if not math.isfinite(v) else f"{v:.6g}" for v in (one.value, one.low, one.high))]
        for one in lines(past, system)
    ]
    return csv_text(head, rows)
