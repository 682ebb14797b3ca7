"""What the house prefers: units, correction standard, grid, bands."""

from __future__ import annotations

from sqlalchemy import Connection, delete, insert, select

from fairpull.book.names import name_faults
from fairpull.book.store import Store
from fairpull.book.tables import SETTINGS
from fairpull.terms.errors import BookRefused


def settings(store: Store) -> dict[str, str]:
    """All settings.

    Args:
        store: the book's.

    Returns:
        Key -> value, in order of the keys.
    """
    with store.reading() as connection:
        rows = connection.execute(select(SETTINGS.c.key, SETTINGS.c.value))
        return dict(sorted((row.key, row.value) for row in rows))


def set_value(store: Store, key: str, value: str) -> None:
    """Write one setting; "" takes it away.

    Args:
        store: the book's.
        key: its name.
        value: its value.

    Raises:
        BookRefused: an unfit key, or the book may not be written.
    """
    if faults := name_faults(key, "setting"):
        raise BookRefused(faults)
    with store.writing() as connection:
        write_value(connection, key, value)


def write_value(connection: Connection, key: str, value: str) -> None:
    """Write one setting within a transaction; "" takes it away."""
    connection.execute(delete(SETTINGS).where(SETTINGS.c.key == key))
    if value:
        connection.execute(insert(SETTINGS), {"key": key, "value": value})
