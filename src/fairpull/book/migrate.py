"""Migrations: the catalogue's schema is brought up to date in one transaction, with a record of each step."""

from __future__ import annotations

import time
from pathlib import Path
from typing import TYPE_CHECKING, Any, cast

from sqlalchemy import Connection, insert, inspect, select

from fairpull.book.store import Store
from fairpull.book.tables import HISTORY, METADATA
from fairpull.terms.errors import BookRefused, Fault
from fairpull.terms.version import VERSION

if TYPE_CHECKING:
    from alembic.runtime.migration import MigrationContext
    from alembic.script import ScriptDirectory

REVISIONS = ("0001", "0002")
"""Every schema there ever was, oldest first; the scripts stand in ``migrations/``."""
NEWEST = REVISIONS[-1]
SCRIPTS = Path(__file__).parent / "migrations"


def revision_of(connection: Connection) -> str:
    """Which schema the catalogue has.

    Args:
        connection: to the catalogue.

    Returns:
        Its revision; "" for a catalogue without tables.
    """
    if not inspect(connection).has_table(HISTORY.name):
        return ""
    # Revisions are numbered with leading zeros, so the last by name is the last in time.
    return max(connection.execute(select(HISTORY.c.revision)).scalars(), default="")


def check_revision(revision: str, place: str) -> None:
    """Refuse a schema that this code does not know.

    Args:
        revision: of the catalogue.
        place: the catalogue, for the refusal.

    Raises:
        BookRefused: no schema at all, or one of a newer fairpull.
    """
    if not revision:
        remedy = "put the catalogue back from a backup: it holds no tables"
        raise BookRefused(Fault("catalogue-empty", place, "the catalogue is empty", remedy))
    if revision not in REVISIONS:
        seen = f"schema {revision}, the newest known here is {NEWEST}"
        raise BookRefused(Fault("book-newer", place, seen, "use the newer fairpull that wrote this book"))


def migrate(store: Store, target: str = NEWEST) -> str:
    """Bring the catalogue to a schema, from none at all or from an older one.

    One transaction holds every step, its record in the table ``history``, and the data that a step moves.

    Args:
        store: the book's.
        target: the revision to reach.

    Returns:
        The revision that it had before.

    Raises:
        BookRefused: the schema is newer than the code, or the book may not be written.
    """
    with store.writing_schema() as connection:
        before = revision_of(connection)
        if before:
            check_revision(before, store.place)
        if before < target:
            _upgrade(connection, target)
        return before


def scripts() -> ScriptDirectory:
    """The migrations as Alembic sees them."""
    from alembic.script import ScriptDirectory

    return ScriptDirectory(str(SCRIPTS), version_locations=[str(SCRIPTS)])


def _upgrade(connection: Connection, target: str) -> None:
    from alembic.config import Config
    from alembic.runtime.environment import EnvironmentContext

    directory = scripts()

    def steps(revision: Any, context: MigrationContext) -> Any:
        del context
        return directory._upgrade_revs(target, revision)

    def recorded(*, step: Any, **known: Any) -> None:
        del known
        row = {"revision": step.up_revision_id, "at": time.time(), "version": VERSION}
        connection.execute(insert(HISTORY), row)

    with EnvironmentContext(Config(), directory, fn=steps) as environment:
        environment.configure(connection=connection, target_metadata=METADATA, on_version_apply=cast(Any, recorded))
        environment.run_migrations()
