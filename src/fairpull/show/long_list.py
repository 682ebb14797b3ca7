"""A table of many rows, drawn without the library that draws short ones: it would take seconds."""

from __future__ import annotations

from collections.abc import Sequence

from fairpull.show import columns as fit
from fairpull.show.facts.table import Column, Table
from fairpull.show.facts.words import plain

MANY = 150  # rows from which a table is drawn so
LEAST = 6  # columns a cell of words is cut to at most
GAP = "  "
CUT = "\N{HORIZONTAL ELLIPSIS}"


def long_list(given: Table, width: int) -> str:
    """One line a row; cells of words are cut where the line would be too long, numbers never are.

    Args:
        given: the table.
        width: columns; no line is longer.

    Returns:
        Lines, ending in a newline.
    """
    kept = [n for n, column in enumerate(given.columns) if not column.spare]
    columns = [given.columns[n] for n in kept]
    cells = [[plain(row[n]) for n in kept] for row in given.rows]
    widths = _widths(columns, cells, width)
    lines = [given.title, _line([plain(one.name) for one in columns], columns, widths)]
    if any(one.unit for one in columns):
        lines.append(_line([plain(one.unit) for one in columns], columns, widths))
    lines.append("\u2500" * (sum(widths) + len(GAP) * (len(widths) - 1)))
    lines += [_line(row, columns, widths) for row in cells]
    if given.note:
        lines += fit.wrap(given.note, width)
    return "\n".join(lines) + "\n"


def _widths(columns: Sequence[Column], cells: Sequence[Sequence[str]], width: int) -> list[int]:
    """What each column needs, words cut evenly to what is left beside the numbers."""
    needed = [
        max(len(plain(column.name)), len(plain(column.unit)), *(len(row[n]) for row in cells))
        for n, column in enumerate(columns)
    ]
    room = width - len(GAP) * (len(columns) - 1)
    while sum(needed) > room:
        words = [n for n, column in enumerate(columns) if not column.number and needed[n] > LEAST]
        if not words:
            break
        widest = max(words, key=lambda n: needed[n])
        needed[widest] -= 1
    return needed


def _line(row: Sequence[str], columns: Sequence[Column], widths: Sequence[int]) -> str:
    parts = []
    for cell, column, width in zip(row, columns, widths, strict=True):
        shown = cell if len(cell) <= width else cell[: width - 1] + CUT
        parts.append(shown.rjust(width) if column.number else shown.ljust(width))
    return GAP.join(parts).rstrip()
