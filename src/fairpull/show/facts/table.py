"""A table of finished strings: the common ground of terminal and page."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Column:
    """One column: heading, unit beneath it (may be empty), and whether it holds numbers (then right-aligned)."""

    name: str
    unit: str = ""
    number: bool = True


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
