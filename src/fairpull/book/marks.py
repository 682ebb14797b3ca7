"""Marks: every judgement of whether a pull counts, with its reason."""

from __future__ import annotations

import time

from sqlalchemy import func, insert, select, update

from fairpull.book.pulls import row_of
from fairpull.book.store import Store
from fairpull.book.tables import MARKS, PULLS
from fairpull.terms.bench import COUNTS, STATES, Mark
from fairpull.terms.errors import BookRefused, Fault


def mark(store: Store, name: str, state: str, reason: str, *, valid_to: float | None = None, by: str = "") -> None:
    """Judge a pull: it counts, is set aside, or is void. Earlier judgements stay in its history.

    Args:
        store: the book's.
        name: the pull's.
        state: one of STATES.
        reason: why; needed unless it counts.
        valid_to: it counts up to this speed only [rpm]; None: to its end.
        by: who says so.

    Raises:
        UnknownName: the book holds no such pull.
        BookRefused: no such state, no reason, or the book may not be written.
    """
    if faults := state_faults(f"pull {name}", state, reason):
        raise BookRefused(faults)
    with store.writing() as connection:
        row_of(connection, name)
        judged = {"state": state, "reason": reason, "valid_to": valid_to}
        number = int(connection.execute(select(func.max(MARKS.c.number))).scalar() or 0) + 1
        row = {"number": number, "pull": name, **judged, "by": by, "at": time.time()}
        connection.execute(insert(MARKS), row)
        connection.execute(update(PULLS).where(PULLS.c.name == name).values(**judged))


def marks(store: Store, name: str) -> tuple[Mark, ...]:
    """All judgements of a pull.

    Args:
        store: the book's.
        name: the pull's.

    Returns:
        Oldest first; the first is the one it was taken in with.

    Raises:
        UnknownName: the book holds no such pull.
    """
    with store.reading() as connection:
        row_of(connection, name)
        rows = connection.execute(select(MARKS).where(MARKS.c.pull == name).order_by(MARKS.c.number))
        return tuple(Mark(row.pull, row.state, row.reason, row.valid_to, row.by, row.at) for row in rows)


def state_faults(where: str, state: str, reason: str) -> list[Fault]:
    """What is wrong with a judgement.

    Args:
        where: the pull, for the fault.
        state: one of STATES.
        reason: why it does not count.

    Returns:
        No fault, or one.
    """
    if state not in STATES:
        return [Fault("pull-state", where, state, f"one of: {', '.join(STATES)}")]
    if state != COUNTS and not reason.strip():
        return [
            Fault("reason-missing", where, f"{state}, without a reason", "say in a few words why it does not count")
        ]
    return []
