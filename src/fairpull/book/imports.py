"""A book made of an export: the same book again."""

from __future__ import annotations

import os
import shutil
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, insert, text
from sqlalchemy.exc import IntegrityError

from fairpull.book import opening
from fairpull.book.book import Book
from fairpull.book.export_reading import REMEDY, TABLES, Exported, read_export
from fairpull.book.folder import original_place, settle, trace_place
from fairpull.book.json_text import loads
from fairpull.book.refusing import refused
from fairpull.book.sheets import fit
from fairpull.book.store import Store
from fairpull.book.tables import METADATA, SETTINGS, SHEETS
from fairpull.terms.errors import BookRefused, Fault

CHUNK = 500


def import_book(source: Path, folder: Path, *, database: str = "") -> Book:
    """Make a book of an export: the same pulls, numbers, names, sheets, marks and results.

    The book is made beside its place and moved there when it is whole.

    Args:
        source: the export's folder.
        folder: of the new book; it does not exist yet, or is empty.
        database: URL of a PostgreSQL database that holds no book; as for ``create``.

    Returns:
        The open book.

    Raises:
        BookRefused: a damaged export, all faults at once; something stands at the new place; or it cannot be written.
    """
    source, folder = Path(source), Path(folder)
    with refused(folder):
        if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
            remedy = "name a folder that does not exist yet"
            raise BookRefused(Fault("folder-not-empty", str(folder), "something stands there already", remedy))
    with refused(source):
        contents = read_export(source)
    making = folder.with_name(f".{folder.name[:100]}.{os.getpid()}.importing")
    try:
        with refused(folder):
            folder.parent.mkdir(parents=True, exist_ok=True)
            shutil.rmtree(making, ignore_errors=True)
        _make(making, database, contents)
        with refused(folder):
            making.replace(folder)
            settle(folder.parent)
    finally:
        shutil.rmtree(making, ignore_errors=True)
    return opening.open_book(folder, database=database)


def _make(folder: Path, database: str, contents: Exported) -> None:
    book = opening.create(folder, database=database)
    whole = False
    try:
        with refused(folder):
            _place(folder, contents)
        with book.store.writing() as connection:
            _insert(connection, contents.rows)
        whole = True
    except IntegrityError as error:
        raise BookRefused(Fault("export-damaged", "export", str(error.orig), REMEDY)) from error
    finally:
        if not whole:
            _unmake(book.store)
        book.close()


def _place(folder: Path, contents: Exported) -> None:
    """Copy the files to where the book will look for them, and wait until the disk has them."""
    places = [(original_place(sha256), file) for sha256, file in contents.originals.items()]
    places += [(trace_place(name), file) for name, file in contents.traces.items()]
    for place, file in places:
        target = folder / place
        target.parent.mkdir(parents=True, exist_ok=True)
        shutil.copyfile(file, target)
    if hasattr(os, "sync"):
        os.sync()


def _insert(connection: Connection, rows: dict[str, list[dict[str, Any]]]) -> None:
    connection.execute(SETTINGS.delete())
    for table in TABLES:
        for start in range(0, len(rows[table.name]), CHUNK):
            connection.execute(insert(table), rows[table.name][start : start + CHUNK])
    newest: dict[str, dict[str, Any]] = {}
    for row in sorted(rows[SHEETS.name], key=lambda one: int(one["version"])):
        if row["kind"] == "build":
            newest[row["name"]] = row
    for name, row in newest.items():
        fit(connection, name, loads(row["body"]))


def _unmake(store: Store) -> None:
    """Take the tables away again that a half-made book left in a database elsewhere."""
    if store.database:
        with store.engine.begin() as connection:
            METADATA.drop_all(connection)
            connection.execute(text("DROP TABLE IF EXISTS alembic_version"))
