"""Where the catalogues of the tests' books lie, so that one test runs on SQLite and on PostgreSQL alike.

A test that asks for the fixture ``catalogues``, or for a book made through it, runs once on each. What it makes by
``create``, ``restore`` or ``import_book`` without naming a database gets a catalogue of its own there: on SQLite the
file in the book's folder, on PostgreSQL a schema, which the book's page names as it does in a shop.
"""

from __future__ import annotations

import os
import re
import shutil
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any
from urllib.parse import unquote

import pytest
from sqlalchemy import URL, Connection, NullPool, create_engine, text

from fairpull.book import connect, migrate, opening, restoring
from fairpull.book import folder as folders
from fairpull.book.store import Store
from fairpull.book.tables import METADATA
from tests.postgres import Server

SQLITE, POSTGRESQL = "sqlite", "postgresql"
VARIABLE = "FAIRPULL_TEST_STORE"


def chosen(only: pytest.Mark | None) -> list[str]:
    """Kinds of catalogue to run a test on.

    Args:
        only: the test's mark ``sqlite_only``, which must say why.

    Returns:
        Both; or the one that the environment names.
    """
    asked = os.environ.get(VARIABLE, "")
    if asked not in ("", SQLITE, POSTGRESQL):
        raise pytest.UsageError(f"{VARIABLE}={asked}: use {SQLITE} or {POSTGRESQL}")
    if only is not None:
        if not only.args:
            raise pytest.UsageError("sqlite_only: say why")
        return [SQLITE]
    return [asked] if asked else [SQLITE, POSTGRESQL]


class Catalogues:
    """Catalogues of one kind.

    Attributes:
        server: the PostgreSQL server; None on SQLite.
    """

    def __init__(self, server: Server | None) -> None:
        self.server = server
        self._made: list[str] = []

    def new(self) -> str:
        """URL of an empty database for one book; "" on SQLite."""
        if self.server is None:
            return ""
        self._made.append(self.server.new_schema())
        return self._made[-1]

    @contextmanager
    def used(self, *, clear: bool = False) -> Iterator[None]:
        """Books made within lie here unless they name a database.

        Args:
            clear: drop the schemas made within at the end.
        """
        if self.server is None:
            yield
            return
        before, self._made = self._made, []
        with pytest.MonkeyPatch.context() as patch:
            for module, name in ((opening, "create"), (restoring, "restore")):
                patch.setattr(module, name, self._kept_here(getattr(module, name)))
            try:
                yield
            finally:
                made, self._made = self._made, before
        if clear:
            drops = [f"DROP SCHEMA IF EXISTS {schema_of(url)} CASCADE" for url in made]
            self.server.say("SET client_min_messages = error", "SET lock_timeout = 5000", *drops)

    def _kept_here(self, plain: Callable[..., Any]) -> Callable[..., Any]:
        def kept(*told: Any, database: str = "", **more: Any) -> Any:
            return plain(*told, database=database or os.environ.get("FAIRPULL_DATABASE") or self.new(), **more)

        return kept

    def copy(self, folder: Path, target: Path) -> Path:
        """Copy a folder with the books in it; a book's catalogue is copied wherever it lies.

        Args:
            folder: what to copy; nobody may be writing into its books.
            target: the copy's place, which does not exist yet.

        Returns:
            The copy's place.
        """
        shutil.copytree(folder, target)
        for page in target.rglob(folders.PAGE):
            said = folders.read_page(page.parent)
            if said.database:
                fresh = self.new()
                self._copy_rows(schema_of(said.database), fresh, page.parent)
                folders.write_page(page.parent, folders.Page(said.schema, fresh))
        return target

    def _copy_rows(self, old: str, fresh: str, folder: Path) -> None:
        assert self.server is not None
        store = Store(folder, fresh)
        migrate.migrate(store)
        store.close()
        new = schema_of(fresh)
        names = [table.name for table in METADATA.sorted_tables]
        emptied = [f"DELETE FROM {new}.{name}" for name in reversed(names)]
        self.server.say(*emptied, *(f"INSERT INTO {new}.{name} SELECT * FROM {old}.{name}" for name in names))


def schema_of(url: str) -> str:
    """The schema that a URL of ``Server.new_schema`` names, however it is written."""
    found = re.search(r"search_path=(\w+)", unquote(url))
    assert found is not None, url
    return found[1]


@contextmanager
def behind_the_back(folder: Path) -> Iterator[Connection]:
    """A connection to a book's rows as no command has one: nothing watches over what is changed, foreign keys neither.

    Args:
        folder: the book's.
    """
    url = folders.read_page(folder).database
    place = connect.postgres_url(url) if url else URL.create("sqlite", database=str(folder / folders.CATALOGUE))
    engine = create_engine(place, poolclass=NullPool)
    with engine.begin() as connection:
        if url:
            connection.execute(text("SET LOCAL session_replication_role = replica"))
        yield connection
    engine.dispose()
