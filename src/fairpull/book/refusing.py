"""What the disk, SQLite and PostgreSQL complain about, told as refusals with their place and remedy."""

from __future__ import annotations

import errno
import shutil
import sqlite3
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

from sqlalchemy.exc import DBAPIError

from fairpull.terms.errors import BookRefused, Fault

FULL = {errno.ENOSPC, errno.EDQUOT}
LITTLE_ROOM = 1 << 20  # bytes
FORBIDDEN = {errno.EACCES, errno.EPERM, errno.EROFS}


def disk_full(where: str, detail: str = "") -> Fault:
    """No room is left."""
    remedy = "make room on that disk and do it again; nothing was half kept"
    return Fault("disk-full", where, _seen("the disk is full", detail), remedy)


def not_writable(where: str, detail: str = "") -> Fault:
    """It may be read but not written."""
    remedy = "ask for the right to write in the book's folder, or work on a copy"
    return Fault("book-read-only", where, _seen("it may be read but not written", detail), remedy)


def locked(where: str, detail: str = "") -> Fault:
    """The writer's turn never came."""
    remedy = "wait until the other program is done, or end it, and do it again"
    return Fault("book-locked", where, _seen("somebody else has been writing in it all the while", detail), remedy)


def damaged(where: str, detail: str = "") -> Fault:
    """The catalogue is there, and nothing that can be read."""
    remedy = "run fairpull book check, and restore the last backup"
    return Fault("book-damaged", where, _seen("the catalogue cannot be read", detail), remedy)


def shut(where: str, detail: str = "") -> Fault:
    """The catalogue may not be opened."""
    remedy = "ask for the right to read the book's folder"
    return Fault("book-unreadable", where, _seen("the catalogue cannot be opened", detail), remedy)


def down(where: str, detail: str = "") -> Fault:
    """The database server does not answer, or does not let us in."""
    remedy = "start the PostgreSQL server or correct the URL; a password goes into PGPASSWORD or the password file"
    return Fault("database-down", where, _seen("the database does not answer", detail), remedy)


Told = Callable[[str, str], Fault]
# How SQLite's result codes begin -> what it means to a person.
SQLITE: tuple[tuple[str, Told], ...] = (
    ("SQLITE_BUSY", locked),
    ("SQLITE_LOCKED", locked),
    ("SQLITE_FULL", disk_full),
    ("SQLITE_READONLY", not_writable),
    ("SQLITE_CANTOPEN", shut),
    ("SQLITE_CORRUPT", damaged),
    ("SQLITE_NOTADB", damaged),
    ("SQLITE_IOERR", damaged),
)
# PostgreSQL's SQLSTATE (or its first two signs) -> what it means to a person.
STATES: dict[str, Told] = {
    "55P03": locked,
    "53100": disk_full,
    "25006": not_writable,
    "42501": not_writable,
    "08": down,
    "28": down,
    "3D": down,
    "57": down,
    "53": down,
}


@contextmanager
def refused(place: str | Path) -> Iterator[None]:
    """Turn complaints of disk and database into refusals.

    Args:
        place: what was being read or written.

    Yields:
        None: the work stands inside.

    Raises:
        BookRefused: the work failed for a reason that a person can do something about.
    """
    try:
        yield
    except DBAPIError as error:
        fault = database_fault(error, str(place))
        if fault is None:
            raise
        raise BookRefused(fault) from error
    except sqlite3.Error as error:
        fault = _sqlite_fault(error, str(place))
        if fault is None:
            raise
        raise BookRefused(fault) from error
    except OSError as error:
        raise BookRefused(disk_fault(error, str(place))) from error


def database_fault(error: DBAPIError, place: str) -> Fault | None:
    """A database's complaint as a fault; None where the program itself is at fault."""
    cause = error.orig
    if isinstance(cause, sqlite3.Error):
        return _sqlite_fault(cause, place)
    state = str(getattr(cause, "sqlstate", None) or "")
    telling = STATES.get(state) or STATES.get(state[:2])
    if telling is None and not state and type(cause).__name__ == "OperationalError":
        telling = down  # it never came to an answer
    return telling(place, str(cause)) if telling else None


def disk_fault(error: OSError, place: str) -> Fault:
    """The disk's complaint as a fault."""
    where = str(error.filename or place)
    if error.errno in FULL:
        return disk_full(where)
    if error.errno in FORBIDDEN:
        return not_writable(where, error.strerror or "")
    return Fault("file-unreadable", where, error.strerror or str(error), "see that the file is there and can be read")


def _sqlite_fault(error: sqlite3.Error, place: str) -> Fault | None:
    code = str(getattr(error, "sqlite_errorname", ""))
    telling = next((told for start, told in SQLITE if code.startswith(start)), None)
    if code.startswith("SQLITE_IOERR") and _hardly_any_room(place):
        telling = disk_full
    return telling(place, str(error)) if telling else None


def _hardly_any_room(place: str) -> bool:
    """Whether the disk is (next to) full: SQLite calls a helper file that finds no room an input/output error."""
    folder = Path(place).parent
    return folder.is_dir() and shutil.disk_usage(folder).free < LITTLE_ROOM


def _seen(seen: str, detail: str) -> str:
    line = detail.strip().splitlines()[0] if detail.strip() else ""
    return f"{seen} ({line})" if line else seen
