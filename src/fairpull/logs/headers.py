"""Where the names, the units and the data of a table stand; shared by the formats that have to search for them."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from fairpull.logs.names import channel_of_spelling
from fairpull.logs.numbers import all_numbers, is_clock, is_number
from fairpull.terms import units
from fairpull.terms.findings import Finding, Severity
from fairpull.terms.glossary import BY_NAME

ENOUGH_ROWS = 12
_BRACKETED = re.compile(r"^(?P<name>.*\S)\s*(?P<open>[\[({<])\s*(?P<unit>[^\[\](){}<>]*(?:\([^()]*\))?)\s*[\])}>]\s*$")
_SLASHED = re.compile(r"^(?P<name>.+?)(?:\s*/\s*|\s*,\s+|\s+in\s+)(?P<unit>[^/,]+(?:/[^/,]+)?)$")
_COMMENT = re.compile(r"^\s*(?:#+|//|%+|\*+|!|--)\s*")


@dataclass(frozen=True, slots=True)
class Header:
    """The place of a table inside rows of cells.

    Attributes:
        names: column names, unique, units taken off; "" for a column without a name.
        units: column -> unit text as it stood, only where there is one.
        row: index of the row of names in the rows given; -1 when the table has no names.
        data_row: index of the first row of data.
        preamble: rows before the names, one line each.
        findings: names that had to be made unique.
    """

    names: tuple[str, ...]
    units: dict[str, str]
    row: int
    data_row: int
    preamble: tuple[str, ...]
    findings: tuple[Finding, ...] = ()


@lru_cache(maxsize=4096)
def name_and_unit(text: str) -> tuple[str, str]:
    """Split a header cell into name and unit: "Torque [lb-ft]", "Boost (psi)", "n / 1/min", "Oil temp, degF".

    Args:
        text: header cell.

    Returns:
        Name and unit text; the unit is "" when none is written in brackets or behind a stroke. A unit after an
        underscore stays in the name: only the glossary can tell it from a word.
    """
    text = " ".join(text.replace("Â°", "°").split()).strip("\"'")
    bracketed = _BRACKETED.match(text)
    if bracketed:
        unit = bracketed.group("unit").strip()
        if unit == "1" and _holds_fraction(bracketed.group("name")):
            return bracketed.group("name").strip(), unit
        known = units.lookup(unit) is not None if unit and not unit.isdigit() else False
        if known or (bracketed.group("open") == "[" and unit and not unit.isdigit()):
            return bracketed.group("name").strip(), unit
        return text, ""
    slashed = _SLASHED.match(text)
    if slashed and not slashed.group("unit").strip().isdigit() and units.lookup(slashed.group("unit")) is not None:
        whole = channel_of_spelling(text)
        return (text, "") if whole else (slashed.group("name").strip(), slashed.group("unit").strip())
    return text, ""


def _holds_fraction(name: str) -> bool:
    """Whether "[1]" behind a name is a unit; behind "EGT" it is a cylinder."""
    channel = BY_NAME.get(channel_of_spelling(name) or "")
    return channel is not None and channel.unit == "1" and not channel.numbered


def unique_names(names: Sequence[str], where: str) -> tuple[tuple[str, ...], tuple[Finding, ...]]:
    """Make column names unique: the second "torque" becomes "torque (2)", with a finding.

    Args:
        names: names as they stood; empty ones stay empty.
        where: file name for the finding.

    Returns:
        Unique names and the findings.
    """
    seen: dict[str, int] = {}
    result: list[str] = []
    doubled: list[str] = []
    for name in names:
        seen[name] = seen.get(name, 0) + 1
        if name and seen[name] > 1:
            doubled.append(name)
            name = f"{name} ({seen[name]})"
        result.append(name)
    if not doubled:
        return tuple(result), ()
    listed = ", ".join(sorted(set(doubled)))
    finding = Finding(
        "duplicate-column",
        Severity.WARNING,
        where or "header",
        f"more than one column is called {listed}; the first is used",
        "rename the columns, or map them in channels.toml",
    )
    return tuple(result), (finding,)


def row_kinds(row: Sequence[str]) -> tuple[int, int, int]:
    """Count the cells of a row that are numbers or clocks, that are words, and the width up to the last filled one.

    Args:
        row: cells as text.

    Returns:
        Numbers and clocks, words, width.
    """
    if all_numbers(row):
        return len(row), 0, len(row)
    numbers = words = width = 0
    for place, cell in enumerate(row, start=1):
        if not cell or not cell.strip():
            continue
        width = place
        if is_number(cell) or is_clock(cell) or cell.strip().lower() == "nan":
            numbers += 1
        else:
            words += 1
    return numbers, words, width


def _is_data(kinds: tuple[int, int, int]) -> bool:
    numbers, words, _ = kinds
    return numbers >= 1 and (numbers >= 2 or words <= 1) and numbers * 3 >= words


def _is_names(kinds: tuple[int, int, int]) -> bool:
    numbers, words, _ = kinds
    return words >= 2 and numbers * 5 <= words


def units_share(row: Sequence[str]) -> float:
    """Share of a row's filled cells that are unit spellings.

    Args:
        row: cells as text.

    Returns:
        0 to 1.
    """
    filled = [cell.strip().strip("[](){}") or "-" for cell in row if cell.strip()]
    if not filled:
        return 0.0
    return sum(units.lookup(cell) is not None for cell in filled) / len(filled)


class _Rows:
    """Rows with their kinds, counted once."""

    def __init__(self, rows: Sequence[Sequence[str]]) -> None:
        self.rows = rows
        self._kinds: dict[int, tuple[int, int, int]] = {}

    def kinds(self, index: int) -> tuple[int, int, int]:
        found = self._kinds.get(index)
        if found is None:
            found = self._kinds[index] = row_kinds(self.rows[index])
        return found

    def data_after(self, index: int) -> int:
        """Index of the first data row below, over at most three rows that are none; -1 when there is none."""
        passed = 0
        for below in range(index + 1, len(self.rows)):
            kinds = self.kinds(below)
            if _is_data(kinds):
                return below
            if kinds[2]:
                passed += 1
            if passed > 2:
                break
        return -1

    def run(self, index: int) -> int:
        """How many data rows follow each other from here, at most ENOUGH_ROWS; empty rows are passed over."""
        length = 0
        for below in range(index, len(self.rows)):
            kinds = self.kinds(below)
            if _is_data(kinds):
                length += 1
            elif kinds[2]:
                break
            if length >= ENOUGH_ROWS:
                break
        return length


def _candidates(table: _Rows) -> list[tuple[int, int, int, int]]:
    found: list[tuple[int, int, int, int]] = []
    for index in range(len(table.rows)):
        kinds = table.kinds(index)
        if not _is_names(kinds):
            continue
        data = table.data_after(index)
        if data < 0:
            continue
        run = table.run(data)
        hits = sum(channel_of_spelling(name_and_unit(cell)[0]) is not None for cell in table.rows[index])
        width = min(kinds[1], table.kinds(data)[2])
        found.append((run * width, hits, -index, data))
        if run >= ENOUGH_ROWS and data == index + 1:
            break
    return found


def _earliest_twin(rows: Sequence[Sequence[str]], index: int) -> int:
    cells = [cell.strip() for cell in rows[index]]
    for earlier in range(index):
        if [cell.strip() for cell in rows[earlier]] == cells:
            return earlier
    return index


def find_header(rows: Sequence[Sequence[str]], where: str = "") -> Header | None:
    """Find names, units and data in the first rows of a table.

    Args:
        rows: the first rows, cells as text ("" where empty); some tens of rows of data are enough.
        where: file (and sheet) for findings.

    Returns:
        The place of the table; names are "" and ``row`` is -1 where data stands without names; None when no row
        of numbers was found.
    """
    table = _Rows(rows)
    found = _candidates(table)
    if not found:
        return _nameless(table)
    best = max(found)
    index = _earliest_twin(rows, -best[2])
    data = table.data_after(index)
    data = data if data >= 0 else best[3]
    width = max([len(rows[index]), *(len(row) for row in rows[data : data + ENOUGH_ROWS])])
    cells = [*rows[index], *[""] * (width - len(rows[index]))]
    while cells and not cells[-1].strip() and not any(row[len(cells) - 1 :] for row in rows[data : data + 5]):
        cells.pop()
    if cells and _COMMENT.match(cells[0]):
        cells[0] = _COMMENT.sub("", cells[0])
    units_row = _units_row(rows[index + 1 : data])
    return _assemble(cells, units_row, index, data, rows[:index], where)


def _units_row(between: Sequence[Sequence[str]]) -> Sequence[str]:
    best = max(between, key=units_share, default=())
    return best if best and units_share(best) >= 0.5 else ()


def _contradict(one: str, other: str) -> bool:
    first, second = units.lookup(one), units.lookup(other)
    return first is not None and second is not None and (first.scale, first.offset) != (second.scale, second.offset)


def _assemble(
    cells: Sequence[str],
    units_row: Sequence[str],
    index: int,
    data: int,
    before: Sequence[Sequence[str]],
    where: str,
) -> Header:
    split = [name_and_unit(cell) for cell in cells]
    names, findings = unique_names([name for name, _ in split], where)
    found: dict[str, str] = {}
    against: list[str] = []
    for place, (name, (_, unit)) in enumerate(zip(names, split, strict=True)):
        below = units_row[place].strip() if place < len(units_row) else ""
        below = (_COMMENT.sub("", below) if place == 0 and len(below) > 1 else below).strip("[]{}")
        if below.startswith("(") and below.endswith(")"):
            below = below[1:-1]
        if name and (unit or below):
            found[name] = unit or below
        if name and unit and below and _contradict(unit, below):
            against.append(f"{name} [{unit}] over {below}")
    if against:
        text = f"the units in the names and in the row below differ: {', '.join(against)}; those in the names count"
        remedy = "say the right unit by option or in channels.toml"
        findings = (*findings, Finding("unit-contradicts", Severity.WARNING, where or "header", text, remedy))
    preamble = tuple(line for row in before if (line := " ".join(cell.strip() for cell in row if cell.strip())))
    return Header(names, found, index, data, preamble, findings)


def _nameless(table: _Rows) -> Header | None:
    for index in range(len(table.rows)):
        if _is_data(table.kinds(index)) and table.kinds(index)[0] >= 2:
            width = max(len(row) for row in table.rows[index:])
            names = tuple(f"column {place}" for place in range(1, width + 1))
            before = tuple(" ".join(cell for cell in row if cell.strip()) for row in table.rows[:index])
            return Header(names, {}, -1, index, tuple(line for line in before if line))
    return None
