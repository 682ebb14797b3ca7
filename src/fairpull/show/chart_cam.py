"""A cam card as a chart: how long each valve is open over crank angle, and where both are. No lift is drawn.

Altair is imported with this module, so this module is imported lazily.
"""

from __future__ import annotations

import csv
import math
from collections.abc import Sequence
from io import StringIO
from typing import Any

import altair as alt

from fairpull.show import digits
from fairpull.show.chart_pull_marks import Ground, finish, panel
from fairpull.show.chart_theme import Size, Theme
from fairpull.show.csv_cells import cell
from fairpull.show.facts.spec_sheet import events_table, overlap
from fairpull.terms.sheet_view import CamCard

Spec = dict[str, Any]
TONES = {"intake": 5, "exhaust": 6}
AXIS = (-360.0, 360.0)
MARKS = [-360, -180, 0, 180, 360]
NAMES = {-180.0: "BDC", 0.0: "TDC", 180.0: "BDC"}
LINE = 30  # height of a bar's line [px]


def card(cards: Sequence[CamCard], name: str, theme: Theme, size: Size) -> Spec:
    """Bars from opening to closing, the overlap shaded between two lines.

    Args:
        cards: one for each stated lift.
        name: of the camshaft.
        theme, size: looks.

    Returns:
        A Vega-Lite document.
    """
    ground = Ground(theme, size, AXIS, "crank angle from top centre at overlap, deg")
    panels = [_panel(ground, one, last=n == len(cards) - 1) for n, one in enumerate(cards)]
    return finish(panels, ground, f"{name}: valve events", (), 40)


def _panel(ground: Ground, one: CamCard, *, last: bool) -> Spec:
    rows = bars(one)
    height = LINE * 4
    size = ground.size
    lines = [{"x": at, "name": said} for at, said in NAMES.items()]
    x = alt.X(
        "x:Q",
        scale=alt.Scale(domain=list(AXIS), nice=False),
        axis=alt.Axis(title=ground.title if last else None, values=MARKS, titleAlign="left"),
    )
    y = alt.Y(
        "line:N",
        sort=["exhaust", "intake"],
        axis=alt.Axis(
            title=_title(one, size),
            titleY=-22 - (size.font + 3) * (size.width < 400),
            titleLimit=size.width,
            labelFontSize=size.font,
            domain=False,
            ticks=False,
        ),
    )
    centre = alt.Chart(ground.data(lines))
    layers: list[Any] = [centre.mark_rule(color=ground.theme.faint, strokeWidth=1, aria=False).encode(x=x)]
    layers += _overlap(ground, one, rows, x)
    for row in rows:
        tone = ground.theme.builds[TONES[row["line"]]]
        drawn = alt.Chart(ground.data([row])).mark_bar(color=tone, height=LINE * 0.55, cornerRadius=2)
        layers.append(drawn.encode(x=x, x2="x2:Q", y=y, tooltip=["line:N", "opens:N", "closes:N", "duration:N"]))
        mark = alt.Chart(ground.data([{**row, "x": row["middle"]}]))
        layers.append(mark.mark_tick(color=ground.theme.page, thickness=2, height=LINE * 0.5).encode(x=x, y=y))
    layers += _ends(ground, rows, x, y, short=size.width < 400)
    top = alt.Chart(ground.data(lines)).mark_text(
        color=ground.theme.quiet, fontSize=size.font - 1, baseline="bottom", dy=-2
    )
    layers.append(top.encode(x=x, y=alt.value(0), text="name:N"))
    return panel(layers, size.width, height)


def _title(one: CamCard, size: Size) -> list[str] | str:
    both = overlap(one)
    said = f"open {one.stated}" if one.stated.startswith("at ") else f"open, {one.stated}"
    if both is None:
        return said
    more = f"overlap {digits.bare(math.degrees(both), 1)} deg" if both > 0.0 else "no overlap"
    return [said, more] if size.width < 400 else f"{said}; {more}"


def _overlap(ground: Ground, one: CamCard, rows: Sequence[dict[str, Any]], x: alt.X) -> list[Any]:
    both = overlap(one)
    if both is None or both <= 0.0:
        return []
    opens = next(row["x"] for row in rows if row["line"] == "intake")
    closes = next(row["x2"] for row in rows if row["line"] == "exhaust")
    span = alt.Chart(ground.data([{"x": opens, "x2": closes}]))
    shade = span.mark_rect(color=ground.theme.hatch, opacity=0.7, aria=False).encode(x=x, x2="x2:Q")
    ends = alt.Chart(ground.data([{"x": opens}, {"x": closes}]))
    return [shade, ends.mark_rule(color=ground.theme.quiet, strokeDash=[3, 3], aria=False).encode(x=x)]


def _ends(ground: Ground, rows: Sequence[dict[str, Any]], x: alt.X, y: alt.Y, *, short: bool) -> list[Any]:
    """Angles at both ends of each bar, as a card prints them; without the side they count from where it is narrow."""
    layers = []
    for place, field, right, off in (("x", "opens", True, -5), ("x2", "closes", False, 5)):
        told = [{**row, "x": row[place], field: row[field].split(" ")[0] if short else row[field]} for row in rows]
        mark = alt.Chart(ground.data(told)).mark_text(
            color=ground.theme.ink,
            fontSize=ground.size.font - 1,
            align="right" if right else "left",
            dx=off,
            baseline="middle",
        )
        layers.append(mark.encode(x=x, y=y, text=f"{field}:N"))
    return layers


def bars(one: CamCard) -> list[dict[str, Any]]:
    """A card's spans in degrees, with the words of its table."""
    told = {row[1]: row for row in events_table([one]).rows}
    return [
        {
            "line": span.side,
            "x": math.degrees(span.opens),
            "x2": math.degrees(span.closes),
            "middle": math.degrees(span.centre),
            "opens": told[span.side][2],
            "closes": told[span.side][3],
            "duration": f"{told[span.side][4]} deg",
        }
        for span in one.spans
    ]


def card_csv(cards: Sequence[CamCard]) -> str:
    """The events as CSV text.

    Args:
        cards: of a camshaft.

    Returns:
        Lines.
    """
    table = events_table(cards)
    out = StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow([f"{one.name} [{one.unit}]" if one.unit else one.name for one in table.columns])
    writer.writerows([cell(said) for said in row] for row in table.rows)
    return out.getvalue()
