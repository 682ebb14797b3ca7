"""Summary figures of kept pulls, worked out again under another correction standard."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any

from sqlalchemy import Connection, delete, insert, update

from fairpull.book import records
from fairpull.book.json_text import dumps, loads
from fairpull.book.pulls import row_of
from fairpull.book.settings import write_value
from fairpull.book.store import Store
from fairpull.book.tables import FIGURES, PULLS
from fairpull.terms.bench import Resummary


def resummarise(store: Store, again: Sequence[Resummary], settings: Mapping[str, str]) -> None:
    """Write summary figures of pulls anew, together with the settings that they follow from; all of it or nothing.

    Traces, states, health and everything else about the pulls stay as they are.

    Args:
        store: the book's.
        again: of each pull that changes.
        settings: key -> value; "" takes one away.

    Raises:
        UnknownName: the book holds no such pull.
        BookRefused: the book may not be written.
    """
    with store.writing() as connection:
        for key, value in settings.items():
            write_value(connection, key, value)
        for one in again:
            _write(connection, one)


def _write(connection: Connection, again: Resummary) -> None:
    row = row_of(connection, again.pull)
    where = f"pull {again.pull}"
    summary = {name: float(value) for name, value in again.summary.items() if math.isfinite(value)}
    papers: dict[str, Any] = loads(row.papers)
    papers["choices"] = {**papers["choices"], "correction": again.correction}
    papers["findings"] = records.from_findings(again.findings)
    values = {
        "summary": dumps(summary, where=where),
        "papers": dumps(papers, where=where, finite=False),
    }
    connection.execute(update(PULLS).where(PULLS.c.number == row.number).values(**values))
    old = [*loads(row.summary), *summary]
    connection.execute(delete(FIGURES).where(FIGURES.c.pull == row.number, FIGURES.c.name.in_(old)))
    rows = [{"pull": row.number, "name": name, **dict.fromkeys(THREE, value)} for name, value in summary.items()]
    if rows:
        connection.execute(insert(FIGURES), rows)


THREE = ("least", "mean", "most")
