"""Search of the book: a text in trade words becomes records, and records become conditions on the tables."""

from __future__ import annotations

from typing import TYPE_CHECKING

from fairpull.book.search.parser import parse_where
from fairpull.book.search.tree import Where

if TYPE_CHECKING:
    from pathlib import Path

    from sqlalchemy import ColumnElement, Connection

__all__ = ["Where", "clause", "parse_where"]


def clause(
    where: Where, connection: Connection, traces: Path, *, within: ColumnElement[bool] | None = None
) -> ColumnElement[bool]:
    """A search as a condition on the pulls' table; see ``fairpull.book.search.conditions``."""
    from fairpull.book.search import conditions

    return conditions.clause(where, connection, traces, within=within)
