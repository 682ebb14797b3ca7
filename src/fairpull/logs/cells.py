"""Columns of text to columns of numbers, a column at a time: the careful way, for files that are not clean."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
import polars as pl

from fairpull.logs.numbers import MISSING, THOUSANDS_SPACES
from fairpull.terms.arrays import BoolArray, FloatArray


@dataclass(slots=True)
class Column:
    """One column after conversion.

    Attributes:
        values: numbers, NaN where a cell is empty, missing or no number, shape (n,).
        filled: rows whose cell holds anything, shape (n,).
        wrong: rows whose cell holds something that is no number, shape (n,).
        example: a wrong cell, or "".
        other_decimal: rows whose number has the other decimal mark, shape (n,).
    """

    values: FloatArray
    filled: BoolArray
    wrong: BoolArray
    example: str = ""
    other_decimal: BoolArray = field(default_factory=lambda: np.zeros(0, dtype=np.bool_))


def to_numbers(cells: pl.Series, decimal: str, thousands: str) -> Column:
    """Convert one column of text.

    Args:
        cells: text series, shape (n,).
        decimal: "." or ",".
        thousands: characters that mark thousands.

    Returns:
        The column.
    """
    stripped = cells.str.strip_chars(" \t\r\n\u00a0\u202f\u2009'\"")
    text = stripped
    swapped = np.zeros(len(cells), dtype=np.bool_)
    for mark in thousands:
        text = text.str.replace_all(mark, "", literal=True)
    if decimal == ",":
        pointed = text.str.contains(r"^[-+]?\d*\.\d+([eE][-+]?\d+)?$").fill_null(False)
        swapped = pointed.to_numpy().astype(np.bool_) if "." not in thousands else swapped
        text = text.str.replace_all(",", ".", literal=True)
    numbers = _cast(text)
    filled_series = stripped.fill_null("").str.len_bytes() > 0
    missing = stripped.str.to_lowercase().is_in(sorted(MISSING)).fill_null(True)
    wrong_series = filled_series & numbers.is_null() & ~missing
    if wrong_series.any():
        text, swapped, numbers = _second_try(text, swapped, numbers, decimal, wrong_series)
        wrong_series = filled_series & numbers.is_null() & ~missing
    example = ""
    if wrong_series.any():
        example = str(stripped.filter(wrong_series)[0])
    return Column(
        numbers.fill_null(float("nan")).to_numpy(),
        filled_series.to_numpy().astype(np.bool_),
        wrong_series.to_numpy().astype(np.bool_),
        example,
        swapped,
    )


def _cast(text: pl.Series) -> pl.Series:
    return text.str.replace("−", "-", literal=True).cast(pl.Float64, strict=False)


def _second_try(
    text: pl.Series, swapped: BoolArray, numbers: pl.Series, decimal: str, wrong: pl.Series
) -> tuple[pl.Series, BoolArray, pl.Series]:
    """Cells that failed: blanks as thousands marks, a per-cent sign, a comma where points are decimal."""
    tried = text.str.replace_all(f"[{THOUSANDS_SPACES}'’]", "")
    tried = tried.str.replace(r"\s*%$", "")
    if decimal == ".":
        comma = (wrong & tried.str.contains(r"^[-+]?\d*,\d+([eE][-+]?\d+)?$").fill_null(False)).to_numpy()
        swapped = swapped | comma.astype(np.bool_)
        tried = tried.str.replace_all(",", ".", literal=True)
    return tried, swapped, numbers.fill_null(_cast(tried))


def equal_rows(cells: pl.Series, name: str) -> BoolArray:
    """Rows whose cell is the given name, blanks aside.

    Args:
        cells: text series, shape (n,).
        name: the name.

    Returns:
        Truth for each row, shape (n,).
    """
    same = cells.str.strip_chars(" \t\r\"#%'").fill_null("") == name.strip(" \t\r\"#%'")
    return same.to_numpy().astype(np.bool_)


def row_list(rows: Sequence[int], most: int = 5) -> str:
    """Row numbers for a message: "rows 12, 40, 41 and 7 more".

    Args:
        rows: row numbers of the file, from 1.
        most: how many to name.

    Returns:
        The phrase.
    """
    named = ", ".join(str(row) for row in rows[:most])
    word = "row" if len(rows) == 1 else "rows"
    more = f" and {len(rows) - most} more" if len(rows) > most else ""
    return f"{word} {named}{more}"
