"""Layers that a pull's charts share: axes, words on a halo, shaded findings, hatched stretches, the one cursor."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from hashlib import sha256
from typing import Any

import altair as alt

from fairpull.show import chart_frame
from fairpull.show.chart_marks import HALO
from fairpull.show.chart_pull_rows import Range, Row
from fairpull.show.chart_theme import Size, Theme, config

Spec = dict[str, Any]
CURSOR = "at_0"
"""Name of the one selection that all panels share; the page's keyboard reader sets it too."""
TINTS = {"fault": (6, 0.18), "warning": (1, 0.16), "note": (2, 0.12)}
"""Weight of a sign -> place in the palette and opacity of its shade."""
WHOLE = 0.7  # of the axis; what shows everywhere is no place, and a shade all over would only dim the panel


@dataclass(frozen=True, slots=True)
class Ground:
    """One chart of a pull being drawn.

    Attributes:
        theme, size: looks.
        axis: range along the bottom that all panels share; title: of that axis.
        sheets: rows by name of content; equal rows are kept once.
    """

    theme: Theme
    size: Size
    axis: Range
    title: str
    sheets: dict[str, list[Row]] = field(default_factory=dict)

    def data(self, rows: Sequence[Row]) -> alt.NamedData:
        """Rows as a named sheet."""
        kept = list(rows)
        content = json.dumps(kept, sort_keys=True, allow_nan=False)
        name = f"rows-{sha256(content.encode()).hexdigest()[:16]}"
        self.sheets[name] = kept
        return alt.NamedData(name=name)

    @property
    def per_pixel(self) -> float:
        """Stretch of the axis that one pixel covers."""
        return (self.axis[1] - self.axis[0]) / self.size.width


def panel(layers: Sequence[alt.Chart], width: int, height: int) -> Spec:
    """Layers as one panel, as plain dicts: stacked as charts they would be copied over and over, layer by layer."""
    drawn = [one.to_dict(validate=False, context={"top_level": False, "datasets": {}}) for one in layers]
    return {"layer": drawn, "width": width, "height": height}


def finish(
    panels: Sequence[Spec], ground: Ground, title: str | list[str], readers: Sequence[str], spacing: int
) -> Spec:
    """Panels above each other as a Vega-Lite document; they share one axis and one cursor.

    Args:
        panels: from the top.
        ground: its looks and rows.
        title: of the chart.
        readers: names of the layers that answer to the pointer; none for a still picture.
        spacing: between panels [px].

    Returns:
        The document, its rows inline under ``datasets``.
    """
    document: Spec = {
        "vconcat": list(panels),
        "spacing": spacing,
        "resolve": {"scale": {"x": "shared", "y": "independent", "color": "independent"}},
        "title": title,
        "config": config(ground.theme, ground.size),
        "datasets": ground.sheets,
    }
    if readers:
        select = {"type": "point", "on": "pointerover", "clear": "pointerout", "fields": ["x"]}
        document["params"] = [{"name": CURSOR, "select": select, "views": list(readers)}]
    return document


def x_of(ground: Ground, *, labels: bool, title: bool) -> alt.X:
    """The shared axis."""
    axis = alt.Axis(
        title=ground.title if title else None,
        labels=labels,
        ticks=labels,
        tickCount=ground.size.ticks,
        format=",.0f" if ground.axis[1] > 100 else "~f",
        titleAlign="left",
    )
    return alt.X("x:Q", scale=alt.Scale(domain=list(ground.axis), nice=False, zero=False), axis=axis)


def y_of(ground: Ground, values: Range, title: str | list[str], *, ticks: int = 6) -> alt.Y:
    """The axis of values with its title lying above it."""
    axis = alt.Axis(format=",~f", title=title, tickCount=ticks, titleLimit=ground.size.width + 40)
    if isinstance(title, list):  # further lines hang beneath the first
        axis.titleY = -12 - (len(title) - 1) * (ground.size.font + 3)
    return alt.Y("value:Q", scale=alt.Scale(domain=list(values), nice=False, zero=False), axis=axis)


def words(ground: Ground, rows: Sequence[Row], said: str, *, tone: str, **mark: Any) -> list[alt.Chart]:
    """Words on a halo of the page's colour; rows with ``x``, ``value`` and the words."""
    base = alt.Chart(ground.data(rows))
    places = {"x": alt.X("x:Q"), "y": alt.Y("value:Q"), "text": f"{said}:N"}
    halo = base.mark_text(stroke=ground.theme.page, color=ground.theme.page, aria=False, **HALO, **mark)
    return [halo.encode(**places), base.mark_text(color=tone, **mark).encode(**places)]


def labels(ground: Ground, rows: Sequence[Row]) -> list[alt.Chart]:
    """Direct labels to the right: ``x``, ``value``, ``label``, and ``tone`` where it has one of its own."""
    size = ground.size
    mark: dict[str, Any] = {
        "align": "left",
        "baseline": "middle",
        "dx": 8,
        "fontSize": size.font,
        "limit": size.label_limit,
    }
    layers: list[alt.Chart] = []
    for tone in dict.fromkeys(row.get("tone", ground.theme.ink) for row in rows):
        own = [row for row in rows if row.get("tone", ground.theme.ink) == tone]
        layers += words(ground, own, "label", tone=tone, **mark)
    return layers


def hatched(ground: Ground, regions: Sequence[Range], values: Range, height: int, said: str) -> list[alt.Chart]:
    """Hatched stretches with words where they have room: nobody measured there, or it does not count."""
    lines, told = [], []
    for region in regions:
        lines.extend(chart_frame.hatch(region, ground.axis, values, ground.size.width, height))
        if said and (region[1] - region[0]) / ground.per_pixel > ground.size.font + 3:
            told.append({"x": sum(region) / 2, "value": (values[0] + values[1]) / 2, "said": said})
    if not lines:
        return []
    drawn = alt.Chart(ground.data(lines)).mark_rule(color=ground.theme.hatch, strokeWidth=1, aria=False)
    layers = [drawn.encode(x=alt.X("x:Q"), x2="x2:Q", y=alt.Y("y:Q"), y2="y2:Q")]
    if told:
        mark: dict[str, Any] = {"angle": 270, "fontSize": ground.size.font - 1, "align": "center", "baseline": "middle"}
        layers.extend(words(ground, told, "said", tone=ground.theme.quiet, **mark))
    return layers


def shaded(ground: Ground, spans: Sequence[Row], *, numbered: bool) -> list[alt.Chart]:
    """Findings where they show: a bar with their numbers along the top, and a shade below where they are local.

    Args:
        ground: the chart being drawn.
        spans: with ``x``, ``x2``, ``said``, ``weight`` along this axis.
        numbered: with the numbers.
    """
    layers: list[alt.Chart] = []
    for weight, (place, opacity) in TINTS.items():
        rows = [row for row in spans if row["weight"] == weight]
        if not rows:
            continue
        tone = ground.theme.builds[place]
        base = alt.Chart(ground.data(rows))
        part = [row for row in rows if row["x2"] - row["x"] < WHOLE * (ground.axis[1] - ground.axis[0])]
        if part:
            shade = alt.Chart(ground.data(part)).mark_rect(color=tone, opacity=opacity, aria=False)
            layers.append(shade.encode(x=alt.X("x:Q"), x2="x2:Q"))
        top = base.mark_rule(color=tone, strokeWidth=3, aria=False)
        layers.append(top.encode(x=alt.X("x:Q"), x2="x2:Q", y=alt.value(0)))
    if numbered and spans:
        base = alt.Chart(ground.data(flags(ground, spans)))
        mark: dict[str, Any] = {"baseline": "top", "align": "left", "fontWeight": 700, "fontSize": ground.size.font}
        places = {"x": alt.X("x:Q"), "y": alt.value(4), "text": alt.Text("said:N")}
        halo = base.mark_text(stroke=ground.theme.page, color=ground.theme.page, aria=False, **HALO, **mark)
        layers += [halo.encode(**places), base.mark_text(color=ground.theme.ink, **mark).encode(**places)]
    return layers


def flags(ground: Ground, spans: Sequence[Row]) -> list[Row]:
    """Where each sign's number stands: ``x``, ``said``; moved to the right where two would touch."""
    rows: list[Row] = []
    free = -1e300
    for row in sorted(spans, key=lambda one: (one["x"], int(one["said"]))):
        at = max(row["x"] + 3 * ground.per_pixel, ground.axis[0] + 3 * ground.per_pixel, free)
        rows.append({"x": at, "said": row["said"]})
        free = at + (0.7 * ground.size.font * (len(row["said"]) + 1)) * ground.per_pixel
    return rows


@lru_cache(maxsize=1)
def _here() -> alt.OpacityValue:
    """Seen where the cursor stands, and nowhere else."""
    return alt.OpacityValue.from_dict({"condition": {"param": CURSOR, "empty": False, "value": 0.9}, "value": 0.0})


def cursor(
    ground: Ground, rows: Sequence[Row], told: Sequence[tuple[str, str]], name: str, own: str = ""
) -> list[alt.Chart]:
    """The one cursor: unseen strips that the pointer touches, a rule, and the panel's own number above it.

    Args:
        ground: the chart being drawn.
        rows: with ``x``, ``x0``, ``x1`` and finished strings.
        told: field and title of what the strips say.
        name: of the layer that answers to the pointer.
        own: field that stands above the panel while the cursor is on the chart; "" for none.
    """
    base = alt.Chart(ground.data(rows))
    tips = [alt.Tooltip(f"{key}:N", title=title) for key, title in told]
    strips = base.mark_rect(color="transparent", aria=False).encode(x=alt.X("x0:Q"), x2="x1:Q", tooltip=tips)
    rule = base.mark_rule(color=ground.theme.quiet, strokeWidth=1, aria=False).encode(x=alt.X("x:Q"), opacity=_here())
    layers = [rule]
    if own:
        mark: dict[str, Any] = {"align": "right", "baseline": "bottom", "fontWeight": 600, "fontSize": ground.size.font}
        number = base.mark_text(color=ground.theme.ink, aria=False, **mark)
        places = {"x": alt.value("width"), "y": alt.value(-5), "text": alt.Text(f"{own}:N")}
        layers.append(number.encode(**places, opacity=_here()))
    return [*layers, strips.properties(name=name)]
