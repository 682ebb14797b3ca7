"""Everything in the book as open files: TOML, CSV, JSON, Parquet, and originals under their own names.

The files, and what a program must know to read them, are told in the folder's README.txt.
"""

from __future__ import annotations

import csv
import hashlib
import io
import json
import os
import shutil
from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, Row, Table, select

from fairpull.book.contents import Contents
from fairpull.book.file_names import FileNames
from fairpull.book.folder import original_place
from fairpull.book.refusing import refused
from fairpull.book.search.words import DERIVED, SUMMARY
from fairpull.book.sheet_toml import to_toml
from fairpull.book.staging import BLOCK
from fairpull.book.store import Store
from fairpull.book.tables import (
    ATTACHMENTS,
    FIGURES,
    LOOKS,
    MARKS,
    ORIGINALS,
    PULLS,
    REMARKS,
    RESULTS,
    SETTINGS,
    SHEETS,
)
from fairpull.book.traces import trace_bytes
from fairpull.terms.errors import BookRefused, Fault
from fairpull.terms.units import house_unit_of

FORMAT = "fairpull export"
LAYOUT = 1
MANIFEST = "export.json"
FOLDERS = {
    "engine": "engines",
    "part": "parts",
    "build": "builds",
    "session": "sessions",
    "check": "checks",
    "question": "questions",
    "duty": "duties",
}
HISTORY = "history"
PLAIN_TABLES: Mapping[str, Table] = {
    "marks.json": MARKS,
    "attachments.json": ATTACHMENTS,
    "remarks.json": REMARKS,
    "looks.json": LOOKS,
}
"""Tables that are written row by row, as they are."""
README = """A bench book as open files. fairpull can make the same book of them again.

settings.toml            what the house prefers
engines, parts, ...      every sheet as it was written, newest version; older versions are in history
sheets.json              which file is which version of which sheet
pulls.csv                one line a pull, for a spreadsheet: SI units, named in the header
pulls.json               the same, exact and complete
figures.csv              least, mean and most of every channel of every pull
traces                   every pull's channels, a Parquet file each, 64-bit floats, SI units
originals                every file byte for byte, under its own name, in a folder named by its SHA-256
marks.json               every judgement of a pull, with its reason
attachments.json, remarks.json, looks.json, results.json and results: what else was kept
export.json              every file with its size and SHA-256
"""


def export(book: Contents, folder: Path) -> Path:
    """Write everything as open files.

    Args:
        book: the open book.
        folder: a new folder, or an empty one.

    Returns:
        The folder.

    Raises:
        BookRefused: something stands there already, a trace or original is missing or damaged, or the disk is full.
    """
    folder = Path(folder)
    with refused(folder):
        if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
            remedy = "name a folder that does not exist yet"
            raise BookRefused(Fault("folder-not-empty", str(folder), "something stands there already", remedy))
        folder.parent.mkdir(parents=True, exist_ok=True)
        making = folder.with_name(f".{folder.name[:100]}.{os.getpid()}.exporting")
        shutil.rmtree(making, ignore_errors=True)
        try:
            making.mkdir()
            with book.store.reading() as connection:
                _write(_Folder(making), book.store, connection)
            making.replace(folder)
        finally:
            shutil.rmtree(making, ignore_errors=True)
    return folder


class _Folder:
    """The export's folder: writes files and remembers their sizes and hashes."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.files: dict[str, dict[str, Any]] = {}

    def put(self, place: str, content: bytes) -> None:
        """Write a file."""
        path = self.folder / place
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(content)
        self.files[place] = {"sha256": hashlib.sha256(content).hexdigest(), "size": len(content)}

    def put_json(self, place: str, value: Any) -> None:
        """Write plain data, readable, always in the same way."""
        text = json.dumps(value, indent=1, sort_keys=True, ensure_ascii=False)
        self.put(place, f"{text}\n".encode())

    def put_csv(self, place: str, head: Sequence[str], rows: Iterable[Sequence[Any]]) -> None:
        """Write a table; None stays empty, numbers keep all their digits."""
        text = io.StringIO()
        writer = csv.writer(text, lineterminator="\n")
        writer.writerow(head)
        writer.writerows(rows)
        self.put(place, text.getvalue().encode())

    def put_copy(self, place: str, source: Path, sha256: str) -> None:
        """Copy an original, whose hash must still be the one it is kept under."""
        path = self.folder / place
        path.parent.mkdir(parents=True, exist_ok=True)
        digest, size = hashlib.sha256(), 0
        with source.open("rb") as old, path.open("wb") as new:
            while block := old.read(BLOCK):
                digest.update(block)
                size += new.write(block)
        if digest.hexdigest() != sha256:
            remedy = "put the file back from a backup; fairpull book check lists all damage"
            raise BookRefused(Fault("original-changed", str(source), "its bytes changed since it was kept", remedy))
        self.files[place] = {"sha256": sha256, "size": size}


def _write(out: _Folder, store: Store, connection: Connection) -> None:
    import tomli_w

    out.put("README.txt", README.encode())
    settings = {row.key: row.value for row in _rows(connection, SETTINGS)}
    out.put("settings.toml", tomli_w.dumps(settings).encode())
    _sheets(out, _rows(connection, SHEETS))
    _originals(out, store, _rows(connection, ORIGINALS))
    _pulls(out, store, connection)
    for place, table in PLAIN_TABLES.items():
        out.put_json(place, [dict(row._mapping) for row in _rows(connection, table)])
    _results(out, _rows(connection, RESULTS))
    manifest = {"format": FORMAT, "layout": LAYOUT, "files": out.files}
    out.put_json(MANIFEST, manifest)


def _rows(connection: Connection, table: Table) -> list[Row[Any]]:
    """All rows, in an order that does not depend on the database."""
    keys = [column.name for column in table.primary_key]
    found = connection.execute(select(table)).all()
    return sorted(found, key=lambda row: tuple(row._mapping[key] for key in keys))


def _sheets(out: _Folder, rows: Sequence[Row[Any]]) -> None:
    names: dict[str, FileNames] = {}
    newest = {(row.kind, row.name): row.version for row in rows}
    index = []
    for row in rows:
        folder = FOLDERS[row.kind]
        ending = ".toml"
        if row.version != newest[row.kind, row.name]:
            folder, ending = f"{HISTORY}/{folder}", f".{row.version}.toml"
        place = f"{folder}/{names.setdefault(folder, FileNames()).of(row.name, ending)}"
        out.put(place, to_toml(row.kind, row.name, row.body).encode())
        known = {key: row._mapping[key] for key in ("kind", "name", "version", "added_at")}
        index.append({**known, "file": place})
    out.put_json("sheets.json", index)


def _originals(out: _Folder, store: Store, rows: Sequence[Row[Any]]) -> None:
    index = []
    for row in rows:
        place = f"originals/{row.sha256}/{FileNames().of(row.file_name)}"
        out.put_copy(place, store.folder / original_place(row.sha256), row.sha256)
        index.append({**row._mapping, "file": place})
    out.put_json("originals.json", index)


def _pulls(out: _Folder, store: Store, connection: Connection) -> None:
    from fairpull.book.pulls import trace

    rows = _rows(connection, PULLS)
    names = FileNames()
    index = []
    for row in rows:
        place = f"traces/{names.of(row.name, '.parquet')}"
        out.put(place, trace_bytes(trace(store, row.name).channels))
        kept = {**row._mapping, "file": place, "summary": json.loads(row.summary), "papers": json.loads(row.papers)}
        del kept["trace_file"]
        index.append(kept)
    out.put_json("pulls.json", index)
    files = {row.sha256: row.file_name for row in _rows(connection, ORIGINALS)}
    _catalogue(out, index, files)
    _figures(out, connection, {row.number: row.name for row in rows})


CATALOGUE = (
    ("number", "number"),
    ("name", "name"),
    ("build", "build"),
    ("build version", "build_version"),
    ("session", "session"),
    ("state", "state"),
    ("reason", "reason"),
    ("counts up to [rpm]", "valid_to"),
    ("start", "started_at"),
    ("kind", "kind"),
    ("sweep rate [rpm/s]", "sweep_rate"),
    ("lowest speed [rpm]", "tested_low"),
    ("highest speed [rpm]", "tested_high"),
)


def _catalogue(out: _Folder, pulls: Sequence[Mapping[str, Any]], files: Mapping[str, str]) -> None:
    """The catalogue for a spreadsheet."""
    figures = sorted({name for one in pulls for name in one["summary"]})
    head = [title for title, _ in CATALOGUE] + [_titled(name) for name in figures] + ["file", "SHA-256 of the file"]
    rows = (
        [_when(one[key]) if key == "started_at" else _cell(one[key]) for _, key in CATALOGUE]
        + [_cell(one["summary"].get(name)) for name in figures]
        + [_cell(files[one["original"]]), one["original"]]
        for one in pulls
    )
    out.put_csv("pulls.csv", head, rows)


def _titled(name: str) -> str:
    unit = SUMMARY[name][0] if name in SUMMARY else "rpm" if name.endswith("_rpm") else house_unit_of(name)
    title = name.replace("_", " ")
    return f"{title} [{unit}]" if unit else title


def _when(at: float | None) -> str:
    """A wall clock as a spreadsheet understands it."""
    from datetime import UTC, datetime

    if at is None or not 0 <= at < 2.5e11:
        return ""
    return datetime.fromtimestamp(at, UTC).strftime("%Y-%m-%d %H:%M:%S")


def _cell(value: Any) -> Any:
    """A value for a spreadsheet; a text that it would take for a formula gets an apostrophe before it."""
    if isinstance(value, str) and value[:1] in ("=", "+", "-", "@", "\t", "\r"):
        return f"'{value}"
    return value


def _figures(out: _Folder, connection: Connection, names: Mapping[int, str]) -> None:
    head = ("pull number", "pull", "figure", "unit", "least", "mean", "most")
    rows = (
        (row.pull, _cell(names[row.pull]), row.name, _unit(row.name), row.least, row.mean, row.most)
        for row in _rows(connection, FIGURES)
    )
    out.put_csv("figures.csv", head, rows)


def _unit(name: str) -> str:
    named = {**SUMMARY, **DERIVED}.get(name)
    return named[0] if named else house_unit_of(name)


def _results(out: _Folder, rows: Sequence[Row[Any]]) -> None:
    names = FileNames()
    index = []
    for row in rows:
        place = f"results/{names.of(row.name, '.json')}"
        out.put(place, row.result.encode())
        known = {key: row._mapping[key] for key in ("name", "kind", "version", "machine", "made_at")}
        papers = {key: json.loads(row._mapping[key]) for key in ("request", "traces", "sheets")}
        index.append({**known, **papers, "file": place})
    out.put_json("results.json", index)
