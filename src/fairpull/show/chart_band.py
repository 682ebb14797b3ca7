"""A band to be drawn with the pointer on a live chart: an interval along the shared axis, in every panel."""

from __future__ import annotations

from typing import Any

from fairpull.show.chart_theme import Theme

NAME = "band"
"""The selection's name: the page's script listens to its signal."""


def with_band(document: dict[str, Any], theme: Theme) -> dict[str, Any]:
    """A chart in which a band can be dragged.

    Args:
        document: a Vega-Lite document of panels above each other, or of one panel; left as it is.
        theme: looks.

    Returns:
        The same chart with one selection along the axis; everything that answers the pointer already still does.
    """
    panels = document.get("vconcat")
    if panels is None:
        return _alone(document, theme)
    named = [_named(panel, f"panel-{place}") for place, panel in enumerate(panels)]
    views = [f"panel-{place}" for place in range(len(panels))]
    others = [one for one in document.get("params", [])]
    return {**document, "vconcat": named, "params": [*others, {**_selection(theme), "views": views}]}


def _selection(theme: Theme) -> dict[str, Any]:
    mark = {"fill": theme.ink, "fillOpacity": 0.07, "stroke": theme.quiet, "strokeOpacity": 0.8}
    return {"name": NAME, "select": {"type": "interval", "encodings": ["x"], "mark": mark}}


def _named(panel: dict[str, Any], name: str) -> dict[str, Any]:
    """A panel whose first layer with an axis along the bottom bears a name, so that the selection can stand there."""
    layers = [dict(layer) for layer in panel.get("layer", [])]
    for layer in layers:
        if "x" in layer.get("encoding", {}) and "name" not in layer:
            layer["name"] = name
            break
    return {**panel, "layer": layers}


def _alone(document: dict[str, Any], theme: Theme) -> dict[str, Any]:
    named = _named(document, "panel-0")
    others = [one for one in document.get("params", [])]
    return {**named, "params": [*others, {**_selection(theme), "views": ["panel-0"]}]}
