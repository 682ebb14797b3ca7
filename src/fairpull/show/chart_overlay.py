"""The overlay: every build's curve with its band, single pulls behind, declared curves beside."""

from __future__ import annotations

from collections.abc import Sequence

import altair as alt

from fairpull.show import chart_difference, chart_frame, chart_marks, chart_rows
from fairpull.show.chart_canvas import Canvas
from fairpull.show.chart_frame import Range
from fairpull.show.chart_rows import Quantity, Row
from fairpull.show.facts.words import plain

MOST_DECLARED_LABELS = 4


def label_rows(canvas: Canvas, means: Sequence[Row], declared: Sequence[Row], values: Range) -> list[Row]:
    """Where each curve's name stands: at its last point, moved apart where names would touch."""
    ends: dict[str, Row] = {}
    for row in means:
        ends[row["build"]] = {"x": row["x"], "value": row["value"], "label": row["build"]}
    names = [plain(group.name) for group in canvas.comparison.groups]
    rows = [ends[name] for name in names if name in ends]
    laid: dict[str, Row] = {}
    for row in declared:
        laid[row["curve"]] = {"x": row["x"], "value": row["value"], "label": f"declared: {row['curve']}"}
    if len(laid) > MOST_DECLARED_LABELS:
        highest = max(laid.values(), key=lambda row: float(row["value"]))
        laid = {"all": {**highest, "label": f"declared: {len(laid)} curves"}}
    rows.extend(laid.values())
    places = chart_frame.spread([row["value"] for row in rows], values, canvas.size.overlay, canvas.size.font + 3)
    return [{**row, "value": at} for row, at in zip(rows, places, strict=True)]


def told(canvas: Canvas, quantity: Quantity, *, changes: bool) -> list[tuple[str, str]]:
    """What the pointer reads, as field and title: every build at that rpm, and every difference."""
    comparison = canvas.comparison
    unit = quantity.unit(comparison, canvas.system)
    fields = [("at", canvas.frame.title)]
    fields += [(f"b{place}", f"{plain(group.name)}, {unit}") for place, group in enumerate(comparison.groups)]
    if changes:
        fields += [
            (f"d{place}", f"{plain(one.other)} against {plain(one.reference)}")
            for place, one in enumerate(comparison.differences, start=1)
        ]
    return fields


def _crossings(canvas: Canvas) -> list[alt.Chart]:
    rows = [
        {"x": row["x"]} for one in canvas.comparison.differences for row in chart_difference.crossover_rows(canvas, one)
    ]
    if not rows:
        return []
    rule = alt.Chart(canvas.data(rows)).mark_rule(color=canvas.theme.quiet, strokeWidth=1, strokeDash=[3, 3])
    return [rule.encode(x=alt.X("x:Q"))]


def layers(canvas: Canvas, quantity: Quantity, *, last: bool) -> list[alt.Chart]:
    """The layers of an overlay.

    Args:
        canvas: the chart being drawn.
        quantity: torque (or BMEP), or power.
        last: whether the axis carries its labels here.
    """
    comparison, system = canvas.comparison, canvas.system
    means = chart_rows.mean_rows(comparison, quantity, system)
    singles = chart_rows.pull_rows(comparison, quantity, system)
    laid = chart_rows.declared_rows(comparison, quantity, system)
    low, high = chart_frame.values_range([*means, *singles, *laid], ("value", "low", "high"))
    values = (low, high + 0.10 * (high - low))  # a strip above for the bracket
    start = "" if low == 0.0 else f" (axis starts at {low:,.4g})"
    title = f"{'BMEP' if quantity.name == 'bmep' else quantity.name}, {quantity.unit(comparison, system)}{start}"
    outside = chart_frame.untested(canvas.frame.axis, canvas.frame.any_build)
    x, y = chart_marks.x_of(canvas, labels=last), chart_marks.y_of(canvas, values, title)
    ends = [f"{one:,.0f}" if canvas.frame.axis[1] > 100 else f"{one:.1f}" for one in canvas.frame.band]
    tone, _ = chart_marks.build_scales(canvas)
    names = label_rows(canvas, means, laid, values)
    few = len(comparison.declared) <= MOST_DECLARED_LABELS
    return [
        *chart_marks.untested(
            canvas, outside, values, canvas.size.overlay, "not tested", [row["value"] for row in names]
        ),
        *_crossings(canvas),
        chart_marks.pulls(canvas, singles, x, y),
        chart_marks.band(canvas, means, tone, 0.20),
        *([chart_marks.declared(canvas, laid, few=few)] if laid else []),
        chart_marks.means(canvas, means),
        *chart_marks.labels(canvas, names),
        *chart_marks.bracket(
            canvas, values[1] - 0.035 * (values[1] - values[0]), f"band of interest {' to '.join(ends)}"
        ),
    ]


def peaks(canvas: Canvas, quantity: Quantity) -> alt.Chart:
    """The highest values, on top of everything."""
    return chart_marks.peaks(canvas, chart_rows.peak_rows(canvas.comparison, quantity, canvas.system))
