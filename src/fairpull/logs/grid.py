"""Cells of a sheet under a header become columns: numbers, texts, and what had to be dropped on the way."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from fairpull.logs.headers import Header
from fairpull.logs.numbers import MISSING, is_clock, is_number, marks_of
from fairpull.terms.arrays import BoolArray, FloatArray
from fairpull.terms.findings import Finding, Severity

if TYPE_CHECKING:
    import polars as pl

_NUMERIC_SHARE = 0.5  # of a column's filled cells


@dataclass(frozen=True, slots=True)
class GridTable:
    """Columns of a grid, each in ``values`` or in ``texts``; ``kept`` are the body rows that stayed."""

    values: dict[str, FloatArray]
    texts: dict[str, tuple[str, ...]]
    kept: tuple[int, ...]
    findings: tuple[Finding, ...]


@dataclass(frozen=True, slots=True)
class _Body:
    """The cells below the header.

    cells: as text. known: numbers that the file holds as numbers, NaN elsewhere. filled: cell not empty.
    number: holds a number, as one or as text. All of shape (rows, width). odd: column -> row -> text of the
    filled cells that the file does not hold as numbers.
    """

    cells: pl.DataFrame
    known: FloatArray
    filled: BoolArray
    number: BoolArray
    odd: dict[int, dict[int, str]]


def read_grid(cells: pl.DataFrame, header: Header, numbers: FloatArray, where: str) -> GridTable:
    """Sort the cells below a header into columns.

    Args:
        cells: all rows of the sheet as text, empty cells null.
        header: where names, units and data stand in them.
        numbers: the same cells as numbers where the file holds numbers, NaN elsewhere, shape (rows, width).
        where: file and sheet for findings.

    Returns:
        The columns with a name, and findings about rows and cells that were left out.
    """
    body = _body(cells.slice(header.data_row), numbers[header.data_row :])
    repeated = _repeats(body, cells.slice(max(header.row, 0), header.data_row - max(header.row, 0)))
    named = [(place, name) for place, name in enumerate(header.names) if name and place < cells.width]
    numeric = [place for place, _ in named if _is_numeric(body, place, repeated)]
    kept = _kept(body, numeric, repeated)
    findings = _dropped(body, kept, repeated, header.data_row, where)
    values: dict[str, FloatArray] = {}
    texts: dict[str, tuple[str, ...]] = {}
    lost: list[str] = []
    for place, name in named:
        if place in numeric or not np.any(body.filled[kept, place]):
            column, count, example = _numbers(body, place, set(kept))
            values[name] = column[kept]
            if count:
                lost.append(f"{name}: {count} (such as {example!r})")
        else:
            texts[name] = tuple((cell or "").strip() for cell in body.cells.to_series(place).gather(kept))
    if lost:
        text = f"cells that hold no number are taken as missing: {'; '.join(lost[:5])}"
        remedy = "look at the cells in the file; correct them there if they matter"
        findings.append(Finding("cells-not-numeric", Severity.WARNING, where, text, remedy))
    return GridTable(values, texts, tuple(kept), tuple(findings))


def _body(cells: pl.DataFrame, known: FloatArray) -> _Body:
    filled = np.zeros(known.shape, dtype=np.bool_)
    number = np.isfinite(known)
    odd: dict[int, dict[int, str]] = {}
    for place, column in enumerate(cells.iter_columns()):
        filled[:, place] = (column.str.strip_chars().str.len_bytes() > 0).fill_null(False).to_numpy()
        rows = np.flatnonzero(filled[:, place] & ~number[:, place])
        if rows.size:
            odd[place] = {int(row): str(column[int(row)]).strip() for row in rows}
            for row, cell in odd[place].items():
                number[row, place] = is_number(cell)
    return _Body(cells, known, filled, number, odd)


def _repeats(body: _Body, heads: pl.DataFrame) -> set[int]:
    """Body rows that say again what the header rows said."""

    def said(row: tuple[str | None, ...]) -> tuple[str, ...]:
        return tuple((cell or "").strip() for cell in row)

    known = {said(row) for row in heads.rows()}
    words_only = np.flatnonzero(body.filled.any(axis=1) & ~np.isfinite(body.known).any(axis=1))
    return {int(row) for row in words_only if said(body.cells.row(int(row))) in known}


def _is_numeric(body: _Body, place: int, repeated: set[int]) -> bool:
    odd = body.odd.get(place, {})
    missing = sum(row in repeated or cell.lower() in MISSING for row, cell in odd.items())
    filled = int(np.count_nonzero(body.filled[:, place])) - missing
    return filled > 0 and int(np.count_nonzero(body.number[:, place])) >= _NUMERIC_SHARE * filled


def _kept(body: _Body, numeric: list[int], repeated: set[int]) -> list[int]:
    """Body rows that are data: no header again, not without any number, no summary below the table."""
    last = body.filled.shape[0]
    while last > 0 and _starts_with_word(body, last - 1, numeric):
        last -= 1
    data = body.number[:last, numeric].any(axis=1) if numeric else np.zeros(last, dtype=np.bool_)
    return [int(row) for row in np.flatnonzero(data) if int(row) not in repeated]


def _starts_with_word(body: _Body, row: int, numeric: list[int]) -> bool:
    """True for an empty row, and for one whose first filled cell is a word where numbers should stand."""
    places = np.flatnonzero(body.filled[row])
    if places.size == 0:
        return True
    first = int(places[0])
    if first not in numeric or body.number[row, first]:
        return False
    cell = body.odd[first][row]
    return not is_clock(cell) and cell.lower() not in MISSING


def _dropped(body: _Body, kept: list[int], repeated: set[int], first: int, where: str) -> list[Finding]:
    from fairpull.logs.cells import row_list

    findings: list[Finding] = []
    words = np.flatnonzero(body.filled.any(axis=1))
    left_out = sorted({int(row) for row in words} - set(kept) - repeated)
    if repeated:
        rows = [first + row + 1 for row in sorted(repeated)]
        text = f"the header stands again in {row_list(rows)}; left out"
        findings.append(Finding("header-repeated", Severity.NOTE, where, text, "check that the sheet is one log"))
    if left_out:
        rows = [first + row + 1 for row in left_out]
        text = f"no samples in {row_list(rows)}; left out"
        remedy = "nothing, if these are comments or a summary"
        findings.append(Finding("rows-dropped", Severity.NOTE, where, text, remedy))
    return findings


def _numbers(body: _Body, place: int, kept: set[int]) -> tuple[FloatArray, int, str]:
    """Numbers of a column, how many kept cells hold none, and an example of those.

    Cells that the file holds as numbers are taken as they are; numbers stored as text are read by their marks.
    """
    values = np.array(body.known[:, place], dtype=np.float64)
    odd = {row: cell for row, cell in body.odd.get(place, {}).items() if row in kept and cell.lower() not in MISSING}
    if not odd:
        return values, 0, ""
    import polars as pl

    from fairpull.logs.cells import to_numbers

    decimal, thousands, _ = marks_of(odd.values()).settle()
    column = to_numbers(pl.Series(list(odd.values())), decimal, thousands)
    values[list(odd)] = column.values
    return values, int(np.count_nonzero(column.wrong)), column.example
