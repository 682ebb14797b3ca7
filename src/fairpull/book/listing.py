"""A long list of pulls, one page at a time, so that the whole of a large book is never fetched to show fifty lines."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from sqlalchemy import ColumnElement, Connection, func, select, true

from fairpull.book import pulls
from fairpull.book.folder import TRACES
from fairpull.book.store import Store
from fairpull.book.tables import PULLS
from fairpull.terms.bench import KeptPull

if TYPE_CHECKING:
    from fairpull.book.search import Where


def page(
    store: Store,
    where: Where | None = None,
    *,
    builds: Sequence[str] = (),
    states: Sequence[str] = (),
    most: int = 50,
    skip: int = 0,
) -> tuple[tuple[KeptPull, ...], int]:
    """One page of the pulls that fit, newest number first.

    Args:
        store: the book's.
        where, builds, states: as for ``pulls.pulls``.
        most: lines on a page.
        skip: lines before it.

    Returns:
        Their lines in full; how many fit in all.

    Raises:
        SearchRefused: the search names what the book does not hold.
    """
    with store.reading() as connection:
        wanted = _wanted(store, connection, where, builds, states)
        total = int(connection.execute(select(func.count()).select_from(PULLS).where(wanted)).scalar() or 0)
        query = select(PULLS.c.name).where(wanted).order_by(PULLS.c.number.desc()).limit(most).offset(skip)
        rows = [pulls.row_of(connection, name) for name in list(connection.execute(query).scalars())]
        figures = pulls.figures_of(connection, [row.number for row in rows])
        return tuple(pulls.full_line(row, figures[row.number]) for row in rows), total


def count(store: Store, where: Where) -> int | None:
    """How many pulls a search finds.

    Args:
        store: the book's.
        where: the search.

    Returns:
        The number; None where that cannot be told without reading traces.

    Raises:
        SearchRefused: it names what the book does not hold.
    """
    from fairpull.book.search import conditions, names

    with store.reading() as connection:
        if conditions.needs_traces(where.condition):
            names.refuse_unknown(where, connection)
            return None
        wanted = _wanted(store, connection, where, (), ())
        return int(connection.execute(select(func.count()).select_from(PULLS).where(wanted)).scalar() or 0)


def _wanted(
    store: Store, connection: Connection, where: Where | None, builds: Sequence[str], states: Sequence[str]
) -> ColumnElement[bool]:
    wanted: ColumnElement[bool] = true()
    if builds:
        wanted &= PULLS.c.build.in_(list(builds))
    if states:
        wanted &= PULLS.c.state.in_(list(states))
    if where is not None:
        from fairpull.book import search

        wanted &= search.clause(where, connection, store.folder / TRACES, within=wanted)
    return wanted
