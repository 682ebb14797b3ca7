"""The layout of a text log, judged by its first bytes: encoding, delimiter, decimal mark, header, column kinds."""

from __future__ import annotations

import csv
import re
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from fairpull.logs.headers import Header, find_header, name_and_unit, row_kinds
from fairpull.logs.names import channel_of_spelling
from fairpull.logs.numbers import MISSING, Marks, all_numbers, is_number, marks_of
from fairpull.logs.text import Encoding, decode, encoding_of, what_binary

USUAL = "\t;,|"
UNUSUAL = ":~^&!#$=\\\x1f"
SAMPLE_LINES = 16
BLANKS = re.compile(r"[ \t]+")
WIDE_BLANKS = re.compile(r" {2,}|\t+")


@dataclass(frozen=True, slots=True)
class Layout:
    """What the head of a text file tells.

    Attributes:
        encoding: how to read the bytes.
        delimiter: one character; " " means runs of blanks.
        decimal: "." or ",".
        thousands: characters that mark thousands, often "".
        doubtful: True when the decimal mark could be read the other way.
        marks: the evidence for the marks.
        quoted: True when quotes stand in the data.
        header: place of names, units and data; None when no numbers were found.
        data_line: line number (from 0) of the first data row; -1 without data.
        width: cells per row.
        texts: places (from 0) of the columns whose sampled cells are words or clocks.
        lines: complete lines of the head, without their ends.
        end: the line end, "\\n" or "\\r".
        problem: why there is nothing to read, a fault code: "no-rows", "no-header", "line-too-long"; else "".
    """

    encoding: Encoding
    delimiter: str
    decimal: str
    thousands: str
    doubtful: bool
    marks: Marks
    quoted: bool
    header: Header | None
    data_line: int
    width: int
    texts: frozenset[int]
    lines: tuple[str, ...]
    end: str
    problem: str = ""

    @property
    def label(self) -> str:
        """One readable line about the layout."""
        names = {"\t": "tab", " ": "blanks", "\x1f": "unit separator"}
        shown = names.get(self.delimiter, repr(self.delimiter))
        return f"{self.encoding.label}, delimiter {shown}, decimal {self.decimal!r}"


def split_rows(lines: Sequence[str], delimiter: str, quoted: bool = True) -> list[list[str]]:
    """Split lines into cells.

    Args:
        lines: lines without their ends.
        delimiter: one character, " " for runs of blanks.
        quoted: whether double quotes hold cells together.

    Returns:
        One list of cells for each line.
    """
    if delimiter == " ":
        return _blank_rows(lines)
    if not quoted or not any('"' in line for line in lines):
        return [line.split(delimiter) for line in lines]
    rows = []
    for line in lines:
        try:
            rows.append(next(csv.reader([line], delimiter=delimiter, skipinitialspace=True), []))
        except csv.Error:
            rows.append(line.split(delimiter))
    return rows


def _blank_rows(lines: Sequence[str]) -> list[list[str]]:
    """Rows parted by blanks; names with single blanks in them count as one where two or more part the columns."""
    rows = [line.split() for line in lines]
    widths = [len(row) for row in rows[-SAMPLE_LINES:] if row]
    usual = max(set(widths), key=widths.count, default=0)
    for place, row in enumerate(rows):
        if len(row) > usual:
            wide = WIDE_BLANKS.split(lines[place].strip())
            rows[place] = wide if len(wide) == usual else row
    return rows


def _score(sample: Sequence[str], delimiter: str) -> float:
    """Numbers a line when split by this delimiter, words counted against it, over the better half of the lines."""
    scores = []
    for cells in split_rows(sample, delimiter):
        numbers, words, _ = row_kinds(cells[:200]) if len(cells) > 1 else (0, 0, 0)
        scores.append(numbers - 0.9 * words if numbers else 0.0)
    best = sorted(scores, reverse=True)[: max(1, len(scores) // 2)]
    return sum(best) / len(best)


def find_delimiter(lines: Sequence[str]) -> str:
    """The delimiter by which most cells of the last lines are numbers.

    Args:
        lines: complete lines of the head.

    Returns:
        The delimiter; "" when no delimiter makes columns of numbers.
    """
    sample = [line for line in lines if line.strip()][-SAMPLE_LINES:]
    if not sample:
        return ""
    present = "".join(sample)
    for candidates in (USUAL + " ", UNUSUAL):
        scored = [(_score(sample[:8] + sample[-8:], mark), mark) for mark in candidates if mark in present]
        best = max(scored, default=(0.0, ""), key=lambda pair: pair[0])
        if best[0] >= 1.0:
            return best[1]
    return _delimiter_of_words(lines)


def _delimiter_of_words(lines: Sequence[str]) -> str:
    """For a file without numbers: the usual delimiter that splits the widest line into most cells."""
    counts = [(max(line.count(mark) for line in lines), mark) for mark in USUAL]
    best = max(counts, key=lambda pair: pair[0])
    return best[1] if best[0] >= 1 else ""


def _text_columns(rows: Sequence[Sequence[str]], width: int) -> frozenset[int]:
    if all(all_numbers(row) for row in rows):
        return frozenset()
    places = set()
    for place in range(width):
        cells = [row[place] for row in rows if place < len(row)]
        words = [cell for cell in cells if not is_number(cell) and cell.strip().lower() not in MISSING]
        if len(words) * 2 > sum(1 for cell in cells if cell):
            places.add(place)
    return frozenset(places)


def _numeric_cells(rows: Sequence[Sequence[str]], texts: frozenset[int]) -> list[str]:
    return [cell for row in rows for place, cell in enumerate(row) if place not in texts]


def _marks(rows: Sequence[Sequence[str]], texts: frozenset[int], delimiter: str, quoted: bool) -> Marks:
    if all(all_numbers(row) for row in rows):
        return Marks({}, {}, {})  # a point is the one mark that can stand there
    text = "".join("".join(row) for row in rows)
    suspicious = ("," in text and (delimiter != "," or quoted)) or any(mark in text for mark in "'’\u00a0\u202f")
    if not suspicious and delimiter == " ":
        return Marks({}, {}, {})
    cells = _numeric_cells(rows, texts)
    if not suspicious and not any(cell.count(".") > 1 or " " in cell.strip() for cell in cells):
        return Marks({}, {}, {})
    return marks_of(cells)


@lru_cache(maxsize=16)
def layout_of(head: bytes, complete: bool) -> Layout | str:
    """Judge the head of a file.

    Args:
        head: the first bytes.
        complete: True when the head is the whole file, so that its last line counts.

    Returns:
        The layout, or the reason why this is no table of text.
    """
    encoding = encoding_of(head)
    if encoding is None:
        return f"it is {what_binary(head) or 'binary data'}, not text"
    text = decode(head, encoding)
    end = "\n" if "\n" in text else "\r" if "\r" in text else "\n"
    lines = [line.rstrip("\r") for line in text.split(end)]
    if not complete and len(lines) > 1:
        lines.pop()
    opening = text.lstrip()[:1]
    if opening in ("{", "[", "<"):
        return "it begins like JSON, not like a table" if opening != "<" else "it begins like a page or XML"
    if len(lines) == 1 and not complete:
        return _nothing(encoding, ",", lines, end, "line-too-long")
    delimiter = find_delimiter(lines)
    if not delimiter:
        filled = [line for line in lines[:50] if line.strip()]
        if len(filled) > 2 and all(is_number(line) for line in filled):
            return _nothing(encoding, ",", lines, end, "no-header")
        return "no delimiter splits its lines into columns"
    return _judge(encoding, lines, delimiter, end)


def _nothing(encoding: Encoding, delimiter: str, lines: list[str], end: str, problem: str) -> Layout:
    marks = Marks({}, {}, {})
    kept = tuple(lines[:50])
    return Layout(encoding, delimiter, ".", "", False, marks, False, None, -1, 0, frozenset(), kept, end, problem)


def _judge(encoding: Encoding, lines: list[str], delimiter: str, end: str) -> Layout:
    rows = split_rows(lines[:2000], delimiter)
    header = find_header(rows)
    if header is None:
        known = any(channel_of_spelling(name_and_unit(cell)[0]) for row in rows[:50] for cell in row[:200])
        return _nothing(encoding, delimiter, lines, end, "no-rows" if known else "no-header")
    first = header.data_row
    ends = rows[first : first + SAMPLE_LINES] + rows[max(first, len(rows) - SAMPLE_LINES) :]
    sample = [row for row in ends if row_kinds(row[:20])[0]]
    quoted = any('"' in line for line in lines[first:])
    width = len(header.names)
    texts = _text_columns(sample, width)
    marks = _marks(sample, texts, delimiter, quoted)
    decimal, thousands, doubtful = marks.settle()
    return Layout(
        encoding, delimiter, decimal, thousands, doubtful, marks, quoted, header, first, width, texts, tuple(lines), end
    )
