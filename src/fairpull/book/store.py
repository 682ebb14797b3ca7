"""The store under an open book: its folder, its catalogue, and transactions that read or write."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from sqlalchemy import Connection

from fairpull.book import connect, staging
from fairpull.book.folder import CATALOGUE
from fairpull.book.refusing import not_writable, refused
from fairpull.terms.errors import BookRefused


class Store:
    """A book's folder and catalogue.

    Attributes:
        folder: the book's.
        database: URL of the PostgreSQL database; "" for SQLite in the folder.
        read_only: nothing may be written.
        engine: SQLAlchemy's engine of the catalogue.
        patience: how long a writer waits for its turn [s].
        place: the catalogue as refusals name it.
    """

    def __init__(self, folder: Path, database: str = "", *, read_only: bool = False) -> None:
        """Prepare; nothing is opened yet.

        Args:
            folder: the book's.
            database: URL of a PostgreSQL database; "" for SQLite in the folder.
            read_only: nothing may be written.
        """
        self.folder = folder
        self.database = database
        self.read_only = read_only
        self.patience = connect.PATIENCE
        self.engine = connect.connect(folder, database, read_only=read_only)
        self.place = connect.without_password(database) if database else str(folder / CATALOGUE)

    def close(self) -> None:
        """Let go of the catalogue."""
        self.engine.dispose()

    @contextmanager
    def reading(self) -> Iterator[Connection]:
        """A transaction that sees one state of the catalogue and changes nothing; no lock is taken.

        Yields:
            The connection.

        Raises:
            BookRefused: the catalogue cannot be read.
        """
        with refused(self.place), self.engine.connect() as connection:
            if self.database:
                connection = connection.execution_options(isolation_level="REPEATABLE READ", postgresql_readonly=True)
            with connection.begin():
                yield connection

    @contextmanager
    def writing(self) -> Iterator[Connection]:
        """A transaction that writes: it waits for the writer's lock, and takes it before anything else.

        Everything is kept when the block ends, nothing when it raises. Leftovers of dead writers are removed first.

        Yields:
            The connection.

        Raises:
            BookRefused: the book may not be written, the lock was not to be had, the disk is full, the database is
                down.
        """
        self._require_right()
        done = False
        try:
            with self._turn() as connection:
                staging.sweep(connection, self.folder)
                yield connection
            done = True
        finally:
            if not done:
                self._sweep_after_failure()

    @contextmanager
    def writing_schema(self) -> Iterator[Connection]:
        """A transaction as ``writing`` gives it, for a catalogue whose tables are not there yet or are old ones.

        Yields:
            The connection.

        Raises:
            BookRefused: as for ``writing``.
        """
        self._require_right()
        with self._turn() as connection:
            yield connection

    @contextmanager
    def placing(self) -> Iterator[tuple[Connection, staging.Staging]]:
        """A transaction that writes and brings files into the book.

        The block stages files, calls ``place()`` on the staging, and writes the rows that refer to them.

        Yields:
            The connection, and the staging of its files.

        Raises:
            BookRefused: as for ``writing``.
        """
        staged = staging.Staging(self.folder)
        with self.writing() as connection:
            yield connection, staged
        if staged.leaving:
            self.sweep()
        else:
            staged.forget()

    def sweep(self) -> tuple[str, ...]:
        """Remove files that a journal names and no row refers to.

        Returns:
            Their places, below the book's folder.

        Raises:
            BookRefused: the writer's lock was not to be had, or a file cannot be removed.
        """
        with self._turn() as connection:
            return staging.sweep(connection, self.folder)

    def _require_right(self) -> None:
        if self.read_only:
            raise BookRefused(not_writable(str(self.folder)))

    @contextmanager
    def _turn(self) -> Iterator[Connection]:
        with refused(self.place), self.engine.connect() as plain:
            connect.be_patient(plain, self.patience)
            connection = plain.execution_options(**{connect.WRITER: True})
            if self.database:
                # Each statement after the lock must see what the writer before committed.
                connection = connection.execution_options(isolation_level="READ COMMITTED")
            with connection.begin():
                connect.begin_writer(connection, self.patience)
                yield connection

    def _sweep_after_failure(self) -> None:
        """What the failed transaction brought goes at once where that is possible; else the next writer does it."""
        if staging.leftovers(self.folder):
            with suppress(BookRefused):
                self.sweep()
