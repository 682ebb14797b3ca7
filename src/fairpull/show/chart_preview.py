"""An offered file before it is kept: speed and torque along its clock, and the pulls that were found in it.

Altair is imported with this module, so this module is imported lazily.
"""

from __future__ import annotations

from collections.abc import Sequence

import altair as alt
import numpy as np

from fairpull.show import chart_frame, digits, scale
from fairpull.show.chart_pull_marks import Ground, Spec, finish, panel, words, x_of, y_of
from fairpull.show.chart_pull_rows import Range, Row
from fairpull.show.chart_theme import Size, Theme
from fairpull.show.csv_cells import csv_text
from fairpull.show.facts.words import plain
from fairpull.terms.offered import OfferedRecording

HEIGHTS = {"wide": 120, "narrow": 130}
SPACING = 40
TINT, OPACITY = 5, 0.14
PANELS = (("rpm", "speed", "rpm"), ("torque", "torque", "N m"))
"""Quantity, its word, and its house unit; from the top."""


def preview(given: OfferedRecording, theme: Theme, size: Size, system: str = "us") -> Spec:
    """The two small charts above each other.

    Args:
        given: what was read.
        theme, size: looks.
        system: "us" or "metric".

    Returns:
        A Vega-Lite document.
    """
    ends = (min(given.along), max(given.along)) if given.along else (0.0, 1.0)
    ends = ends if ends[1] > ends[0] else (ends[0] - 0.5, ends[0] + 0.5)
    ground = Ground(theme, size, ends, "time, s" if given.clocked else "row")
    drawn = [_panel(given, ground, place, system) for place in range(len(PANELS))]
    return finish(drawn, ground, [f"{plain(given.name)}: as read, {count(given)}"], [], SPACING)


def count(given: OfferedRecording) -> str:
    """How many pulls were found, in words."""
    found = len(given.pulls)
    return "no pull found" if not found else f"{found} pull{'s' if found > 1 else ''} found"


def table(given: OfferedRecording, system: str = "us") -> str:
    """What is drawn, as comma-separated text.

    Args:
        given: what was read.
        system: "us" or "metric".

    Returns:
        A header and one line for each point.
    """
    columns = [[digits.number(one, 3) for one in given.along]]
    columns += [[_cell(one) for one in _shown(given, place, system)] for place in range(len(PANELS))]
    heads = ["time, s" if given.clocked else "row"]
    heads += [f"{word}, {scale.label(house, system, name)}" for name, word, house in PANELS]
    return csv_text(heads, [[one.replace(",", "") for one in row] for row in zip(*columns, strict=True)])


def _cell(value: float | None) -> str:
    return "" if value is None else digits.number(value, 1)


def _shown(given: OfferedRecording, place: int, system: str) -> list[float | None]:
    name, _, house = PANELS[place]
    values = (given.rpm, given.torque)[place]
    told = scale.arrays(np.array([np.nan if one is None else one for one in values]), house, system, name)
    return [float(one) if np.isfinite(one) else None for one in told]


def _panel(given: OfferedRecording, ground: Ground, place: int, system: str) -> Spec:
    name, word, house = PANELS[place]
    rows: list[Row] = [
        {"x": x, "value": value} for x, value in zip(given.along, _shown(given, place, system), strict=True)
    ]
    values: Range = chart_frame.values_range([row for row in rows if row["value"] is not None], ("value",))
    last = place == len(PANELS) - 1
    x = x_of(ground, labels=last, title=last)
    y = y_of(ground, values, f"{word}, {scale.label(house, system, name)}", ticks=3)
    base = alt.Chart(ground.data([{"x": one, "value": values[0]} for one in ground.axis]))
    layers: list[alt.Chart] = [base.mark_point(opacity=0, aria=False).encode(x=x, y=y)]
    layers += _spans(given, ground, values if place == 0 else None)
    line = alt.Chart(ground.data(rows)).mark_line(color=ground.theme.ink, strokeWidth=1.2, clip=True)
    layers.append(line.encode(x=alt.X("x:Q"), y=alt.Y("value:Q")))
    return panel(layers, ground.size.width, HEIGHTS[ground.size.name])


def _spans(given: OfferedRecording, ground: Ground, named: Range | None) -> list[alt.Chart]:
    """The pulls shaded, with a rule along the top; with their numbers where ``named``."""
    spans: list[Row] = [
        {"x": one.start, "x2": max(one.end, one.start + ground.per_pixel), "said": f"pull {number}"}
        for number, one in enumerate(given.pulls, start=1)
    ]
    if not spans:
        return []
    tone = ground.theme.builds[TINT]
    base = alt.Chart(ground.data(spans))
    shade = base.mark_rect(color=tone, opacity=OPACITY, aria=False).encode(x=alt.X("x:Q"), x2="x2:Q")
    top = base.mark_rule(color=tone, strokeWidth=3, aria=False).encode(x=alt.X("x:Q"), x2="x2:Q", y=alt.value(0))
    edges = alt.Chart(ground.data([{"x": one[end]} for one in spans for end in ("x", "x2")]))
    rules = edges.mark_rule(color=tone, strokeWidth=1, strokeDash=[4, 3], aria=False).encode(x=alt.X("x:Q"))
    told = [*_labels(ground, spans, named), *_ends(ground, spans, named)] if named else []
    return [shade, top, rules, *told]


def _ends(ground: Ground, spans: Sequence[Row], values: Range) -> list[alt.Chart]:
    """Where each pull begins and ends, at the foot of its shade, as far as there is room."""
    wide = 3.2 * ground.size.font * ground.per_pixel
    roomy = [one for one in spans if one["x2"] - one["x"] > 2 * wide]
    layers: list[alt.Chart] = []
    for end, align, dx in (("x", "left", 4), ("x2", "right", -4)):
        rows = [{"x": one[end], "value": values[0], "said": digits.number(one[end], 1)} for one in roomy]
        mark = {"align": align, "baseline": "bottom", "dx": dx, "dy": -4, "fontSize": ground.size.font}
        layers += words(ground, rows, "said", tone=ground.theme.quiet, **mark) if rows else []
    return layers


def _labels(ground: Ground, spans: Sequence[Row], values: Range) -> list[alt.Chart]:
    """Numbers under the top rule; one that would touch the one before is left out."""
    rows: list[Row] = []
    free = ground.axis[0]
    for one in spans:
        if one["x"] >= free:
            rows.append({"x": one["x"] + 4 * ground.per_pixel, "value": values[1], "said": one["said"]})
            free = one["x"] + 0.75 * ground.size.font * len(one["said"]) * ground.per_pixel
    mark = {"align": "left", "baseline": "top", "dy": 5, "fontSize": ground.size.font, "fontWeight": 600}
    return words(ground, rows, "said", tone=ground.theme.ink, **mark)
