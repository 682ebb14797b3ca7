"""Charts of a comparison: overlay above difference on one axis, power, and the day's timeline.

Every chart is drawn by Altair over rows from ``chart_rows``. Altair is imported with this module, so this module is
imported lazily.
"""

from __future__ import annotations

from typing import Any

import altair as alt

from fairpull.show import chart_difference, chart_marks, chart_overlay, chart_rows, chart_timeline, scale
from fairpull.show.chart_canvas import Canvas
from fairpull.show.chart_canvas import canvas as new_canvas
from fairpull.show.chart_theme import Size, Theme, config
from fairpull.show.facts import views, words
from fairpull.terms.comparison import Comparison

Spec = dict[str, Any]


def names(comparison: Comparison) -> tuple[str, ...]:
    """The charts that this comparison allows: power only where torque stands against rpm, then one for each view."""
    power = ("power",) if chart_rows.has_power(comparison) else ()
    return ("torque", *power, "timeline", *views.lenses(comparison))


def subject(name: str, comparison: Comparison) -> tuple[str, Comparison]:
    """What a chart of this name draws, and of which comparison: a view is the overlay of its own comparison of BMEP."""
    seen = views.lenses(comparison)
    return ("torque", seen[name]) if name in seen else (name, comparison)


def chart(name: str, comparison: Comparison, theme: Theme, size: Size, system: str = "us") -> Spec:
    """One chart by name, as from ``names``.

    Args:
        name: "torque", "power", "timeline", or a view such as "bmep-at-equal-rpm".
        comparison: the result.
        theme, size: looks.
        system: "us" or "metric".

    Returns:
        A Vega-Lite document as plain dicts, its rows inline under ``datasets``.

    Raises:
        KeyError: no chart of that name.
    """
    kind, seen = subject(name, comparison)
    return {"torque": torque, "power": power, "timeline": timeline}[kind](seen, theme, size, system)


def _finish(drawn: alt.VConcatChart | alt.LayerChart, canvas: Canvas, title: str) -> Spec:
    looks = alt.Config.from_dict(config(canvas.theme, canvas.size))
    document: Spec = drawn.properties(title=title, config=looks).to_dict(
        validate=False
    )  # a test holds every chart against the schema
    document.pop("$schema", None)  # an address; nothing here may look like one
    document["datasets"] = canvas.sheets
    return document


def torque(comparison: Comparison, theme: Theme, size: Size, system: str = "us") -> Spec:
    """The compared curves with their bands, and every difference on the same axis beneath.

    Args:
        comparison: the result.
        theme, size: looks.
        system: "us" or "metric".

    Returns:
        A Vega-Lite document.
    """
    canvas = new_canvas(comparison, theme, size, system)
    quantity = chart_rows.main(comparison)
    reading = chart_rows.reading_rows(comparison, quantity, system)
    told = chart_overlay.told(canvas, quantity, changes=True)
    count = len(comparison.differences)
    panels = [chart_overlay.layers(canvas, quantity, last=count == 0)]
    panels += [chart_difference.panel(canvas, place, last=place == count - 1) for place in range(count)]
    readers = [f"at_{n}" for n in range(len(panels))]
    for n, layers in enumerate(panels):
        layers.extend(chart_marks.reader(canvas, reading, told, readers[n], readers))
    panels[0].append(chart_overlay.peaks(canvas, quantity))
    drawn = [
        alt.layer(*layers).properties(width=size.width, height=size.under if n else size.overlay)
        for n, layers in enumerate(panels)
    ]
    stacked = alt.vconcat(*drawn, spacing=44).resolve_scale(x="shared", y="independent", color="independent")
    title = f"{words.capital(words.quantity(comparison))}, {words.standard_name(comparison.standard)}"
    return _finish(stacked, canvas, title)


def power(comparison: Comparison, theme: Theme, size: Size, system: str = "us") -> Spec:
    """Power of every build with its band, made from the same torque curves.

    Args:
        comparison: the result, torque against rpm.
        theme, size: looks.
        system: "us" or "metric".

    Returns:
        A Vega-Lite document.
    """
    canvas = new_canvas(comparison, theme, size, system)
    quantity = chart_rows.POWER
    reading = chart_rows.reading_rows(comparison, quantity, system)
    told = chart_overlay.told(canvas, quantity, changes=False)
    layers = [
        *chart_overlay.layers(canvas, quantity, last=True),
        *chart_marks.reader(canvas, reading, told, "at_0", ["at_0"]),
        chart_overlay.peaks(canvas, quantity),
    ]
    drawn = alt.LayerChart(layer=layers)
    sized = drawn.properties(width=size.width, height=size.overlay)
    return _finish(sized, canvas, f"Power, {words.standard_name(comparison.standard)}")


def timeline(comparison: Comparison, theme: Theme, size: Size, system: str = "us") -> Spec:
    """Every pull's band average in running order, the drift laid through the day, and the factor beneath.

    Args:
        comparison: the result.
        theme, size: looks.
        system: "us" or "metric".

    Returns:
        A Vega-Lite document.
    """
    canvas = new_canvas(comparison, theme, size, system)
    unit = scale.label(words.main_unit(comparison), system, comparison.quantity)
    return _finish(chart_timeline.panels(canvas), canvas, f"The day: band average of every pull, {unit}")
