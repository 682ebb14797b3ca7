"""Stored results, with everything that decides them; and how often somebody looked."""

from __future__ import annotations

from typing import Any

from sqlalchemy import Row, delete, insert, select, update

from fairpull.book.json_text import dumps, loads
from fairpull.book.names import name_faults, unknown
from fairpull.book.store import Store
from fairpull.book.tables import LOOKS, RESULTS
from fairpull.terms.bench import StoredResult
from fairpull.terms.errors import BookRefused


def keep_result(store: Store, result: StoredResult) -> None:
    """Keep a result; one of the same name is replaced.

    Args:
        store: the book's.
        result: what to keep.

    Raises:
        BookRefused: an unfit name or request, or the book may not be written.
    """
    where = f"result {result.name}"
    if faults := name_faults(result.name, where):
        raise BookRefused(faults)
    row = {
        "name": result.name,
        "kind": result.kind,
        "request": dumps(result.request, where=where, finite=False),
        "traces": dumps(result.traces, where=where),
        "sheets": dumps(result.sheets, where=where),
        "result": result.result,
        "version": result.version,
        "machine": result.machine,
        "made_at": result.made_at,
    }
    with store.writing() as connection:
        connection.execute(delete(RESULTS).where(RESULTS.c.name == result.name))
        connection.execute(insert(RESULTS), row)


def result(store: Store, name: str) -> StoredResult:
    """One stored result.

    Args:
        store: the book's.
        name: its name.

    Returns:
        The result.

    Raises:
        UnknownName: the book holds no such result.
    """
    with store.reading() as connection:
        row = connection.execute(select(RESULTS).where(RESULTS.c.name == name)).first()
        if row is None:
            names = connection.execute(select(RESULTS.c.name)).scalars()
            raise unknown("result", name, names, "compute it and keep it first")
        return _result(row)


def results(store: Store, kind: str = "") -> tuple[StoredResult, ...]:
    """Stored results.

    Args:
        store: the book's.
        kind: only this kind; "" for all.

    Returns:
        Oldest first; those of one moment by name.
    """
    query = select(RESULTS).where(RESULTS.c.kind == kind) if kind else select(RESULTS)
    with store.reading() as connection:
        found = [_result(row) for row in connection.execute(query)]
    return tuple(sorted(found, key=lambda one: (one.made_at, one.name)))


def look(store: Store, reference: str, build: str) -> int:
    """Count one more look at a build against its reference.

    Args:
        store: the book's.
        reference, build: names of the builds.

    Returns:
        How many looks there were, this one included.
    """
    with store.writing() as connection:
        same = (LOOKS.c.reference == reference) & (LOOKS.c.build == build)
        before = int(connection.execute(select(LOOKS.c["count"]).where(same)).scalar() or 0)
        if before:
            connection.execute(update(LOOKS).where(same).values(count=before + 1))
        else:
            connection.execute(insert(LOOKS), {"reference": reference, "build": build, "count": 1})
    return before + 1


def looks(store: Store, reference: str, build: str) -> int:
    """How often somebody looked at a build against its reference.

    Args:
        store: the book's.
        reference, build: names of the builds.

    Returns:
        The number of looks.
    """
    with store.reading() as connection:
        same = (LOOKS.c.reference == reference) & (LOOKS.c.build == build)
        return int(connection.execute(select(LOOKS.c["count"]).where(same)).scalar() or 0)


def _result(row: Row[Any]) -> StoredResult:
    return StoredResult(
        name=row.name,
        kind=row.kind,
        request=loads(row.request),
        traces=loads(row.traces),
        sheets=loads(row.sheets),
        result=row.result,
        version=row.version,
        machine=row.machine,
        made_at=row.made_at,
    )
