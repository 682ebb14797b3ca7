"""A table of finished strings: the common ground of terminal and page."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Column:
    """One column of a table.

    Attributes:
        name: heading.
        unit: beneath it; may be empty.
        number: holds numbers, and is then right-aligned.
        spare: left out of a terminal that is too narrow for one line per row; other faces always have it.
    """

    name: str
    unit: str = ""
    number: bool = True
    spare: bool = False


@dataclass(frozen=True, slots=True)
class Table:
    """A titled table.

    Attributes:
        key: stable short name; the page's anchor and the CSV's file name.
        title: heading.
        columns: one per cell of a row.
        rows: finished strings.
        note: what must be known to read it; may be empty.
    """

    key: str
    title: str
    columns: tuple[Column, ...]
    rows: tuple[tuple[str, ...], ...]
    note: str = ""


def words(name: str, unit: str = "") -> Column:
    """A column of words."""
    return Column(name, unit, number=False)
