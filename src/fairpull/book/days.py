"""Days on the brake: which pulls a day holds, which days hold pulls, and a mark that moves when anything does."""

from __future__ import annotations

from typing import Any
from zlib import crc32

from sqlalchemy import ColumnElement, Connection, func, or_, select

from fairpull.book import pulls
from fairpull.book.store import Store
from fairpull.book.tables import LOOKS, MARKS, PULLS, REMARKS, SETTINGS, SHEETS
from fairpull.terms.bench import KeptPull


def pulls_between(
    store: Store, start: float, end: float, *, offset: float = 0.0, most: int = 100
) -> tuple[tuple[KeptPull, ...], int]:
    """Pulls that began in a stretch of time, newest first.

    Args:
        store: the book's.
        start, end: first moment and the one after the last, by wall clock [s since 1970].
        offset: wall clock less universal time [s]: a pull whose log has no date counts by its taking in.
        most: no more than so many.

    Returns:
        Their lines in full; how many there are in all.
    """
    with store.reading() as connection:
        dated = (PULLS.c.started_at >= start) & (PULLS.c.started_at < end)
        bare = PULLS.c.started_at.is_(None) & (PULLS.c.taken_at >= start - offset) & (PULLS.c.taken_at < end - offset)
        wanted = or_(dated, bare)
        total = int(connection.execute(select(func.count()).select_from(PULLS).where(wanted)).scalar() or 0)
        moment = func.coalesce(PULLS.c.started_at, PULLS.c.taken_at + offset)
        query = select(PULLS.c.name).where(wanted).order_by(moment.desc(), PULLS.c.number.desc()).limit(most)
        names = list(connection.execute(query).scalars())
        rows = [pulls.row_of(connection, name) for name in names]
        figures = pulls.figures_of(connection, [row.number for row in rows])
        return tuple(pulls.full_line(row, figures[row.number]) for row in rows), total


def neighbours(store: Store, start: float, end: float, *, offset: float = 0.0) -> tuple[float | None, float | None]:
    """The nearest pulls before and after a stretch of time.

    Args:
        store: the book's.
        start, end, offset: as for ``pulls_between``.

    Returns:
        Their wall clock [s since 1970]; None where there is none.
    """
    dated, bare = PULLS.c.started_at, PULLS.c.taken_at
    undated = dated.is_(None)
    with store.reading() as connection:
        earlier = [
            _one(connection, func.max(dated), dated < start),
            _one(connection, func.max(bare), undated & (bare < start - offset), offset),
        ]
        later = [
            _one(connection, func.min(dated), dated >= end),
            _one(connection, func.min(bare), undated & (bare >= end - offset), offset),
        ]
    return (
        max((one for one in earlier if one is not None), default=None),
        min((one for one in later if one is not None), default=None),
    )


def _one(connection: Connection, what: ColumnElement[Any], where: ColumnElement[bool], offset: float = 0.0) -> Any:
    found = connection.execute(select(what).where(where)).scalar()
    return None if found is None else float(found) + offset


def mark(store: Store) -> str:
    """A short text that changes when a pull comes, is judged, moved or remarked on, or a sheet or setting changes.

    Args:
        store: the book's.

    Returns:
        The mark; cheap to ask for, so that a page can ask every few seconds.
    """
    newest = (PULLS.c.number, MARKS.c.number, REMARKS.c.number, SHEETS.c.added_at)
    with store.reading() as connection:
        parts = [connection.execute(select(func.max(one))).scalar() for one in newest]
        parts.append(connection.execute(select(func.sum(LOOKS.c["count"]))).scalar())
        settings = sorted(map(tuple, connection.execute(select(SETTINGS))))
    return f"{crc32(repr((parts, settings)).encode()):08x}"
