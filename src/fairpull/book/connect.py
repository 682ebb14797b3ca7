"""Connections to the catalogue: SQLite in the book's folder, or PostgreSQL at a URL."""

from __future__ import annotations

import os
import sqlite3
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, Engine, create_engine, event, pool, text
from sqlalchemy.engine import URL, make_url
from sqlalchemy.exc import ArgumentError

from fairpull.book.folder import CATALOGUE
from fairpull.terms.errors import BookRefused, Fault, MissingExtra

PATIENCE = 60.0  # s: how long a writer waits for its turn
VARIABLE = "FAIRPULL_DATABASE"
WRITER = "fairpull_writer"
"""Execution option of a connection whose transaction writes."""


def chosen_database(named: str, written: str) -> str:
    """The database that is meant.

    Args:
        named: URL given by the caller.
        written: URL in the book's page.

    Returns:
        The first of these that says something: the caller's, the environment's, the page's; "" for SQLite.
    """
    return named or os.environ.get(VARIABLE, "") or written


def postgres_url(text_: str) -> URL:
    """A PostgreSQL URL, checked.

    Args:
        text_: such as ``postgresql://bench@server/shop``.

    Returns:
        The URL.

    Raises:
        BookRefused: not a URL of a PostgreSQL database.
    """
    remedy = "write postgresql://USER@HOST/DATABASE"
    try:
        url = make_url(text_)
    except (ArgumentError, ValueError) as error:
        raise BookRefused(Fault("database-url", "database", "it is not a URL", remedy)) from error
    if url.get_backend_name() not in ("postgresql", "postgres"):
        raise BookRefused(Fault("database-url", "database", f"a database of kind {url.get_backend_name()}", remedy))
    return url.set(drivername="postgresql+psycopg")


def without_password(text_: str) -> str:
    """The URL as it may be written into a file: without its password."""
    url = postgres_url(text_)
    kept = URL.create("postgresql", url.username, None, url.host, url.port, url.database, url.query)
    return kept.render_as_string(hide_password=False)


def connect(folder: Path, database: str, *, read_only: bool) -> Engine:
    """The catalogue's engine. It connects at first use.

    Args:
        folder: the book's.
        database: URL of a PostgreSQL database; "" for SQLite in the folder.
        read_only: nothing may be written.

    Returns:
        The engine.

    Raises:
        BookRefused: the URL is not one.
        MissingExtra: PostgreSQL is asked for and its library is not installed.
    """
    return _postgres(database) if database else _sqlite(folder / CATALOGUE, read_only=read_only)


def be_patient(connection: Connection, patience: float) -> None:
    """Say how long SQLite may wait for a lock; before a transaction begins. PostgreSQL is told in ``begin_writer``.

    Args:
        connection: outside a transaction.
        patience: longest wait [s].
    """
    raw: object = connection.connection.dbapi_connection
    if isinstance(raw, sqlite3.Connection):
        raw.execute(f"PRAGMA busy_timeout = {int(patience * 1000)}").close()


def begin_writer(connection: Connection, patience: float) -> None:
    """Take the writer's turn at the start of a transaction; waits for it.

    On SQLite the transaction's first words (BEGIN IMMEDIATE) are the lock; on PostgreSQL it is an advisory lock of the
    book's schema, let go by commit, rollback or a lost connection.

    Args:
        connection: in a transaction that was begun with the option WRITER.
        patience: longest wait [s].
    """
    if connection.dialect.name == "postgresql":
        connection.execute(text(f"SET LOCAL lock_timeout = {int(patience * 1000)}"))
        connection.execute(text("SELECT pg_advisory_xact_lock(hashtextextended('fairpull ' || current_schema(), 0))"))


def _sqlite(path: Path, *, read_only: bool) -> Engine:
    def opened() -> sqlite3.Connection:
        if not read_only:
            return sqlite3.connect(path, timeout=PATIENCE, isolation_level=None, check_same_thread=False)
        return sqlite3.connect(
            f"{path.resolve().as_uri()}?{_reading_mode(path)}",
            uri=True,
            timeout=PATIENCE,
            isolation_level=None,
            check_same_thread=False,
        )

    # A reader without the right to write must look anew each time whether a writer is at work.
    pooled = pool.NullPool if read_only else pool.QueuePool
    engine = create_engine("sqlite+pysqlite://", creator=opened, poolclass=pooled)
    event.listen(engine, "connect", _set_reader if read_only else _set_writer)
    event.listen(engine, "begin", _begin_sqlite)
    return engine


def _reading_mode(path: Path) -> str:
    """Reading a write-ahead log needs its helper files; where they cannot be made and are not there, none is in use."""
    log = path.with_name(path.name + "-wal")
    return "mode=ro" if os.access(path.parent, os.W_OK) or log.exists() else "mode=ro&immutable=1"


def _set_writer(connection: sqlite3.Connection, record: object) -> None:
    del record
    for line in ("journal_mode = WAL", "synchronous = FULL", "foreign_keys = ON"):
        connection.execute(f"PRAGMA {line}").close()


def _set_reader(connection: sqlite3.Connection, record: object) -> None:
    del record
    connection.execute("PRAGMA query_only = ON").close()


def _begin_sqlite(connection: Connection) -> None:
    writes = connection.get_execution_options().get(WRITER, False)
    connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")


def _postgres(database: str) -> Engine:
    url = postgres_url(database)
    try:
        import psycopg  # noqa: F401
    except ImportError as error:
        remedy = "type: pip install 'fairpull[postgres]'"
        fault = Fault("postgres-library-missing", "database", "PostgreSQL needs psycopg", remedy)
        raise MissingExtra(fault) from error
    extra: dict[str, Any] = {"connect_timeout": 10} if "connect_timeout" not in url.query else {}
    return create_engine(url, connect_args=extra, pool_size=2, pool_pre_ping=True)
