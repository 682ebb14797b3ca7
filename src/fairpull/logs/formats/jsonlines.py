"""JSON lines: one object a line, keys are columns; a first object may hold names and values of the day, or units."""

from __future__ import annotations

import json
from collections.abc import Iterable
from pathlib import Path

import numpy as np

from fairpull.logs.headers import name_and_unit, unique_names
from fairpull.logs.options import ReadOptions
from fairpull.logs.table import RawTable, Sniff
from fairpull.logs.text import decode, encoding_of
from fairpull.terms.arrays import FloatArray
from fairpull.terms.errors import Fault, ReadRefused
from fairpull.terms.findings import Finding, Severity

NAME = "jsonlines"
HEAD = 65536
ENDINGS = (".jsonl", ".ndjson")
Row = dict[str, object]


def sniff(path: Path, head: bytes) -> Sniff:
    """Say whether a file is JSON lines.

    Args:
        path: the file.
        head: its first bytes.

    Returns:
        The opinion with its reason.
    """
    encoding = encoding_of(head)
    if encoding is None:
        return Sniff(False, "it is not text")
    text = decode(head, encoding).lstrip()
    if text.startswith("[") and text[1:].lstrip().startswith("{"):
        return Sniff(True, "it is JSON, though one array and not one object a line")
    if not text.startswith("{") and path.suffix.lower() in ENDINGS:
        return Sniff(True, "its name says JSON, though its first line is no object")
    if not text.startswith("{"):
        return Sniff(False, "its first line does not begin with a brace")
    first, _, _ = text.partition("\n")
    if not first.rstrip().endswith("}") and len(first) < len(text) - 1:
        return Sniff(False, "its first line is no complete JSON object")
    return Sniff(True, "its first line is a JSON object")


def load(path: Path, options: ReadOptions) -> RawTable:
    """Read a file of JSON lines as it stands.

    Args:
        path: the file.
        options: unused here.

    Returns:
        The table.

    Raises:
        ReadRefused: no line holds an object with a number.
    """
    content = path.read_bytes()
    encoding = encoding_of(content[:HEAD])
    if encoding is None:
        raise ReadRefused(Fault("not-jsonlines", path.name, "it is not text", "give one JSON object a line"))
    rows, bad = _rows(decode(content, encoding))
    preamble, units, rows = _opening(rows)
    if not rows:
        seen = f"{len(bad)} line(s), none an object with numbers"
        code = "no-rows" if preamble or units else "json-not-lines"
        raise ReadRefused(Fault(code, path.name, seen, "give one JSON object with numbers a line"))
    findings = [_bad_finding(bad, path.name)] if bad else []
    findings += _changing(rows, path.name)
    keys = tuple(dict.fromkeys(key for _, row in rows for key in row))
    split = [name_and_unit(key) for key in keys]
    names, doubled = unique_names([name for name, _ in split], path.name)
    values: dict[str, FloatArray] = {}
    texts: dict[str, tuple[str, ...]] = {}
    for name, key in zip(names, keys, strict=True):
        cells = [row.get(key) for _, row in rows]
        if _numeric(cells):
            values[name] = np.array([_number(cell) for cell in cells], dtype=np.float64)
        else:
            texts[name] = tuple("" if cell is None else str(cell) for cell in cells)
    found = {name: unit for name, (_, unit) in zip(names, split, strict=True) if unit}
    for key, unit in units.items():
        if key in keys:
            found[names[keys.index(key)]] = unit
    detail = f"{encoding.label}, {len(rows)} objects"
    return RawTable(names, found, values, texts, preamble, detail, (*doubled, *findings), rows[0][0])


def _rows(text: str) -> tuple[list[tuple[int, Row]], list[int]]:
    rows: list[tuple[int, Row]] = []
    bad: list[int] = []
    for number, line in enumerate(text.splitlines(), start=1):
        if not line.strip():
            continue
        try:
            read = json.loads(line)
        except (json.JSONDecodeError, RecursionError):
            read = None
        if isinstance(read, dict):
            rows.append((number, read))
        else:
            bad.append(number)
    return rows, bad


def _opening(rows: list[tuple[int, Row]]) -> tuple[tuple[str, ...], dict[str, str], list[tuple[int, Row]]]:
    """Objects at the start that are no samples: a "units" table, or names and values of the day."""
    preamble: list[str] = []
    units: dict[str, str] = {}
    opening = 0
    for _, row in rows[:10]:
        given = row.get("units")
        others = {key: value for key, value in row.items() if key != "units"}
        if isinstance(given, dict):
            units.update({str(key): str(value) for key, value in given.items()})
        elif any(_is_number(value) for value in row.values()):
            break
        preamble.extend(f"{key}: {value}" for key, value in others.items() if not isinstance(value, dict | list))
        opening += 1
    return tuple(preamble), units, rows[opening:]


def _is_number(cell: object) -> bool:
    return isinstance(cell, int | float) and not isinstance(cell, bool)


def _as_number(cell: object) -> float | None:
    if isinstance(cell, int | float):
        return float(cell)
    try:
        return float(str(cell))
    except ValueError:
        return None


def _numeric(cells: Iterable[object]) -> bool:
    filled = [cell for cell in cells if cell is not None and cell != ""]
    if not filled:
        return True
    if not any(isinstance(cell, str) for cell in filled):
        return not any(isinstance(cell, dict | list) for cell in filled)
    numbers = sum(_is_number(cell) or _as_number(cell) is not None for cell in filled)
    return numbers * 2 > len(filled)


def _number(cell: object) -> float:
    if cell is None:
        return float("nan")
    number = _as_number(cell)
    return float("nan") if number is None else number


def _changing(rows: list[tuple[int, Row]], where: str) -> list[Finding]:
    """Objects that do not all have the same keys."""
    first = rows[0][1].keys()
    other = sum(1 for _, row in rows if row.keys() != first)
    if not other:
        return []
    text = f"{other} of {len(rows)} objects have other keys than the first; what is not there is missing"
    return [Finding("json-keys-change", Severity.NOTE, where, text, "nothing, if channels come at different rates")]


def _bad_finding(bad: list[int], where: str) -> Finding:
    shown = ", ".join(str(number) for number in bad[:5])
    text = f"{len(bad)} line(s) are no JSON object (line {shown}); left out"
    return Finding("rows-dropped", Severity.WARNING, where, text, "check that the file was copied whole")
