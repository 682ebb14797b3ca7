"""A book made of a backup again: every file checked before the book appears at its place."""

from __future__ import annotations

import json
import os
import shutil
import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path
from typing import Any

from fairpull.book import export, migrate, packing
from fairpull.book.archive import AS_EXPORT, AS_FILES, FORMAT, LAYOUT, MANIFEST
from fairpull.book.connect import chosen_database
from fairpull.book.contents import Contents
from fairpull.book.export_reading import inside
from fairpull.book.folder import CATALOGUE, ORIGINALS, STAGING, TRACES, settle
from fairpull.book.imports import import_book
from fairpull.book.refusing import refused
from fairpull.book.store import Store
from fairpull.terms.errors import BookRefused, Fault

DAMAGED = "take an older backup"


def restore(archive: Path, folder: Path, *, database: str = "") -> Path:
    """Make a book of a backup, in a new folder.

    Every file's hash is checked before the book appears at its place.

    Args:
        archive: the backup.
        folder: of the book; it does not exist yet, or is empty.
        database: URL of a PostgreSQL database that holds no book, for its catalogue; else the environment's
            FAIRPULL_DATABASE; else SQLite in the folder.

    Returns:
        The folder.

    Raises:
        BookRefused: something stands there already, or the backup is damaged or none.
    """
    archive, folder = Path(archive), Path(folder)
    database = chosen_database(database, "")
    with refused(folder):
        if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
            remedy = "name a folder that does not exist yet"
            raise BookRefused(Fault("folder-not-empty", str(folder), "something stands there already", remedy))
        folder.parent.mkdir(parents=True, exist_ok=True)
        with _making(folder) as making:
            with refused(archive):
                form = _unpack(archive, making)
            if form == AS_EXPORT:
                _import(making / AS_EXPORT, folder, database)
            elif database:
                _move_to_database(making, folder, database)
            else:
                _put_in_place(making / AS_FILES, folder)
    return folder


@contextmanager
def _making(folder: Path) -> Iterator[Path]:
    making = folder.with_name(f".{folder.name[:100]}.{os.getpid()}.restoring")
    shutil.rmtree(making, ignore_errors=True)
    making.mkdir()
    try:
        yield making
    finally:
        shutil.rmtree(making, ignore_errors=True)


def _unpack(archive: Path, making: Path) -> str:
    """Unpack what the list names, nothing else, and check every hash. Gives the form back."""
    with packing.unpacker(archive) as pack:
        manifest = _manifest(archive, pack)
        form = str(manifest["form"])
        faults = []
        for place, facts in sorted(manifest["files"].items()):
            target = making / form / place
            target.parent.mkdir(parents=True, exist_ok=True)
            try:
                size, found = pack.unpack(f"{form}/{place}", target, int(facts["size"]))
            except KeyError:
                faults.append(Fault("backup-damaged", place, "it is listed and not there", DAMAGED))
                continue
            if (size, found) != (facts["size"], facts["sha256"]):
                faults.append(Fault("backup-damaged", place, "its bytes are not those that were backed up", DAMAGED))
    if faults:
        raise BookRefused(faults)
    return form


def _manifest(archive: Path, pack: packing.Unpacker) -> dict[str, Any]:
    """The list of files, every place of which lies inside the folder."""
    remedy = "name a file that fairpull book backup wrote"
    try:
        said = json.loads(pack.read(MANIFEST))
    except KeyError as error:
        raise BookRefused(Fault("not-a-backup", str(archive), f"there is no {MANIFEST} in it", remedy)) from error
    except (ValueError, RecursionError) as error:
        raise BookRefused(Fault("backup-damaged", MANIFEST, str(error), DAMAGED)) from error
    known = isinstance(said, dict) and said.get("format") == FORMAT and said.get("form") in (AS_FILES, AS_EXPORT)
    if not known or not isinstance(said.get("files"), dict):
        raise BookRefused(Fault("not-a-backup", str(archive), f"its {MANIFEST} is none of ours", remedy))
    if said.get("layout") != LAYOUT:
        seen = f"layout {said.get('layout')!r}, known here: {LAYOUT}"
        raise BookRefused(Fault("backup-newer", str(archive), seen, "use the newer fairpull that wrote it"))
    faults = [
        Fault("backup-place", place[:80], "a file that would land outside the book's folder", DAMAGED)
        for place in said["files"]
        if not inside(place)
    ]
    faults += [
        Fault("backup-damaged", place[:80], "listed without size and hash", DAMAGED)
        for place, facts in said["files"].items()
        if not (isinstance(facts, dict) and isinstance(facts.get("size"), int) and facts.get("sha256"))
    ]
    if faults:
        raise BookRefused(faults)
    return dict(said)


def _import(source: Path, folder: Path, database: str) -> None:
    import_book(source, folder, database=database).close()


def _move_to_database(making: Path, folder: Path, database: str) -> None:
    """A book of files whose catalogue shall lie in PostgreSQL: through an export."""
    for room in (TRACES, ORIGINALS, STAGING):
        (making / AS_FILES / room).mkdir(exist_ok=True)
    store = Store(making / AS_FILES)
    migrate.migrate(store)
    with Contents(store) as book:
        source = export.export(book, making / "open")
    _import(source, folder, database)


def _put_in_place(made: Path, folder: Path) -> None:
    for room in (TRACES, ORIGINALS, STAGING):
        (made / room).mkdir(exist_ok=True)
    with closing(sqlite3.connect(made / CATALOGUE)) as connection:
        (said,) = connection.execute("PRAGMA quick_check(1)").fetchone()
    if said != "ok":
        raise BookRefused(Fault("backup-damaged", CATALOGUE, str(said), DAMAGED))
    if hasattr(os, "sync"):
        os.sync()
    made.replace(folder)
    settle(folder.parent)
