"""Backups: the whole book in one file, made while others write.

A book in SQLite goes in as it lies in its folder: a consistent copy of the catalogue, and the traces and originals that
this copy refers to. A book in PostgreSQL goes in as an export, which any fairpull can import to either store.
"""

from __future__ import annotations

import json
import os
import shutil
import sqlite3
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path
from typing import Any

from fairpull.book import export, packing
from fairpull.book.contents import Contents
from fairpull.book.folder import CATALOGUE, PAGE, original_place, settle, trace_place
from fairpull.book.refusing import refused
from fairpull.book.store import Store
from fairpull.terms.errors import BookRefused, Fault

FORMAT = "fairpull backup"
LAYOUT = 1
MANIFEST = "backup.json"
AS_FILES, AS_EXPORT = "files", "export"
TRIES = 5  # compaction may move traces while they are packed
DAMAGED = "take an older backup"


class _Moved(Exception):
    """A trace went elsewhere while the backup was made."""


def backup(book: Contents, target: Path) -> Path:
    """Write the whole book into one file, as it stands at one moment; writers need not wait.

    Args:
        book: the open book.
        target: a new file that ends in .tar or .zip.

    Returns:
        The file.

    Raises:
        BookRefused: another ending, a file of this name, a missing trace or original, a full disk.
    """
    target = Path(target)
    packing.check_ending(target)
    with refused(target):
        if target.exists():
            remedy = "name a file that does not exist yet"
            raise BookRefused(Fault("file-exists", str(target), "there is a file of this name already", remedy))
        target.parent.mkdir(parents=True, exist_ok=True)
        making = target.with_name(f".{target.name[:100]}.{os.getpid()}.making")
        try:
            for tried in range(1, TRIES + 1):
                shutil.rmtree(making, ignore_errors=True)
                making.mkdir()
                try:
                    packed = _pack(book, making, target.suffix)
                    break
                except _Moved as error:
                    if tried == TRIES:
                        remedy = "run fairpull book check, and put the missing files back from an older backup"
                        fault = Fault("trace-missing", str(error), "it is not where it should be", remedy)
                        raise BookRefused(fault) from error
            packed.replace(target)
            settle(target.parent)
        finally:
            shutil.rmtree(making, ignore_errors=True)
    return target


def _pack(book: Contents, making: Path, ending: str) -> Path:
    file = making / f"backup{ending}"
    with packing.packer(file) as pack:
        if book.store.database:
            folder = export.export(book, making / "open")
            form = AS_EXPORT
            sources = [(path.relative_to(folder).as_posix(), path) for path in sorted(folder.rglob("*"))]
        else:
            catalogue = _catalogue_now(book.store, making)
            form = AS_FILES
            sources = [(PAGE, book.folder / PAGE), (CATALOGUE, catalogue), *_referred(book.store, catalogue)]
        files: dict[str, Any] = {}
        for place, path in sources:
            if path.is_dir():
                continue
            try:
                files[place] = pack.add(f"{form}/{place}", path)
            except FileNotFoundError as error:
                raise _Moved(str(path)) from error
        manifest = {"format": FORMAT, "layout": LAYOUT, "form": form, "files": files}
        pack.add_bytes(MANIFEST, json.dumps(manifest, indent=1, sort_keys=True).encode())
    return file


def _catalogue_now(store: Store, making: Path) -> Path:
    """A copy of the SQLite catalogue as it stands at one moment, in one file."""
    copy = making / CATALOGUE
    with store.engine.connect() as connection, closing(sqlite3.connect(copy)) as target:
        source = connection.connection.driver_connection
        if not isinstance(source, sqlite3.Connection):
            raise TypeError(type(source))
        source.backup(target)
        target.execute("PRAGMA journal_mode = DELETE").close()
    return copy


def _referred(store: Store, catalogue: Path) -> Iterator[tuple[str, Path]]:
    """Traces and originals that the copy of the catalogue refers to."""
    with closing(sqlite3.connect(catalogue)) as connection:
        traces = [trace_place(row[0]) for row in connection.execute("SELECT DISTINCT trace_file FROM pulls")]
        originals = [original_place(row[0]) for row in connection.execute("SELECT sha256 FROM originals")]
    for place in sorted([*traces, *originals]):
        yield place, store.folder / place
