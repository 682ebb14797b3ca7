"""Files come into the book through ``staging/``: written there, then renamed to their place under a journal.

Everything in ``staging/`` belongs to whoever holds the writer's lock. The journal names each file that is about to
appear (or about to be left behind) and is on the disk before the first rename. A program that dies at any moment leaves
nothing but files that a journal names, and the next writer removes those that no row of the catalogue refers to.
"""

from __future__ import annotations

import hashlib
import json
import os
import shutil
import uuid
from collections.abc import Iterable
from contextlib import suppress
from pathlib import Path

from sqlalchemy import Connection, select

from fairpull.book.folder import ORIGINALS, STAGING, TRACES, settle, write_surely
from fairpull.book.tables import ORIGINALS as ORIGINALS_TABLE
from fairpull.book.tables import PULLS
from fairpull.terms.errors import BookRefused, Fault

JOURNAL = "journal.json"
BLOCK = 1 << 20


class Staging:
    """One writer's files on their way to their place. Use it only while holding the writer's lock."""

    def __init__(self, folder: Path) -> None:
        """Nothing is written yet.

        Args:
            folder: the book's.
        """
        self.folder = folder
        self._here = folder / STAGING / f"{os.getpid()}-{uuid.uuid4().hex[:8]}"
        self._coming: dict[str, Path] = {}
        self.leaving: list[str] = []

    def add_bytes(self, place: str, content: bytes) -> None:
        """Stage a file.

        Args:
            place: where it will lie, below the book's folder.
            content: its bytes.
        """
        write_surely(self._next(place), content)

    def add_copy(self, place: str, source: Path, sha256: str) -> None:
        """Stage a copy of a file, and make sure that it is the file that is meant.

        Args:
            place: where it will lie, below the book's folder.
            source: the file.
            sha256: its content hash.

        Raises:
            BookRefused: the file's bytes changed since it was read.
        """
        digest = hashlib.sha256()
        with source.open("rb") as old, self._next(place).open("wb") as new:
            while block := old.read(BLOCK):
                digest.update(block)
                new.write(block)
            new.flush()
            os.fsync(new.fileno())
        if digest.hexdigest() != sha256:
            seen = "its bytes are no longer those that were read"
            raise BookRefused(
                Fault("file-changed", str(source), seen, "wait until the file is finished; read it again")
            )

    def leave(self, place: str) -> None:
        """Name a file that no row will refer to once the transaction is through; it is removed then."""
        self.leaving.append(place)

    def place(self) -> None:
        """Write the journal, then move every staged file to its place."""
        if not self._coming and not self.leaving:
            return
        self._here.mkdir(parents=True, exist_ok=True)
        temporary = self._here / f"{JOURNAL}.new"
        write_surely(temporary, json.dumps(sorted([*self._coming, *self.leaving])).encode())
        temporary.replace(self._here / JOURNAL)
        settle(self._here)
        settle(self._here.parent)
        folders = set()
        for place, staged in self._coming.items():
            target = self.folder / place
            if not target.parent.is_dir():
                target.parent.mkdir(parents=True, exist_ok=True)
                folders.add(target.parent.parent)
            staged.replace(target)
            folders.add(target.parent)
        for folder in folders:
            settle(folder)

    def forget(self) -> None:
        """The transaction is through: the journal is not needed any more."""
        shutil.rmtree(self._here, ignore_errors=True)

    def _next(self, place: str) -> Path:
        self._here.mkdir(parents=True, exist_ok=True)
        staged = self._here / f"{len(self._coming)}.file"
        self._coming[place] = staged
        return staged


def leftovers(folder: Path) -> bool:
    """Whether anything stands in ``staging/``."""
    staging = folder / STAGING
    return staging.is_dir() and any(staging.iterdir())


def sweep(connection: Connection, folder: Path) -> tuple[str, ...]:
    """Remove what dead writers left behind. Call it only while holding the writer's lock, before writing.

    Args:
        connection: in the writer's transaction.
        folder: the book's.

    Returns:
        Places of the files that were removed, below the book's folder.
    """
    if not leftovers(folder):
        return ()
    removed: list[str] = []
    for entry in sorted((folder / STAGING).iterdir()):
        for place in unreferenced(connection, _journalled(entry)):
            if (folder / place).is_file():
                (folder / place).unlink()
                removed.append(place)
        _remove(entry)
    return tuple(removed)


def unreferenced(connection: Connection, places: Iterable[str]) -> list[str]:
    """Which of these files of the book no row refers to.

    Args:
        connection: to the catalogue.
        places: below the book's folder, such as ``traces/000/0000001.parquet``.

    Returns:
        Those that nothing refers to, in the same order.
    """
    found = []
    for place in places:
        room, _, rest = place.partition("/")
        if room == TRACES:
            query = select(PULLS.c.number).where(PULLS.c.trace_file == rest)
        elif room == ORIGINALS:
            query = select(ORIGINALS_TABLE.c.sha256).where(ORIGINALS_TABLE.c.sha256 == rest.rpartition("/")[2])
        else:
            continue
        if connection.execute(query.limit(1)).first() is None:
            found.append(place)
    return found


def _journalled(entry: Path) -> list[str]:
    """Places that a journal names; none where the writer died before it stood."""
    try:
        text = (entry / JOURNAL).read_text("utf-8")
    except (FileNotFoundError, NotADirectoryError):
        return []
    return [str(place) for place in json.loads(text)]


def _remove(entry: Path) -> None:
    """Remove what stands in ``staging/``; a writer that is through may be removing the same thing right now."""

    if not entry.is_dir():
        entry.unlink(missing_ok=True)
        return
    shutil.rmtree(entry, ignore_errors=True)
    if entry.is_dir():
        for left in entry.iterdir():
            left.unlink(missing_ok=True)
        with suppress(FileNotFoundError):
            entry.rmdir()
