"""An export read back and checked: everything that is wrong with it is told at once, before a book is made of it."""

from __future__ import annotations

import csv
import io
import json
import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path, PurePosixPath
from typing import Any

from sqlalchemy import Double, Table, Text

from fairpull.book.export import FORMAT, LAYOUT, MANIFEST, PLAIN_TABLES
from fairpull.book.names import name_faults
from fairpull.book.originals import content_hash
from fairpull.book.sheet_toml import from_toml
from fairpull.book.tables import ATTACHMENTS, FIGURES, LOOKS, MARKS, ORIGINALS, PULLS, RESULTS, SETTINGS, SHEETS
from fairpull.book.traces import read_trace, single_file
from fairpull.terms.bench import SHEET_KINDS, STATES
from fairpull.terms.errors import BookRefused, FairpullError, Fault

NEEDED = (
    *("settings.toml", "sheets.json", "originals.json", "pulls.json", "figures.csv", "results.json"),
    *PLAIN_TABLES,
)
REMEDY = "export the book again, or put the file back as it was exported"


@dataclass(slots=True)
class Exported:
    """What an export holds.

    Attributes:
        rows: table's name -> rows, ready to be written.
        originals: content hash -> file.
        traces: trace file as the pulls' rows name it -> file.
        faults: what is wrong.
    """

    rows: dict[str, list[dict[str, Any]]] = field(default_factory=dict)
    originals: dict[str, Path] = field(default_factory=dict)
    traces: dict[str, Path] = field(default_factory=dict)
    faults: list[Fault] = field(default_factory=list)

    def wrong(self, where: str, seen: str) -> None:
        """Write down that something is not as it was exported, and go on."""
        self.faults.append(Fault("export-damaged", where, seen, REMEDY))


def read_export(source: Path) -> Exported:
    """Read an export and check it.

    Args:
        source: its folder.

    Returns:
        What it holds.

    Raises:
        BookRefused: not an export, a newer one, or a damaged one; all faults at once.
    """
    found = Exported()
    listed = _manifest(source, found)
    _check_files(source, listed, found)
    missing = [name for name in NEEDED if name not in listed]
    for name in missing:
        found.wrong(name, "it is not listed in export.json")
    if not found.faults:
        _read(source, found)
    if not found.faults:
        _check_relations(found)
    if found.faults:
        raise BookRefused(found.faults)
    return found


def inside(place: str) -> bool:
    """Whether a listed place lies inside the folder on every system.

    Args:
        place: as an export or a backup names it, parts separated by "/".

    Returns:
        False for absolute places, "..", drives, backslashes and the like.
    """
    parts = place.split("/")
    plain = all(part not in ("", ".", "..") and "\\" not in part and ":" not in part for part in parts)
    return plain and "\0" not in place and not PurePosixPath(place).is_absolute()


def _manifest(source: Path, found: Exported) -> Mapping[str, Any]:
    path = source / MANIFEST
    try:
        said = json.loads(path.read_text("utf-8"))
    except FileNotFoundError as error:
        remedy = "name a folder that fairpull book export wrote"
        raise BookRefused(Fault("not-an-export", str(source), f"there is no {MANIFEST}", remedy)) from error
    except (OSError, ValueError, RecursionError) as error:
        raise BookRefused(Fault("export-damaged", MANIFEST, f"it cannot be read: {error}", REMEDY)) from error
    if not isinstance(said, dict) or said.get("format") != FORMAT or not isinstance(said.get("files"), dict):
        raise BookRefused(Fault("not-an-export", str(path), "it is no list of an export's files", REMEDY))
    if said.get("layout") != LAYOUT:
        remedy = "use the newer fairpull that wrote it"
        seen = f"layout {said.get('layout')!r}, known here: {LAYOUT}"
        raise BookRefused(Fault("export-newer", str(path), seen, remedy))
    listed = {}
    for place, facts in said["files"].items():
        if not inside(place):
            remedy = "take that entry out of export.json"
            found.faults.append(Fault("export-place", place, "a place outside the folder", remedy))
        elif not isinstance(facts, dict):
            found.wrong(place, "listed without size and hash")
        else:
            listed[place] = facts
    return listed


def _check_files(source: Path, listed: Mapping[str, Any], found: Exported) -> None:
    for place, facts in listed.items():
        path = source / place
        try:
            if not path.is_file():
                found.wrong(place, "the file is missing")
            elif path.stat().st_size != facts.get("size") or content_hash(path) != facts.get("sha256"):
                found.wrong(place, "its bytes are not those that were exported")
        except OSError as error:
            found.wrong(place, error.strerror or str(error))


def _read(source: Path, found: Exported) -> None:
    found.rows[SETTINGS.name] = _settings(source, found)
    found.rows[SHEETS.name] = _sheets(source, found)
    found.rows[ORIGINALS.name] = _originals(source, found)
    found.rows[PULLS.name] = _pulls(source, found)
    found.rows[FIGURES.name] = _figures(source, found)
    found.rows[RESULTS.name] = _results(source, found)
    for place, table in PLAIN_TABLES.items():
        found.rows[table.name] = [row for row, _ in _entries(source, place, table, found)]


def _settings(source: Path, found: Exported) -> list[dict[str, Any]]:
    import tomllib

    try:
        said = tomllib.loads((source / "settings.toml").read_text("utf-8"))
    except (UnicodeDecodeError, tomllib.TOMLDecodeError) as error:
        found.wrong("settings.toml", str(error))
        return []
    wrong = [key for key, value in said.items() if not isinstance(value, str)]
    for key in wrong:
        found.wrong(f"settings.toml, {key}", "a setting is a text")
    return [{"key": key, "value": value} for key, value in said.items() if key not in wrong]


def _json(source: Path, place: str, found: Exported) -> list[Any]:
    try:
        said = json.loads((source / place).read_text("utf-8"))
    except (ValueError, RecursionError) as error:
        found.wrong(place, f"it cannot be read: {error}")
        return []
    if not isinstance(said, list):
        found.wrong(place, "it is not a list")
        return []
    return said


def _entries(
    source: Path,
    place: str,
    table: Table,
    found: Exported,
    *,
    made: Sequence[str] = (),
    packed: Sequence[str] = (),
    file: bool = False,
) -> Iterable[tuple[dict[str, Any], Path]]:
    """Rows of a JSON file that have the table's columns with the right kinds of values.

    Args:
        source: the export's folder.
        place: the JSON file.
        table: whose rows they are.
        found: takes the faults.
        made: columns that do not stand there.
        packed: columns that stand there as data, and in the table as canonical JSON.
        file: each entry names a file.

    Yields:
        The row, and its file.
    """
    columns = [column for column in table.c if column.name not in made]
    for at, entry in enumerate(_json(source, place, found)):
        where = f"{place}, entry {at + 1}"
        row = dict(entry) if isinstance(entry, dict) else {}
        own = row.pop("file", None) if file else MANIFEST
        if set(row) != {column.name for column in columns} or not isinstance(own, str) or not inside(own):
            found.wrong(where, "it has not the entries that it should have")
            continue
        for name in packed:
            row[name] = json.dumps(row[name], sort_keys=True, separators=(",", ":"), ensure_ascii=False)
        wrong = [column.name for column in columns if not _fits(row[column.name], column)]
        if wrong:
            found.wrong(where, f"{', '.join(wrong)}: not the kind of value that belongs there")
        elif file and not (source / own).is_file():
            found.wrong(where, f"its file {own} is missing")
        else:
            yield row, source / own


def _fits(value: Any, column: Any) -> bool:
    if value is None:
        return bool(column.nullable)
    if isinstance(column.type, Text):
        return isinstance(value, str) and "\0" not in value
    if isinstance(value, bool):
        return False
    if isinstance(column.type, Double):
        return isinstance(value, int | float) and math.isfinite(value)
    return isinstance(value, int) and abs(value) < 2**63


def _sheets(source: Path, found: Exported) -> list[dict[str, Any]]:
    rows = []
    for row, file in _entries(source, "sheets.json", SHEETS, found, made=("body",), file=True):
        where = file.relative_to(source).as_posix()
        try:
            kind, name, body = from_toml(file.read_text("utf-8"), where)
        except UnicodeDecodeError as error:
            found.wrong(where, str(error))
        except FairpullError as error:
            found.faults += error.faults
        else:
            if kind not in SHEET_KINDS:
                remedy = f"one of: {', '.join(SHEET_KINDS)}"
                found.faults.append(Fault("export-sheet", where, f"a sheet of kind {kind}", remedy))
            elif (kind, name) != (row["kind"], row["name"]):
                found.wrong(where, f"it is {kind} {name}, sheets.json says {row['kind']} {row['name']}")
            found.faults += name_faults(name, where)
            rows.append({**row, "body": body})
    return rows


def _originals(source: Path, found: Exported) -> list[dict[str, Any]]:
    rows = []
    for row, file in _entries(source, "originals.json", ORIGINALS, found, file=True):
        if content_hash(file) != row["sha256"]:
            found.wrong(file.relative_to(source).as_posix(), "its bytes do not have the hash that it is kept under")
        found.originals[row["sha256"]] = file
        rows.append(row)
    return rows


def _pulls(source: Path, found: Exported) -> list[dict[str, Any]]:
    rows = []
    entries = _entries(
        source, "pulls.json", PULLS, found, made=("trace_file",), packed=("summary", "papers"), file=True
    )
    for row, file in entries:
        where = file.relative_to(source).as_posix()
        channels = json.loads(row["papers"])
        channels = channels.get("channels") if isinstance(channels, dict) else None
        if not isinstance(channels, list) or not all(isinstance(name, str) for name in channels):
            found.wrong(f"pulls.json, {row['name']}", "its papers do not say which channels it has")
            continue
        try:
            read_trace(file, row["number"], channels, row["trace"])
        except FairpullError as error:
            found.faults += [Fault(one.code, where, one.seen, REMEDY) for one in error.faults]
        if row["state"] not in STATES:
            found.wrong(f"pulls.json, {row['name']}", f"state {row['state']}, none of {', '.join(STATES)}")
        row["trace_file"] = single_file(row["number"])
        found.traces[row["trace_file"]] = file
        rows.append(row)
    return rows


def _figures(source: Path, found: Exported) -> list[dict[str, Any]]:
    head, *lines = csv.reader(io.StringIO((source / "figures.csv").read_text("utf-8"), newline="")) or [[]]
    rows = []
    for at, line in enumerate(lines, 2):
        try:
            said = dict(zip(head, line, strict=True))
            numbers = {key: float(said[key]) for key in ("least", "mean", "most")}
            rows.append({"pull": int(said["pull number"]), "name": said["figure"], **numbers})
        except (KeyError, ValueError) as error:
            found.wrong(f"figures.csv, line {at}", f"it cannot be read: {error}")
    return rows


def _results(source: Path, found: Exported) -> list[dict[str, Any]]:
    papers = ("request", "traces", "sheets")
    entries = _entries(source, "results.json", RESULTS, found, made=("result",), packed=papers, file=True)
    return [{**row, "result": file.read_bytes().decode("utf-8")} for row, file in entries]


def _check_relations(found: Exported) -> None:
    """What rows refer to is there, and what has to be alone is alone."""
    rows = found.rows
    hashes = {row["sha256"] for row in rows[ORIGINALS.name]}
    numbers = {row["number"] for row in rows[PULLS.name]}
    names = {row["name"] for row in rows[PULLS.name]}
    known: list[tuple[Table, str, Callable[[dict[str, Any]], bool]]] = [
        (PULLS, "an original that is not there", lambda row: row["original"] in hashes),
        (ATTACHMENTS, "an original that is not there", lambda row: row["sha256"] in hashes),
        (FIGURES, "a pull that is not there", lambda row: row["pull"] in numbers),
        (MARKS, "a pull that is not there", lambda row: row["pull"] in names),
        (LOOKS, "no look at all", lambda row: row["count"] > 0),
    ]
    for table, seen, holds in known:
        for row in rows[table.name]:
            if not holds(row):
                found.wrong(f"{table.name}, {_label(row)}", f"it refers to {seen}")
    alone = [(table, tuple(column.name for column in table.primary_key)) for table in TABLES]
    for table, key in [*alone, (PULLS, ("name",)), (PULLS, ("original", "piece"))]:
        _check_alone(table, key, found)


def _check_alone(table: Table, key: Sequence[str], found: Exported) -> None:
    before: set[tuple[Any, ...]] = set()
    for row in found.rows[table.name]:
        value = tuple(row[name] for name in key)
        if value in before:
            found.wrong(f"{table.name}, {', '.join(map(str, value))}", "it stands there twice")
        before.add(value)


TABLES = (SETTINGS, SHEETS, ORIGINALS, PULLS, FIGURES, RESULTS, *PLAIN_TABLES.values())
"""Tables that an export fills, each after those it refers to."""


def _label(row: Mapping[str, Any]) -> str:
    return str(row.get("name") or row.get("number") or row.get("pull"))
