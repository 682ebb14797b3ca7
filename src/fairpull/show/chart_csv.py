"""The numbers of each chart as CSV text, in shown units, every grid point."""

from __future__ import annotations

from collections.abc import Sequence

from fairpull.show import chart_rows, scale
from fairpull.show.chart_rows import POWER, Quantity, Row
from fairpull.show.csv_cells import csv_text
from fairpull.show.facts import views, words
from fairpull.show.facts.words import plain
from fairpull.terms.comparison import Comparison


def _number(value: float | None) -> str:
    return "" if value is None else f"{value:.6g}"


def _by_x(rows: Sequence[Row], names: Sequence[str]) -> dict[float, list[str]]:
    return {row["x"]: [_number(row[name]) for name in names] for row in rows}


def _curves(comparison: Comparison, quantity: Quantity, system: str, *, changes: bool) -> str:
    unit = quantity.unit(comparison, system)
    head = [chart_rows.axis_title(comparison, system)]
    blocks: list[tuple[int, dict[float, list[str]]]] = []
    means = chart_rows.mean_rows(comparison, quantity, system)
    for group in comparison.groups:
        name = plain(group.name)
        head += [f"{name} {part}[{unit}]" for part in ("", "low ", "high ")]
        own = [row for row in means if row["build"] == name]
        blocks.append((3, _by_x(own, ("value", "low", "high"))))
    for curve in comparison.declared if chart_rows.has_power(comparison) else ():
        name = plain(curve.name)
        head.append(f"{name} declared [{unit}]")
        laid = chart_rows.declared_rows(comparison, quantity, system)
        blocks.append((1, _by_x([row for row in laid if row["curve"] == name], ("value",))))
    for difference in comparison.differences if changes else ():
        name = f"{plain(difference.other)} against {plain(difference.reference)}"
        head += [f"{name} {part}[%]" for part in ("", "low ", "high ")]
        head += [f"{name} {part}[{unit}]" for part in ("", "low ", "high ")]
        rows = chart_rows.difference_rows(comparison, difference, system)
        blocks.append((6, _by_x(rows, ("value", "low", "high", "amount", "amount_low", "amount_high"))))
    every = sorted({x for _, block in blocks for x in block})
    body = [[_number(x), *(one for width, block in blocks for one in block.get(x, [""] * width))] for x in every]
    return csv_text(head, body)


def _timeline(comparison: Comparison, system: str) -> str:
    unit = scale.label(words.main_unit(comparison), system, comparison.quantity)
    head = [
        "order",
        "build",
        "pull",
        "time",
        f"mean [{unit}]",
        "factor",
        f"inlet [{scale.label('K', system)}]",
        "drift [%]",
    ]
    body = [
        [
            str(row["x"]),
            row["build"],
            row["pull"],
            row["time"],
            *(_number(row[name]) for name in ("value", "factor", "inlet", "drift")),
        ]
        for row in chart_rows.timeline_rows(comparison, system)
    ]
    return csv_text(head, body)


def chart_csv(name: str, comparison: Comparison, system: str = "us") -> str:
    """The numbers of one chart.

    Args:
        name: "torque", "power", "timeline", or a view such as "bmep-at-equal-rpm".
        comparison: the result.
        system: "us" or "metric".

    Returns:
        CSV text with one heading row; empty cells where nothing was tested.

    Raises:
        KeyError: no chart of that name.
    """
    seen = views.lenses(comparison)
    if name in seen:
        name, comparison = "torque", seen[name]
    drawn = {
        "torque": lambda: _curves(comparison, chart_rows.main(comparison), system, changes=True),
        "power": lambda: _curves(comparison, POWER, system, changes=False),
        "timeline": lambda: _timeline(comparison, system),
    }
    return drawn[name]()
