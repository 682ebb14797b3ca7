"""A head's flow table as a chart: flow against valve lift, at the depression that it was measured at.

Altair is imported with this module, so this module is imported lazily.
"""

from __future__ import annotations

import csv
from collections.abc import Mapping, Sequence
from io import StringIO
from typing import Any

import altair as alt

from fairpull.show import chart_frame, digits, scale
from fairpull.show.chart_pull_marks import Ground, finish, labels, panel, x_of, y_of
from fairpull.show.chart_theme import Size, Theme, dash
from fairpull.show.csv_cells import cell
from fairpull.show.facts.spec_sheet import flow_shown, flow_unit
from fairpull.terms.sheet_view import FlowBench

Spec = dict[str, Any]
TONES = {"intake": 5, "exhaust": 6}


def flow(bench: FlowBench, name: str, theme: Theme, size: Size, system: str = "us") -> Spec:
    """The curves, a dot at each measured lift; nothing is drawn beyond the table.

    Args:
        bench: the table.
        name: of the head.
        theme, size: looks.
        system: "us" or "metric".

    Returns:
        A Vega-Lite document.
    """
    rows = flow_rows(bench, system)
    most = max((row["x"] for row in rows), default=1.0)
    ground = Ground(theme, size, (0.0, 1.08 * most), f"valve lift, {scale.label('m', system)}")
    values = (0.0, chart_frame.values_range(rows, ("value",))[1])
    x = x_of(ground, labels=True, title=True)
    y = y_of(ground, values, f"flow of one cylinder at {bench.stated}, {flow_unit(system)}")
    layers = [_curve(ground, rows, side, x, y) for side in TONES if any(row["side"] == side for row in rows)]
    layers += labels(ground, _names(rows, ground, values))
    return finish([panel(layers, size.width, size.overlay)], ground, f"{name}: flow at {bench.stated}", (), 0)


def flow_rows(bench: FlowBench, system: str) -> list[dict[str, Any]]:
    """Every row of the table in shown units: ``x``, ``value``, ``side``, and words for the reader."""
    return [
        {
            "x": scale.scalar(one.lift, "m", system),
            "value": flow_shown(one.flow, system),
            "side": one.side,
            "lift": f"{digits.bare(scale.scalar(one.lift, 'm', system), 3)} {scale.label('m', system)}",
            "said": f"{digits.number(flow_shown(one.flow, system), 1)} {flow_unit(system)}",
        }
        for one in bench.rows
    ]


def _curve(ground: Ground, rows: Sequence[Mapping[str, Any]], side: str, x: alt.X, y: alt.Y) -> Any:
    tone = ground.theme.builds[TONES[side]]
    own = [dict(row) for row in rows if row["side"] == side]
    return (
        alt.Chart(ground.data(own))
        .mark_line(
            color=tone,
            strokeWidth=2.4,
            strokeDash=dash(0 if side == "intake" else 1),
            point={"filled": True, "size": 42, "color": tone},
        )
        .encode(
            x=x,
            y=y,
            tooltip=[
                alt.Tooltip("side:N"),
                alt.Tooltip("lift:N", title="lift"),
                alt.Tooltip("said:N", title="flow"),
            ],
        )
    )


def _names(rows: Sequence[Mapping[str, Any]], ground: Ground, values: tuple[float, float]) -> list[dict[str, Any]]:
    last = {row["side"]: row for row in rows}
    tones = ground.theme.builds
    told = [
        {"x": row["x"], "value": row["value"], "label": side, "tone": tones[TONES[side]]} for side, row in last.items()
    ]
    places = chart_frame.spread([row["value"] for row in told], values, ground.size.overlay, ground.size.font + 3)
    return [{**row, "value": at} for row, at in zip(told, places, strict=True)]


def reading(bench: FlowBench, system: str) -> dict[str, Any]:
    """What the keyboard's reader says, lift by lift."""
    rows: dict[float, dict[str, Any]] = {}
    for row in flow_rows(bench, system):
        rows.setdefault(row["x"], {"x": row["x"], "at": row["lift"]})[row["side"]] = row["said"]
    sides = list(dict.fromkeys(one.side for one in bench.rows))
    fields = [("at", "valve lift"), *((side, side) for side in sides)]
    return {"fields": fields, "rows": [{side: "" for side in sides} | rows[x] for x in sorted(rows)]}


def flow_csv(bench: FlowBench, system: str) -> str:
    """The table as CSV text.

    Args:
        bench: the table.
        system: "us" or "metric".

    Returns:
        Lines.
    """
    out = StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(
        ["side", f"lift [{scale.label('m', system)}]", cell(f"flow at {bench.stated} [{flow_unit(system)}]"),
         "coefficient", f"effective area [{scale.label('m2', system)}]"]
    )  # fmt: skip
    for one in bench.rows:
        area = "" if one.area is None else f"{scale.scalar(one.area, 'm2', system):.6g}"
        number = "" if one.coefficient is None else f"{one.coefficient:.6g}"
        lift = f"{scale.scalar(one.lift, 'm', system):.6g}"
        writer.writerow([one.side, lift, f"{flow_shown(one.flow, system):.6g}", number, area])
    return out.getvalue()
