"""The numbers behind the charts of fair views and of boost, in shown units, and the same as CSV."""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from fairpull.show import scale
from fairpull.show.csv_cells import csv_text
from fairpull.terms.arrays import FloatArray
from fairpull.terms.ledger import BoostFacts, FairLook

AXIS_UNITS = {"mean piston speed": "m/s"}
Row = dict[str, Any]


def _rows(series: str, x: FloatArray, **columns: FloatArray) -> list[Row]:
    rows = [
        {"series": series, "x": float(at), **{name: float(values[n]) for name, values in columns.items()}}
        for n, at in enumerate(x.tolist())
    ]
    return [row for row in rows if all(math.isfinite(one) for one in row.values() if isinstance(one, float))]


def look_rows(given: FairLook, system: str) -> list[Row]:
    """A fair view's ratio with its band, and the plain ratio, in per cent.

    Args:
        given: the view.
        system: "us" or "metric".

    Returns:
        Rows of "fair" (``x``, ``value``, ``low``, ``high``), then of "plain" (``x``, ``value``).
    """
    x = scale.arrays(given.x, AXIS_UNITS.get(given.axis, "rpm"), system)
    value, low, high = (100.0 * one for one in (given.ratio, given.ratio_low, given.ratio_high))
    return _rows("fair", x, value=value, low=low, high=high) + _rows("plain", x, value=100.0 * given.plain)


def boost_rows(given: BoostFacts) -> list[Row]:
    """The gain from boost with its band, and what the pressure ratio alone would give, in per cent.

    Args:
        given: what boost gave.

    Returns:
        Rows of "gain" (``x``, ``value``, ``low``, ``high``), then of "simple" (``x``, ``value``).
    """
    gain = 100.0 * given.gain
    low, high = ((100.0 * one if one.size else gain) for one in (given.gain_low, given.gain_high))
    simple = 100.0 * (np.asarray(given.pressure_ratio) - 1.0)
    return _rows("gain", given.rpm, value=gain, low=low, high=high) + _rows("simple", given.rpm, value=simple)


def rows_csv(rows: list[Row], axis: str) -> str:
    """Rows of either chart as CSV text.

    Args:
        rows: of one chart.
        axis: heading of its axis.

    Returns:
        CSV text.
    """
    body = [
        (row["series"], *(f"{row[name]:.6g}" if name in row else "" for name in ("x", "value", "low", "high")))
        for row in rows
    ]
    return csv_text(("line", axis, "value [%]", "low [%]", "high [%]"), body)
