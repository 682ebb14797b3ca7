"""Numbers as people write them: decimal marks, thousands marks, and what only looks like a number."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

THOUSANDS_SPACES = " \u00a0\u202f\u2009"
_NUMBER = re.compile(
    r"[-+−]?(?:\d{1,3}(?:[.,'’ \u00a0\u202f\u2009]\d{3})+(?:[.,]\d+)?|\d+(?:[.,]\d*)?|[.,]\d+)(?:[eE][-+]?\d+)?%?"
)
_NOT_PLAIN = frozenset("_nNfFyY")  # read by Python as numbers: 1_000, nan, inf, infinity
_CLOCK = re.compile(
    r"(?:\d{1,4}[-/.]\d{1,2}[-/.]\d{1,4}(?:[T ]+|$))?(?:\d{1,3}:\d{2}(?::\d{2})?(?:[.,]\d+)?)?"
    r"\s*(?:[AaPp][Mm])?(?:Z|[-+]\d{2}:?\d{2})?"
)
_GROUPED = re.compile(r"[-+−]?[1-9]\d{0,2}([.,])\d{3}")
MISSING = frozenset(
    (
        "",
        "-",
        "--",
        "---",
        "na",
        "n/a",
        "#n/a",
        "nan",
        "null",
        "none",
        "err",
        "error",
        "#div/0!",
        "#value!",
        "*",
        "***",
        "?",
    )
)


def is_number(cell: str) -> bool:
    """Whether a cell is a number in any of the usual notations.

    Args:
        cell: text of a cell.

    Returns:
        True for "12.5", "12,5", "1'234.5", "1.234,5", "-1e3"; False for clocks, words and empty cells.
    """
    try:
        float(cell)
    except ValueError:
        return _NUMBER.fullmatch(cell.strip()) is not None
    return "_" not in cell and cell.rstrip()[-1] not in "nNfFyY"  # nan, inf, infinity


def all_numbers(row: Sequence[str]) -> bool:
    """Whether every cell of a row is a plain number, found without looking at them one by one.

    Args:
        row: cells as text.

    Returns:
        True only where `is_number` holds for every cell; False where it takes a closer look.
    """
    try:
        for _ in map(float, row):
            pass
    except ValueError:
        return False
    return not _NOT_PLAIN.intersection("".join(row))


def is_clock(cell: str) -> bool:
    """Whether a cell is a time of day, an elapsed time with colons, a date, or both.

    Args:
        cell: text of a cell.

    Returns:
        True for "09:40:12.5", "2026-05-03 09:40:12", "3.5.2026", "12:05.25".
    """
    cell = cell.strip()
    return (
        bool(cell)
        and (":" in cell or cell.count("-") == 2 or cell.count("/") == 2 or cell.count(".") == 2)
        and (_CLOCK.fullmatch(cell) is not None)
    )


@dataclass(slots=True)
class Marks:
    """Evidence for the decimal and the thousands mark, gathered cell by cell.

    Attributes:
        decimal: mark -> an example cell that leaves no doubt.
        thousands: mark -> an example.
        doubtful: mark -> an example that can be read either way (one mark, three digits behind it).
    """

    decimal: dict[str, str]
    thousands: dict[str, str]
    doubtful: dict[str, str]

    @property
    def mixed(self) -> bool:
        """True when both decimal marks stand there beyond doubt."""
        return len(self.decimal) > 1

    def settle(self) -> tuple[str, str, bool]:
        """The decimal mark, the thousands marks, and whether the choice could have gone the other way."""
        if self.decimal:
            decimal = next(iter(self.decimal))
            others = set(self.thousands) | {mark for mark in self.doubtful if mark != decimal}
            return decimal, "".join(sorted(others - {decimal})), False
        if self.thousands and set(self.thousands) & {".", ","}:
            mark = next(iter(set(self.thousands) & {".", ","}))
            return ("," if mark == "." else "."), "".join(sorted(self.thousands)), False
        if "," in self.doubtful and "." not in self.doubtful:
            return ",", "".join(sorted(self.thousands)), True
        return ".", "".join(sorted(set(self.thousands) | (set(self.doubtful) - {"."}))), False


def marks_of(cells: Iterable[str]) -> Marks:
    """Gather the evidence for decimal and thousands marks.

    Args:
        cells: cells of numeric columns, as text.

    Returns:
        The evidence; cells that are no numbers are passed over.
    """
    marks = Marks({}, {}, {})
    for cell in cells:
        text = cell.strip()
        if text.isdigit() or not _NUMBER.fullmatch(text):
            continue
        _weigh(text, marks)
    return marks


def _weigh(text: str, marks: Marks) -> None:
    for mark in "'’" + THOUSANDS_SPACES:
        if mark in text:
            marks.thousands.setdefault(mark, text)
    commas, points = text.count(","), text.count(".")
    if commas and points:
        last = "," if text.rfind(",") > text.rfind(".") else "."
        marks.decimal.setdefault(last, text)
        marks.thousands.setdefault("." if last == "," else ",", text)
        return
    for mark, count in ((",", commas), (".", points)):
        if count > 1:
            marks.thousands.setdefault(mark, text)
        elif count == 1 and _GROUPED.fullmatch(text):
            marks.doubtful.setdefault(mark, text)
        elif count == 1:
            marks.decimal.setdefault(mark, text)
