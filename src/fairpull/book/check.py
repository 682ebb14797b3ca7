"""Is everything there, and is it what was kept? Schema, rows, files, hashes, figures."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from sqlalchemy import Connection, inspect, select, text

from fairpull.book import migrate, staging
from fairpull.book.check_pulls import check_pulls
from fairpull.book.check_rows import check_rows
from fairpull.book.contents import Contents
from fairpull.book.folder import ORIGINALS, STAGING, TRACES, original_place, trace_place
from fairpull.book.looking import Looking, Told, nobody
from fairpull.book.originals import content_hash
from fairpull.book.store import Store
from fairpull.book.tables import METADATA, PULLS
from fairpull.book.tables import ORIGINALS as ORIGINALS_TABLE
from fairpull.terms.bench import BookCheck
from fairpull.terms.findings import Severity

RESTORE = "Put the file back from a backup."


def check(book: Contents, told: Told = nobody) -> BookCheck:
    """Look for anything wrong in a book. Leftovers of programs that died are removed where the book may be written.

    Results are not computed again here: that takes the science (see ``fairpull.tasks``).

    Args:
        book: the open book.
        told: is told of each pull before it is looked at.

    Returns:
        One finding for each thing that is wrong, and counts of what was looked at.

    Raises:
        BookRefused: the catalogue cannot be read at all.
    """
    looking = Looking()
    store = book.store
    _leftovers(store, looking)
    with store.reading() as connection:
        _schema(store, connection, looking)
        _integrity(connection, looking)
        check_rows(connection, looking)
        _originals(store, connection, looking)
        check_pulls(store, connection, looking, told)
    _orphans(store, looking)
    return BookCheck(tuple(looking.findings), dict(looking.looked_at))


def _leftovers(store: Store, looking: Looking) -> None:
    if not staging.leftovers(store.folder):
        return
    left = sum(1 for _ in (store.folder / STAGING).iterdir())
    seen = f"{left} unfinished takings-in or compactions of programs that were ended"
    if store.read_only:
        remedy = "They do no harm; the next program that may write removes them."
    else:
        removed = store.sweep()
        seen += f"; {len(removed)} files of theirs were removed"
        remedy = "Nothing is to be done; what was reported as taken is in the book."
    looking.found("book-leftovers", STAGING, f"{seen}.", remedy, Severity.NOTE)


def _schema(store: Store, connection: Connection, looking: Looking) -> None:
    """Tables, columns and indexes are those that the code writes."""
    remedy = "Restore the last backup, or export the book and import it again."
    revision = migrate.revision_of(connection)
    if revision != migrate.NEWEST:
        seen = f"The schema is {revision}, this code's is {migrate.NEWEST}."
        looking.found("book-schema", store.place, seen, remedy)
    inspector = inspect(connection)
    there = set(inspector.get_table_names())
    for name, table in METADATA.tables.items():
        looking.looked_at["tables"] += 1
        if name not in there:
            looking.found("book-schema", f"table {name}", "The table is missing.", remedy)
            continue
        columns = {column["name"]: bool(column["nullable"]) for column in inspector.get_columns(name)}
        wanted = {column.name: bool(column.nullable) for column in table.c}
        indexes = {str(index["name"]) for index in inspector.get_indexes(name)}
        missing = {str(index.name) for index in table.indexes} - indexes
        if columns != wanted or missing:
            odd = sorted({key for key in {*columns, *wanted} if columns.get(key) != wanted.get(key)} | missing)
            looking.found("book-schema", f"table {name}", f"It differs in {', '.join(odd)}.", remedy)


def _integrity(connection: Connection, looking: Looking) -> None:
    """SQLite looks through its own file; PostgreSQL watches over its own, but keys may be switched off in either."""
    remedy = "Restore the last backup; what came in later can be taken in again."
    if connection.dialect.name == "sqlite":
        for (said,) in connection.execute(text("PRAGMA integrity_check(20)")):
            if said != "ok":
                looking.found("book-integrity", "book.sqlite", f"The catalogue is damaged: {said}.", remedy)
    keys = [key for table in METADATA.sorted_tables for key in table.foreign_keys]
    for key in keys:
        lost = select(key.parent).where(key.parent.not_in(select(key.column))).order_by(key.parent)
        for (value,) in connection.execute(lost):
            seen = f"A row refers to {value!r} of {key.column.table.name}, which is not there."
            looking.found("row-refers-to-nothing", f"table {key.parent.table.name}", seen, remedy)


def _originals(store: Store, connection: Connection, looking: Looking) -> None:
    for row in connection.execute(select(ORIGINALS_TABLE).order_by(ORIGINALS_TABLE.c.sha256)):
        looking.looked_at["originals"] += 1
        path = store.folder / original_place(row.sha256)
        where = f"original {row.file_name} ({row.sha256[:12]})"
        try:
            size, found = path.stat().st_size, content_hash(path)
        except FileNotFoundError:
            looking.found("original-missing", where, "The file is not there.", RESTORE)
        except OSError as error:
            looking.found("original-missing", where, f"It cannot be read: {error.strerror}.", RESTORE)
        else:
            if (size, found) != (row.size, row.sha256):
                seen = f"Its {size} bytes are not those that were kept ({row.size} bytes)."
                looking.found("original-changed", where, seen, RESTORE)


def _files(folder: Path) -> Iterator[str]:
    """Files in the rooms that belong to the catalogue."""
    for room in (TRACES, ORIGINALS):
        for path in (folder / room).rglob("*"):
            if path.is_file():
                yield path.relative_to(folder).as_posix()


def _orphans(store: Store, looking: Looking) -> None:
    """Files that no row refers to. What seems to be one may just be coming in, so it is looked at again in turn."""
    files = sorted(_files(store.folder))
    looking.looked_at["files"] += len(files)
    with store.reading() as connection:
        traces = connection.execute(select(PULLS.c.trace_file).distinct()).scalars()
        known = {trace_place(file) for file in traces}
        hashes = connection.execute(select(ORIGINALS_TABLE.c.sha256)).scalars()
        known |= {original_place(sha256) for sha256 in hashes}
    odd = [place for place in files if place not in known]
    if odd and not store.read_only:
        with store.writing() as connection:
            odd = [place for place in staging.unreferenced(connection, odd) if (store.folder / place).is_file()]
    for place in odd:
        remedy = "Look at it and move it elsewhere; the book does not use it."
        looking.found("orphan-file", place, "Nothing in the book refers to this file.", remedy, Severity.WARNING)
