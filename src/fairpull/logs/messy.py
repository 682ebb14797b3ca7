"""The careful way into a text file: every cell as text first, then columns, then rows are judged."""

from __future__ import annotations

import io
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import polars as pl

from fairpull.logs.cells import Column, equal_rows, row_list, to_numbers
from fairpull.logs.dialect import BLANKS, Layout, split_rows
from fairpull.logs.table import RawTable
from fairpull.logs.text import decode
from fairpull.terms.arrays import BoolArray, FloatArray, IntArray
from fairpull.terms.errors import Fault, ReadRefused
from fairpull.terms.findings import Finding, Severity

LARGE = 64 * 1024 * 1024  # above this, columns are converted some at a time
FEW_COLUMNS = 16
TEXT_SHARE = 0.2  # a column with more wrong cells than this is text
RAGGED_SHARE = 0.1

CLOCK = r"^\d{1,2}:\d{2}"
MOST_CLOCKED = 0.9  # share of rows with a time of day from which a row without one is no sample


@dataclass(slots=True)
class _Judged:
    """All columns converted, and the counts by row that tell data from the rest."""

    columns: dict[int, Column]
    texts: dict[int, pl.Series]
    numbers: IntArray
    wrong: IntArray
    filled: IntArray
    names: IntArray
    ragged: BoolArray
    labelled: BoolArray  # the first filled cell is a word in a column of numbers: "Average", "Peak"


def load(path: Path, layout: Layout) -> RawTable:
    """Read a text file whose cells need care.

    Args:
        path: the file.
        layout: as found in its head; its header is not None.

    Returns:
        The table.

    Raises:
        ReadRefused: no row of numbers left, mixed decimal marks, too many rows wider than the header.
    """
    body, findings = _body(path, layout)
    quoted = layout.quoted
    if quoted and body.count(b'"') % 2:
        quoted = False
        text = "quotes do not come in pairs; they are taken off"
        findings.append(Finding("quote-unbalanced", Severity.WARNING, path.name, text, "look for a stray quote"))
    judged = _judge(body, layout, quoted)
    keep = _rows_of_data(judged)
    findings += _row_findings(judged, keep, layout, path.name)
    if _cut_off(body, layout, quoted) and len(keep) and keep[-1]:
        keep[-1] = False
        findings.append(cut_off_finding(path.name))
    faults = _faults(judged, keep, layout, path.name)
    if faults:
        raise ReadRefused(faults)
    return _assemble(judged, keep, layout, findings, path.name)


def _cut_off(body: bytes, layout: Layout, quoted: bool) -> bool:
    """True when the last line has no end and fewer cells than the header, or ends inside a character."""
    if body.endswith(b"\n"):
        return False
    last = body.rsplit(b"\n", 1)[-1].decode("utf-8", errors="replace")
    cells = split_rows([last], _separator(layout), quoted)[0]
    named = sum(1 for name in layout.header.names if name) if layout.header else 0
    return bool(last.strip()) and (len(cells) < named or last.endswith("\ufffd"))


def _body(path: Path, layout: Layout) -> tuple[bytes, list[Finding]]:
    """The rows of data under a header of our own (c0, c1 ...), UTF-8, one delimiter, line feeds."""
    content = path.read_bytes()
    findings = []
    if layout.encoding.name in ("utf-8", "cp1252") and b"\x00" in content:
        text = f"{content.count(0)} zero bytes in the text; taken out"
        findings.append(Finding("nul-bytes", Severity.WARNING, path.name, text, "copy the file again from the logger"))
        content = content.replace(b"\x00", b"")
    if layout.encoding.name != "utf-8" or layout.delimiter == " " or layout.end != "\n":
        text = decode(content, layout.encoding)
        if layout.end != "\n":
            text = text.replace(layout.end, "\n")
        if layout.delimiter == " ":
            text = "\n".join(BLANKS.sub("\t", line.strip()) for line in text.split("\n"))
        content = text.encode("utf-8")
    offset = 0
    for _ in range(layout.data_line):
        offset = content.find(b"\n", offset) + 1
    mark = _separator(layout)
    heading = mark.join(f"c{place}" for place in range(layout.width + 1)) + "\n"
    return heading.encode() + content[offset:], findings


def _separator(layout: Layout) -> str:
    return "\t" if layout.delimiter == " " else layout.delimiter


def _groups(body: bytes, layout: Layout, quoted: bool) -> Iterator[pl.DataFrame]:
    kinds = {f"c{place}": pl.String for place in range(layout.width + 1)}
    names = list(kinds)
    step = FEW_COLUMNS if len(body) > LARGE else len(names)
    for first in range(0, len(names), step):
        yield pl.read_csv(
            io.BytesIO(body),
            has_header=True,
            separator=_separator(layout),
            schema=kinds,
            columns=names[first : first + step],
            quote_char='"' if quoted else None,
            encoding="utf8-lossy",
            truncate_ragged_lines=True,
        )


def _judge(body: bytes, layout: Layout, quoted: bool) -> _Judged:
    assert layout.header is not None  # the caller has refused a file without rows
    judged: _Judged | None = None
    for frame in _read_groups(body, layout, quoted):
        if judged is None:
            zeros = np.zeros(frame.height, dtype=np.int64)
            ragged = np.zeros(frame.height, dtype=np.bool_)
            judged = _Judged({}, {}, zeros, zeros.copy(), zeros.copy(), zeros.copy(), ragged, ragged.copy())
        for name in frame.columns:
            _take_column(judged, int(name[1:]), frame[name], layout)
    assert judged is not None  # there is at least one column
    return judged


def _read_groups(body: bytes, layout: Layout, quoted: bool) -> Iterator[pl.DataFrame]:
    try:
        yield from _groups(body, layout, quoted)
    except pl.exceptions.PolarsError as error:
        first = str(error).splitlines()[0]
        remedy = "look for unbalanced quotes, or write the file again"
        raise ReadRefused(Fault("rows-unreadable", "rows", first, remedy)) from error


def _take_column(judged: _Judged, place: int, cells: pl.Series, layout: Layout) -> None:
    assert layout.header is not None  # as above
    if place >= layout.width:
        judged.ragged = (cells.fill_null("").str.strip_chars().str.len_bytes() > 0).to_numpy().astype(np.bool_)
        return
    heading = _heading(layout)
    if place < len(heading) and heading[place].strip():
        judged.names += equal_rows(cells, heading[place])
    if place in layout.texts:
        judged.texts[place] = cells.fill_null("").str.strip_chars()
        judged.filled += (judged.texts[place].str.len_bytes() > 0).to_numpy()
        return
    column = to_numbers(cells, layout.decimal, layout.thousands)
    if np.sum(column.wrong) * 2 > np.sum(column.filled):  # words all the way down: events, notes
        judged.texts[place] = cells.fill_null("").str.strip_chars()
        judged.filled += column.filled
        return
    judged.columns[place] = column
    judged.labelled |= column.wrong & (judged.filled == 0)
    judged.filled += column.filled
    judged.wrong += column.wrong
    judged.numbers += column.filled & ~column.wrong & np.isfinite(column.values)


def _heading(layout: Layout) -> list[str]:
    """The row of names as it stood, to know it again further down."""
    assert layout.header is not None  # as above
    if layout.header.row < 0:
        return []
    return split_rows([layout.lines[layout.header.row]], layout.delimiter, True)[0]


def _rows_of_data(judged: _Judged) -> BoolArray:
    data = (judged.numbers >= 1) & (judged.wrong * 2 <= judged.numbers)
    many = judged.numbers.max(initial=0) if len(data) else 0
    # A line of three numbers under a log of sixty columns is a summary, not a sample.
    sparse = (judged.wrong > 0) & (judged.numbers * 4 < many)
    return data & ~sparse & ~judged.ragged & ~judged.labelled & _with_clock(judged, data)


def _with_clock(judged: _Judged, data: BoolArray) -> BoolArray:
    """Rows that carry a time of day where nearly all do: a summary line says "Maximum" there."""
    clocked = np.ones(len(data), dtype=np.bool_)
    for cells in judged.texts.values():
        told = cells.str.contains(CLOCK).to_numpy().astype(np.bool_)
        if np.any(data) and np.mean(told[data]) > MOST_CLOCKED:
            clocked &= told
    return clocked


def _row_findings(judged: _Judged, keep: BoolArray, layout: Layout, where: str) -> Iterator[Finding]:
    first = layout.data_line + 1
    dropped = ~keep & (judged.filled > 0)
    repeated = dropped & (judged.names >= 2)
    ragged = judged.ragged & (judged.numbers > 0)
    kept_rows = np.flatnonzero(keep)
    last = int(kept_rows[-1]) if len(kept_rows) else -1
    rest = dropped & ~repeated & ~ragged
    if np.any(repeated):
        under = np.zeros_like(rest)
        under[1:] = repeated[:-1]
        rest &= ~under  # the units row under a repeated header goes with it
        rows = [int(row) + first for row in np.flatnonzero(repeated)]
        text = f"the header stands again in {row_list(rows)}; left out"
        yield Finding("header-repeated", Severity.NOTE, where, text, "check that the file is one log")
    if np.any(ragged):
        rows = [int(row) + first for row in np.flatnonzero(ragged)]
        text = f"more cells than columns in {row_list(rows)}; left out"
        yield Finding("rows-ragged", Severity.WARNING, where, text, "look for a delimiter inside a number")
    rows = [int(row) + first for row in np.flatnonzero(rest)]
    if rows:
        place = " after the last sample" if rows[0] - first > last else ""
        text = f"no samples in {row_list(rows)}{place}; left out"
        yield Finding("rows-dropped", Severity.NOTE, where, text, "nothing, if these are comments or a summary")


def _faults(judged: _Judged, keep: BoolArray, layout: Layout, where: str) -> list[Fault]:
    first = layout.data_line + 1
    found = []
    if not np.any(keep):
        found.append(Fault("no-rows", where, "no row of numbers under the header", "give a log with samples"))
    swapped = np.zeros(len(keep), dtype=np.bool_)
    for column in judged.columns.values():
        if len(column.other_decimal):
            swapped |= column.other_decimal
    rows = [int(row) + first for row in np.flatnonzero(swapped & keep)]
    if rows:
        other = "," if layout.decimal == "." else "."
        seen = f"decimal {other!r} in {row_list(rows)}, {layout.decimal!r} in the others"
        found.append(Fault("decimal-mixed", where, seen, "write the file again with one decimal mark"))
    ragged = int(np.sum(judged.ragged & (judged.numbers > 0)))
    if ragged > RAGGED_SHARE * max(int(np.sum(keep)), 1):
        seen = f"{ragged} rows have more cells than the header has names"
        remedy = "use another delimiter than the decimal mark, or name every column"
        found.append(Fault("more-cells-than-names", where, seen, remedy))
    return found


def _assemble(judged: _Judged, keep: BoolArray, layout: Layout, findings: list[Finding], where: str) -> RawTable:
    assert layout.header is not None  # as above
    first = layout.data_line + 1
    values: dict[str, FloatArray] = {}
    texts: dict[str, tuple[str, ...]] = {}
    columns: list[str] = []
    whole = bool(np.all(keep))
    empty = 0
    for place, plain in enumerate(layout.header.names):
        name = plain or f"column {place + 1}"
        if place in judged.texts:
            cells = judged.texts[place] if whole else judged.texts[place].filter(pl.Series(keep))
            if not plain and not any(cells.to_list()):
                empty += 1
                continue
            texts[name] = tuple(cells.to_list())
        else:
            column = judged.columns.pop(place)
            if not plain and not np.any(column.filled & keep):
                empty += 1
                continue
            values[name] = column.values if whole else column.values[keep]
            wrong = np.flatnonzero(column.wrong & keep)
            if len(wrong):
                findings.append(_wrong_finding(name, column, [int(row) + first for row in wrong], where))
        columns.append(name)
    return raw_table(layout, tuple(columns), values, texts, tuple(findings), empty)


def _wrong_finding(name: str, column: Column, rows: list[int], where: str) -> Finding:
    text = f"{name}: no number in {row_list(rows)} (e.g. {column.example!r}); taken as missing"
    share = len(rows) / max(int(np.sum(column.filled)), 1)
    severity = Severity.WARNING if share > TEXT_SHARE else Severity.NOTE
    return Finding("cells-not-numeric", severity, where, text, "correct the cells, if the channel matters")


def _layout_findings(layout: Layout, empty: int) -> Iterator[Finding]:
    note = Severity.NOTE
    if empty:
        text = f"{empty} column(s) without name and content; left out"
        yield Finding("columns-empty", note, "columns", text, "nothing, if every row ends with the delimiter")
    if layout.encoding.guessed:
        text = f"the encoding is not written in the file; read as {layout.encoding.label}"
        yield Finding("encoding-guessed", note, "encoding", text, "save the log as UTF-8 if letters look wrong")
    if layout.end == "\r":
        text = "lines end with carriage returns only"
        yield Finding("line-ends", note, "lines", text, "nothing; such files come from old loggers")
    if layout.thousands:
        cell = next(iter(layout.marks.thousands.values()), "")
        seen = f" (e.g. {cell})" if cell else ""
        text = f"numbers carry thousands marks{seen}; they are taken off"
        yield Finding("thousands-marks", note, "numbers", text, "check one number against the logger's display")
    if layout.doubtful:
        cell = next(iter(layout.marks.doubtful.values()), "")
        text = f"{cell!r} can be read with a decimal comma or with thousands marks; read with a decimal comma"
        yield Finding("decimal-doubtful", Severity.WARNING, "numbers", text, "write the log with decimal points")


def cut_off_finding(where: str) -> Finding:
    """The finding for a file that ends inside a row.

    Args:
        where: file name.

    Returns:
        The finding.
    """
    return Finding(
        "rows-ragged",
        Severity.WARNING,
        where,
        "the file ends inside a row; that row is left out",
        "copy the file again from the logger if the pull is short",
    )


def raw_table(
    layout: Layout,
    columns: tuple[str, ...],
    values: Mapping[str, FloatArray],
    texts: dict[str, tuple[str, ...]],
    findings: tuple[Finding, ...],
    empty: int = 0,
) -> RawTable:
    """Hand over what was read, with what the layout knows.

    Args:
        layout: the file's layout.
        columns: names in order.
        values: numeric columns.
        texts: text columns.
        findings: what was noticed on the way.
        empty: columns without a name and without content that were left out.

    Returns:
        The table.
    """
    assert layout.header is not None  # as above
    preamble = tuple(line.strip() for line in layout.lines[: max(layout.header.row, 0)] if line.strip())
    noticed = [*layout.header.findings, *_layout_findings(layout, empty), *findings]
    if layout.header.row < 0:
        text = "the columns have no names; they are called column 1, column 2 ..."
        remedy = "add a header row, or map them by option or in channels.toml"
        noticed.append(Finding("no-header", Severity.WARNING, "header", text, remedy))
    choices = {"encoding": layout.encoding.label, "delimiter": layout.delimiter, "decimal mark": layout.decimal}
    return RawTable(
        columns,
        layout.header.units,
        values,
        texts,
        preamble,
        layout.label,
        tuple(noticed),
        layout.data_line + 1,
        None,
        choices,
    )
