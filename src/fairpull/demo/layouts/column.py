"""What all of the shop's loggers share: a column, its unit, and rows as text."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

import numpy as np

from fairpull.demo.scenario import Run
from fairpull.demo.sensors import house_unit_of
from fairpull.terms.arrays import FloatArray
from fairpull.terms.units import from_house


@dataclass(frozen=True, slots=True)
class Column:
    """One column of a logger's file.

    Attributes:
        channel: which quantity.
        name: how the logger heads it.
        unit: how the logger writes its unit.
        shown: the same unit in the house's spelling.
        decimals: digits after the point.
        gauge: True where the pressure is written against the room.
    """

    channel: str
    name: str
    unit: str
    shown: str
    decimals: int
    gauge: bool = False


@dataclass(frozen=True, slots=True)
class Logged:
    """One pull as its logger has it in memory.

    Attributes:
        run: the line of the day sheet.
        start: wall clock of the first row.
        channels: channel -> values in SI, shape (n,), NaN where nothing came.
        room: station pressure [Pa], what a gauge is measured against.
    """

    run: Run
    start: datetime
    channels: dict[str, FloatArray]
    room: float


def present(columns: Sequence[Column], logged: Logged) -> tuple[Column, ...]:
    """Those columns that this engine has sensors for.

    Args:
        columns: a layout's columns.
        logged: the pull.

    Returns:
        The columns, in the layout's order.
    """
    return tuple(column for column in columns if column.channel in logged.channels)


def shown_values(column: Column, logged: Logged) -> FloatArray:
    """A column's values in the unit that it is written in, rounded to its digits.

    Args:
        column: the column.
        logged: the pull.

    Returns:
        Values, shape (n,), [column.shown].
    """
    values = logged.channels[column.channel] - (logged.room if column.gauge else 0.0)
    shown = from_house(values, column.shown, house_unit_of(column.channel))
    out: FloatArray = np.round(shown, column.decimals) + 0.0  # no "-0.0"
    return out


def text_rows(
    columns: Sequence[Column], logged: Logged, delimiter: str, missing: str, thousands: frozenset[str] = frozenset()
) -> list[str]:
    """Every row as text with a decimal point.

    Args:
        columns: the columns to write.
        logged: the pull.
        delimiter: what stands between values.
        missing: what stands where no value came.
        thousands: channels written with thousands marks.

    Returns:
        One string a row, without line ends.
    """
    cells: list[list[float] | list[str]] = []
    shapes: list[str] = []
    for column in columns:
        values: list[float] = shown_values(column, logged).tolist()
        if column.channel in thousands:
            cells.append([f"{value:,.{column.decimals}f}" for value in values])
            shapes.append("%s")
        else:
            cells.append(values)
            shapes.append(f"%.{column.decimals}f")
    shape = delimiter.join(shapes)
    rows = [shape % row for row in zip(*cells, strict=True)]
    return [row.replace("nan", missing) if "nan" in row else row for row in rows]


def numbered(channel: str, name: str, unit: str, shown: str, decimals: int, count: int) -> tuple[Column, ...]:
    """Columns for a quantity that there are several of.

    Args:
        channel, name, unit, shown, decimals: as on ``Column``, without the number.
        count: how many.

    Returns:
        ``count`` columns, numbered from 1.
    """
    return tuple(
        Column(f"{channel}_{index}", f"{name} {index}", unit, shown, decimals) for index in range(1, count + 1)
    )
