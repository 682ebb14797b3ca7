"""Making a book and opening one."""

from __future__ import annotations

import os
from collections.abc import Mapping
from contextlib import suppress
from pathlib import Path

from sqlalchemy import func, select

from fairpull.book import folder as folders
from fairpull.book import migrate
from fairpull.book.book import Book
from fairpull.book.connect import chosen_database, without_password
from fairpull.book.refusing import refused
from fairpull.book.settings import write_value
from fairpull.book.store import Store
from fairpull.book.tables import ORIGINALS, SHEETS
from fairpull.terms.errors import BookRefused, FairpullError, Fault


def create(folder: Path, *, database: str = "", settings: Mapping[str, str] | None = None) -> Book:
    """Make an empty book.

    Args:
        folder: where; made where it is missing. Other files may lie in it.
        database: URL of a PostgreSQL database to hold the catalogue; else the environment's FAIRPULL_DATABASE; else the
            catalogue is a file in the folder. A password in it is used but not written down.
        settings: what the house prefers.

    Returns:
        The open book.

    Raises:
        BookRefused: there is a book already, or the place cannot be written.
        MissingExtra: PostgreSQL is asked for and its library is not installed.
    """
    folder = Path(folder)
    url = chosen_database(database, "")
    page = folders.Page(migrate.NEWEST, without_password(url) if url else "")
    if (folder / folders.PAGE).exists():
        raise _exists(str(folder))
    store = Store(folder, url)
    rooms = [folder / part for part in (folders.TRACES, folders.ORIGINALS, folders.STAGING)]
    new = [place for place in (folder, *rooms) if not place.exists()]
    try:
        with refused(folder):
            for room in rooms:
                room.mkdir(parents=True, exist_ok=True)
        migrate.migrate(store)
        with store.writing() as connection:
            # A book without its page is one whose making was cut short; it may be finished unless it holds anything.
            held = [select(func.count()).select_from(table) for table in (SHEETS, ORIGINALS)]
            if any(connection.execute(count).scalar() for count in held):
                raise _exists(store.place)
            for key, value in (settings or {}).items():
                write_value(connection, key, value)
        with store.writing():
            folders.write_page(folder, page)
    except FairpullError:
        store.close()
        for place in reversed(new):
            with suppress(OSError):  # only what is empty goes
                place.rmdir()
        raise
    return Book(store)


def open_book(folder: Path, *, database: str = "", read_only: bool = False) -> Book:
    """Open a book; one with an older schema is brought up to date first.

    A folder that may not be written is opened for reading.

    Args:
        folder: the book's.
        database: URL of its PostgreSQL database; else the environment's FAIRPULL_DATABASE; else what its page says.
        read_only: open it for reading only; never migrates.

    Returns:
        The open book; a context manager.

    Raises:
        BookRefused: no book there, a damaged or newer one, an older one that may not be brought up to date, the
            database does not answer, or the environment names one while the folder has a catalogue of its own.
        MissingExtra: it lies in PostgreSQL and the library for that is not installed.
    """
    folder = Path(folder)
    page = folders.read_page(folder)
    url = chosen_database(database, page.database)
    if url and not database and not page.database and (folder / folders.CATALOGUE).is_file():
        seen = "the folder holds a catalogue, and FAIRPULL_DATABASE names another"
        remedy = "clear FAIRPULL_DATABASE; a database gets this book by fairpull book restore of a backup"
        raise BookRefused(Fault("two-catalogues", str(folder / folders.CATALOGUE), seen, remedy))
    if not url and not (folder / folders.CATALOGUE).is_file():
        remedy = "put book.sqlite back from a backup"
        raise BookRefused(Fault("catalogue-missing", str(folder / folders.CATALOGUE), "the catalogue is gone", remedy))
    store = Store(folder, url, read_only=read_only or not _writable(folder, bool(url)))
    try:
        _bring_up_to_date(store, page)
    except FairpullError:
        store.close()
        raise
    return Book(store)


def _bring_up_to_date(store: Store, page: folders.Page) -> None:
    with store.reading() as connection:
        revision = migrate.revision_of(connection)
    migrate.check_revision(revision, store.place)
    if revision == migrate.NEWEST:
        return
    if store.read_only:
        remedy = "open it once with the right to write, so that it is brought up to date"
        raise BookRefused(Fault("book-older", store.place, f"schema {revision}, read here: {migrate.NEWEST}", remedy))
    migrate.migrate(store)
    with store.writing():
        folders.write_page(store.folder, folders.Page(migrate.NEWEST, page.database))


def _writable(folder: Path, elsewhere: bool) -> bool:
    return os.access(folder, os.W_OK) and (elsewhere or os.access(folder / folders.CATALOGUE, os.W_OK))


def _exists(place: str) -> BookRefused:
    return BookRefused(Fault("book-exists", place, "there is a book already", "open it, or name another folder"))
