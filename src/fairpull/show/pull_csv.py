"""A pull as CSV text: its curves with every number of the chart, and its whole trace."""

from __future__ import annotations

import csv
import math
from collections.abc import Sequence
from io import StringIO

import numpy as np

from fairpull.show import chart_pull_rows, scale
from fairpull.show.chart_pull_rows import POWER, TORQUE, Quantity
from fairpull.show.csv_cells import cell
from fairpull.show.facts.pull_tables import WIDTH_OF_95, corrected
from fairpull.terms.arrays import FloatArray
from fairpull.terms.pull import Curve, Pull
from fairpull.terms.pull_page import PullPage
from fairpull.terms.units import house_unit_of

Column = tuple[str, FloatArray]


def _number(value: float) -> str:
    return f"{value:.9g}" if math.isfinite(value) else ""


def _text(columns: Sequence[Column]) -> str:
    out = StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow([cell(name) for name, _ in columns])
    writer.writerows(zip(*([_number(one) for one in values.tolist()] for _, values in columns), strict=True))
    return out.getvalue()


def curve_csv(page: PullPage, system: str = "us") -> str:
    """The curves of a pull, in shown units, one row a grid point; what does not count is marked so.

    Args:
        page: content of the page.
        system: "us" or "metric".

    Returns:
        CSV text with one heading row; empty cells where nothing was tested. Without a curve, the heading alone.
    """
    curve = page.counted
    if curve is None:
        return "rpm\n"
    whole = page.whole or curve
    columns: list[Column] = [("rpm", whole.rpm)]
    for quantity in (TORQUE, POWER):
        unit = quantity.unit(system)
        if corrected(page):
            values = chart_pull_rows.whole_values(page, quantity, system, page.making.factor)
            columns.append((f"corrected {quantity.name} [{unit}]", values))
        columns.append(
            (f"observed {quantity.name} [{unit}]", chart_pull_rows.whole_values(page, quantity, system, 1.0))
        )
    columns.append((f"observed torque, half of 95 % [{TORQUE.unit(system)}]", _half(whole, system)))
    limit = math.inf if page.line.valid_to is None else float(curve.rpm[-1])
    columns.append(("counts [1 yes, 0 no]", np.where(whole.rpm <= limit + 1e-6, 1.0, 0.0)))
    for one in page.earlier:
        columns += [_earlier(one.curve, one.factor, quantity, whole.rpm, system) for quantity in (TORQUE, POWER)]
    return _text(columns)


def _half(curve: Curve, system: str) -> FloatArray:
    return WIDTH_OF_95 * scale.arrays(curve.torque_se, "N m", system)


def _earlier(curve: Curve, factor: float, quantity: Quantity, rpm: FloatArray, system: str) -> Column:
    values = quantity.shown(curve.rpm, curve.torque * factor, system)
    at = {float(one): float(value) for one, value in zip(curve.rpm, values, strict=True)}
    laid = np.array([at.get(float(one), math.nan) for one in rpm])
    return (f"{curve.name} corrected {quantity.name} [{quantity.unit(system)}]", laid)


def trace_csv(trace: Pull, system: str = "us") -> str:
    """Every channel of a pull, every row, in shown units.

    Args:
        trace: the pull.
        system: "us" or "metric".

    Returns:
        CSV text with one heading row; empty cells where nothing was logged.
    """
    columns: list[Column] = []
    for name in trace.channels:
        house = house_unit_of(name)
        unit = scale.label(house, system, name) if house else ""
        values = chart_pull_rows.channel_values(trace.channels, name, house, system)
        columns.append((f"{name} [{unit}]" if unit and unit != name else name, values))
    return _text(columns)
