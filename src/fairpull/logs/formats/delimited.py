"""Delimited text: any delimiter, decimal mark and encoding, with preambles, units rows and what follows the data."""

from __future__ import annotations

import io
from pathlib import Path

import polars as pl

from fairpull.logs import dialect, messy
from fairpull.logs.dialect import Layout
from fairpull.logs.options import ReadOptions
from fairpull.logs.table import LateColumns, RawTable, Sniff
from fairpull.logs.text import encoding_of
from fairpull.terms.errors import Fault, ReadRefused
from fairpull.terms.findings import Finding

NAME = "delimited"
HEAD = 65536
MOST_HEAD = 4 * 1024 * 1024
IN_MEMORY = 8 * 1024 * 1024  # smaller files are read once and parsed from memory
FEW_LINES = 4


def sniff(path: Path, head: bytes) -> Sniff:
    """Say whether a file is delimited text.

    Args:
        path: the file.
        head: its first bytes.

    Returns:
        The opinion with its reason.
    """
    layout = _layout(path, head)
    if isinstance(layout, str):
        return Sniff(False, layout)
    if layout.header is None:
        if path.suffix.lower() in (".json", ".jsonl", ".ndjson"):
            return Sniff(False, "text without columns, and its name says JSON")
        return Sniff(True, f"text, {layout.label}, but without rows under a header")
    return Sniff(True, f"text with {layout.width} columns, {layout.label}")


def load(path: Path, options: ReadOptions) -> RawTable:
    """Read a delimited text file as it stands.

    Args:
        path: the file.
        options: unused here apart from the door's; columns and units are judged later.

    Returns:
        The table.

    Raises:
        ReadRefused: no text, no rows, mixed decimal marks, rows wider than the header.
    """
    with path.open("rb") as file:
        head = file.read(HEAD)
    layout = _layout(path, head)
    if isinstance(layout, str):
        raise ReadRefused(Fault("not-delimited", path.name, layout, "give a table of text, or name its format"))
    faults = _faults(layout, path)
    if faults:
        raise ReadRefused(faults)
    table = _clean(path, layout) if _may_be_clean(path, layout) else None
    return table if table is not None else messy.load(path, layout)


def _layout(path: Path, head: bytes) -> Layout | str:
    size = path.stat().st_size
    if encoding_of(head) is not None:
        wanted = len(head)
        while len(head) < min(size, MOST_HEAD) and head.count(b"\n") + head.count(b"\r") < FEW_LINES:
            wanted *= 4
            with path.open("rb") as file:
                head = file.read(wanted)
    return dialect.layout_of(head, len(head) >= size)


def _faults(layout: Layout, path: Path) -> list[Fault]:
    where = path.name
    if layout.header is None:
        return [_nothing(layout, where)]
    found = []
    if layout.marks.mixed:
        point, comma = (_with_row(layout, layout.marks.decimal[mark]) for mark in (".", ","))
        seen = f"decimal points ({point}) and decimal commas ({comma}) in one file"
        found.append(Fault("decimal-mixed", where, seen, "write the file again with one decimal mark"))
    named = sum(1 for name in layout.header.names if name)
    wide = layout.header.row >= 0 and _filled_width(layout) > max(_last_named(layout), named)
    if wide:
        seen = f"rows with {_filled_width(layout)} cells under {named} names"
        remedy = "use another delimiter than the decimal mark, or name every column"
        found.append(Fault("more-cells-than-names", where, seen, remedy))
    return found


def _with_row(layout: Layout, cell: str) -> str:
    """A cell with the first row it stands in."""
    for number, line in enumerate(layout.lines[layout.data_line :], start=layout.data_line + 1):
        if cell in line:
            return f"{cell}, row {number}"
    return cell


def _nothing(layout: Layout, where: str) -> Fault:
    lines = [line for line in layout.lines if line.strip()]
    if layout.problem == "line-too-long":
        seen = f"no line end in the first {MOST_HEAD >> 20} MB"
        return Fault("line-too-long", where, seen, "give a log with one sample a line")
    if layout.problem == "no-rows":
        seen = f"{len(lines)} line(s) of names, no row of numbers"
        return Fault("no-rows", where, seen, "give a log with samples")
    first = lines[0][:60] if lines else ""
    remedy = "give a table: one row of names, then rows of numbers"
    return Fault("no-header", where, f"no row of names above rows of numbers (it begins {first!r})", remedy)


def _last_named(layout: Layout) -> int:
    assert layout.header is not None  # asked only where a header was found
    return max((place for place, name in enumerate(layout.header.names, start=1) if name), default=0)


def _filled_width(layout: Layout) -> int:
    rows = dialect.split_rows(layout.lines[layout.data_line : layout.data_line + 8], layout.delimiter, layout.quoted)
    widths = [max((place for place, cell in enumerate(row, 1) if cell.strip()), default=0) for row in rows]
    return sorted(widths)[len(widths) // 2]


def _may_be_clean(path: Path, layout: Layout) -> bool:
    simple = layout.encoding.name == "utf-8" and layout.end == "\n" and not layout.thousands
    if not simple or layout.delimiter == " ":
        return False
    return layout.decimal == "." or not _has_points(path, layout)


def _has_points(path: Path, layout: Layout) -> bool:
    """Whether a point stands below the header of a decimal-comma file: the fast parser would take it as decimal."""
    with path.open("rb") as file:
        for _ in range(layout.data_line):
            file.readline()
        while block := file.read(1 << 20):
            if b"." in block:
                return True
    return False


def _clean(path: Path, layout: Layout) -> RawTable | None:
    """The fast way: one typed read. None when a cell does not fit, so that the careful way must be taken."""
    kinds = {f"c{place}": pl.String if place in layout.texts else pl.Float64 for place in range(layout.width)}
    size = path.stat().st_size
    source: Path | io.BytesIO = io.BytesIO(path.read_bytes()) if size <= IN_MEMORY else path
    try:
        frame = pl.read_csv(
            source,
            has_header=False,
            skip_lines=layout.data_line,
            separator=layout.delimiter,
            schema=kinds,
            decimal_comma=layout.decimal == ",",
            quote_char='"' if layout.quoted else None,
        )
    except pl.exceptions.PolarsError:
        return None
    frame, findings = _without_empty_rows(frame)
    if frame.height and _is_cut_off(path, layout):
        frame = frame.head(frame.height - 1)
        findings = (*findings, messy.cut_off_finding(path.name))
    return _table(frame, layout, findings)


def _without_empty_rows(frame: pl.DataFrame) -> tuple[pl.DataFrame, tuple[Finding, ...]]:
    if not frame.width or min(series.null_count() for series in frame) == 0:
        return frame, ()
    kept = frame.filter(~pl.all_horizontal(pl.all().is_null()))
    return kept, ()


def _is_cut_off(path: Path, layout: Layout) -> bool:
    """True when the file ends inside a row: no line end, and fewer cells than the other rows have."""
    with path.open("rb") as file:
        size = file.seek(0, io.SEEK_END)
        file.seek(max(0, size - 1))
        if file.read() in (b"\n", b"\r"):
            return False
        file.seek(max(0, size - HEAD))
        tail = file.read()
    last = tail.rsplit(b"\n", 1)[-1].decode("utf-8", errors="replace")
    cells = dialect.split_rows([last], layout.delimiter, layout.quoted)[0]
    return bool(last.strip()) and len(cells) < len(
        dialect.split_rows([layout.lines[layout.data_line]], layout.delimiter, layout.quoted)[0]
    )


def _table(frame: pl.DataFrame, layout: Layout, findings: tuple[Finding, ...]) -> RawTable:
    assert layout.header is not None  # refused earlier
    values = {}
    texts = {}
    columns = []
    empty = 0
    for place, name in enumerate(layout.header.names):
        series = frame.to_series(place)
        if not name:
            if series.null_count() == frame.height:
                empty += 1
                continue
            name = f"column {place + 1}"
        columns.append(name)
        if place in layout.texts:
            texts[name] = tuple(series.fill_null("").to_list())
        else:
            values[name] = series.to_numpy
    return messy.raw_table(layout, tuple(columns), LateColumns(values), texts, findings, empty)
