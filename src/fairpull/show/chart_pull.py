"""A pull's curve as a chart: corrected in front, observed beside it, its band, earlier pulls behind, findings in place.

Altair is imported with this module, so this module is imported lazily.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

import altair as alt

from fairpull.show import chart_frame, chart_pull_rows
from fairpull.show.chart_pull_marks import (
    Ground,
    Spec,
    cursor,
    finish,
    hatched,
    labels,
    panel,
    shaded,
    words,
    x_of,
    y_of,
)
from fairpull.show.chart_pull_rows import POWER, TORQUE, Quantity, Range, Row
from fairpull.show.chart_theme import Size, Theme
from fairpull.show.facts.pull_tables import corrected
from fairpull.show.facts.pull_words import BAND
from fairpull.show.facts.words import plain, standard_name
from fairpull.terms.pull_page import PullPage

OWN_TONE = 5  # place in the palette: blue
OBSERVED_DASH = (4, 3)
BEYOND_DASH = (2, 3)
SPACING = 44


def curve(page: PullPage, theme: Theme, size: Size, system: str = "us", *, live: bool = True) -> Spec:
    """Torque above, power beneath, on one rpm axis with one cursor.

    Args:
        page: content of the page, with earlier pulls where they are wanted.
        theme, size: looks.
        system: "us" or "metric".
        live: with the cursor; a still picture has none.

    Returns:
        A Vega-Lite document; without a curve, an empty frame that says so.
    """
    ground = Ground(theme, size, chart_pull_rows.axis_of(*page.line.tested), "rpm")
    told, rows = chart_pull_rows.curve_reading(page, system)
    readers = ["read_0", "read_1"] if rows and live else []
    drawn = []
    for n, quantity in enumerate((TORQUE, POWER)):
        height = size.under if n else size.overlay
        layers = _panel(page, ground, quantity, height, system, last=n == 1)
        layers += cursor(ground, rows, told, readers[n]) if readers else []
        drawn.append(panel(layers, size.width, height))
    title = f"{plain(page.line.name)}: torque and power, {standard_name(page.making.standard)}"
    return finish(drawn, ground, title, readers, SPACING)


def _panel(page: PullPage, ground: Ground, quantity: Quantity, height: int, system: str, *, last: bool) -> list[Any]:
    """The layers of one panel, without its cursor."""
    lines = _lines(page, quantity, system)
    low, high = ground.axis
    earlier = [row for row in chart_pull_rows.earlier_rows(page, quantity, system) if low <= row["x"] <= high]
    beyond = chart_pull_rows.beyond_rows(page, quantity, system)
    every = [row for rows in (*lines.values(), earlier, beyond) for row in rows if row["value"] is not None]
    low, high = chart_frame.values_range(every, ("value",))
    values = (low, high + 0.08 * (high - low))  # a strip above for the numbers of findings
    title = _title(quantity, system, values, first=not last, narrow=ground.size.width < 400)
    x, y = x_of(ground, labels=last, title=last), y_of(ground, values, title)
    frame = alt.Chart(ground.data([{"x": one, "value": values[0]} for one in ground.axis]))
    layers: list[Any] = [frame.mark_point(opacity=0, aria=False).encode(x=x, y=y)]
    layers += shaded(ground, chart_pull_rows.spans(page, 4 * ground.per_pixel), numbered=not last)
    layers += hatched(ground, _untested(page, ground), values, height, "not tested")
    layers += _earlier(ground, earlier)
    layers += _beyond(page, ground, beyond, values, height)
    layers += _own(page, ground, lines, steps=page.line.kind == "steps")
    layers += labels(ground, _names(page, ground, lines, earlier, values, height))
    return layers + _peak(page, ground, quantity, system)


def _lines(page: PullPage, quantity: Quantity, system: str) -> dict[str, list[Row]]:
    """What is drawn of this pull, as far as it counts: observed, and corrected where anything is corrected."""
    if page.counted is None:
        return {}
    observed = {"observed": chart_pull_rows.curve_rows(page.counted, 1.0, quantity, system)}
    if not corrected(page):
        return observed
    return {**observed, "corrected": chart_pull_rows.curve_rows(page.counted, page.making.factor, quantity, system)}


def _title(quantity: Quantity, system: str, values: Range, *, first: bool, narrow: bool) -> Any:
    start = "" if values[0] == 0.0 else f" (axis starts at {values[0]:,.4g})"
    said = f"{quantity.name}, {quantity.unit(system)}{start}"
    if not first:
        return said
    return [said, BAND] if narrow else f"{said}   \u00b7   {BAND}"


def _untested(page: PullPage, ground: Ground) -> list[Range]:
    return chart_frame.untested(ground.axis, page.line.tested)


def _earlier(ground: Ground, rows: Sequence[Row]) -> list[Any]:
    if not rows:
        return []
    mark = alt.Chart(ground.data(rows)).mark_line(color=ground.theme.faint, strokeWidth=0.9, opacity=0.9)
    return [mark.encode(x=alt.X("x:Q"), y=alt.Y("value:Q"), detail="pull:N")]


def _beyond(page: PullPage, ground: Ground, rows: list[Row], values: Range, height: int) -> list[Any]:
    """The part past where the pull counts: crossed out by a hatch, its line thin and dotted."""
    if page.line.valid_to is None or not rows:
        return []
    end = page.line.tested[1]
    layers = hatched(ground, [(page.line.valid_to, end)], values, height, "not counted")
    edge = alt.Chart(ground.data([{"x": page.line.valid_to}])).mark_rule(color=ground.theme.quiet, strokeWidth=1)
    line = alt.Chart(ground.data(rows)).mark_line(
        color=ground.theme.quiet, strokeWidth=1.4, strokeDash=list(BEYOND_DASH)
    )
    return [*layers, edge.encode(x=alt.X("x:Q")), line.encode(x=alt.X("x:Q"), y=alt.Y("value:Q"))]


def _own(page: PullPage, ground: Ground, lines: dict[str, list[Row]], *, steps: bool) -> list[Any]:
    """Bands first, then lines; the last one of ``lines`` is the one that counts."""
    tone = ground.theme.builds[OWN_TONE]
    layers: list[Any] = []
    for n, rows in enumerate(lines.values()):
        front = n == len(lines) - 1
        base = alt.Chart(ground.data(rows))
        known = [row for row in rows if row["low"] is not None]
        if front and known:
            area = alt.Chart(ground.data(known)).mark_area(color=tone, opacity=0.22, line=False, clip=True)
            layers.append(area.encode(x=alt.X("x:Q"), y=alt.Y("low:Q"), y2="high:Q"))
        style: dict[str, Any] = {"color": tone, "strokeWidth": 2.4} if front else {}
        style = style or {"color": ground.theme.quiet, "strokeWidth": 1.2, "strokeDash": list(OBSERVED_DASH)}
        layers.append(base.mark_line(**style).encode(x=alt.X("x:Q"), y=alt.Y("value:Q")))
    if steps and lines:
        held = _held(page, list(lines.values())[-1])
        dots = alt.Chart(ground.data(held)).mark_point(color=tone, filled=True, size=40, opacity=1)
        layers += [dots.encode(x=alt.X("x:Q"), y=alt.Y("value:Q"))] if held else []
    return layers


def _held(page: PullPage, rows: list[Row]) -> list[Row]:
    """The line's points nearest to the speeds that were held."""
    if page.trace is None:
        return []
    known = [row for row in rows if row["value"] is not None]
    speeds = [float(one) for one in page.trace.channels["rpm"] if math.isfinite(one)]
    found = {min(known, key=lambda row: abs(row["x"] - speed))["x"] for speed in speeds} if known else set()
    return [{"x": row["x"], "value": row["value"]} for row in known if row["x"] in found]


def _names(
    page: PullPage, ground: Ground, lines: dict[str, list[Row]], earlier: list[Row], values: Range, height: int
) -> list[Row]:
    """Direct labels to the right of the panel, at the height where each line ends, none upon another."""
    rows: list[Row] = []
    for name, laid in lines.items():
        known = [row for row in laid if row["value"] is not None]
        tone = {"tone": ground.theme.builds[OWN_TONE]} if name == list(lines)[-1] else {"tone": ground.theme.quiet}
        rows += [{"value": known[-1]["value"], "label": name, **tone}] if known else []
    known = [row for row in earlier if row["value"] is not None]
    if known:
        count = len(page.earlier)
        last = max(known, key=lambda row: float(row["x"]))
        said = "1 earlier pull" if count == 1 else f"{count} earlier pulls"
        rows.append({"value": last["value"], "label": said, "tone": ground.theme.quiet})
    if not rows:
        return []
    at = chart_frame.spread([row["value"] for row in rows], values, height, ground.size.font + 3)
    return [{**row, "x": ground.axis[1], "value": place} for row, place in zip(rows, at, strict=True)]


def _peak(page: PullPage, ground: Ground, quantity: Quantity, system: str) -> list[Any]:
    row = chart_pull_rows.peak_row(page, quantity, system)
    if row is None:
        return []
    ring = alt.Chart(ground.data([row])).mark_point(
        color=ground.theme.builds[OWN_TONE], filled=True, size=70, opacity=1, stroke=ground.theme.page, strokeWidth=1
    )
    mark: dict[str, Any] = {"baseline": "bottom", "dy": -9, "fontSize": ground.size.font, "fontWeight": 600}
    return [
        *words(ground, [row], "said", tone=ground.theme.ink, **mark),
        ring.encode(x=alt.X("x:Q"), y=alt.Y("value:Q")),
    ]
