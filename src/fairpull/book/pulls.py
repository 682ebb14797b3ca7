"""The catalogue's lines: kept pulls, without and with everything that stands about them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from sqlalchemy import ColumnElement, Connection, Row, Select, select, true

from fairpull.book import records
from fairpull.book.folder import TRACES, trace_place
from fairpull.book.json_text import loads
from fairpull.book.names import unknown
from fairpull.book.store import Store
from fairpull.book.tables import FIGURES, ORIGINALS, PULLS
from fairpull.book.traces import read_trace
from fairpull.terms.bench import Figure, KeptPull
from fairpull.terms.errors import BookRefused, Fault
from fairpull.terms.pull import Pull
from fairpull.terms.recording import Conditions, Origin

if TYPE_CHECKING:
    from fairpull.book.search import Where

LISTED = (
    *(PULLS.c.number, PULLS.c.name, PULLS.c.build, PULLS.c.build_version, PULLS.c.session, PULLS.c.state),
    *(PULLS.c.reason, PULLS.c.valid_to, PULLS.c.started_at, PULLS.c.kind, PULLS.c.sweep_rate),
    *(PULLS.c.tested_low, PULLS.c.tested_high, PULLS.c.summary, PULLS.c.original, ORIGINALS.c.file_name),
    *(PULLS.c.piece, PULLS.c.trace, PULLS.c.taken_at, PULLS.c.version),
)
"""Columns of a listing, in the order of a ``KeptPull``: everything but the papers, which are long."""
SUMMARY_AT = 13
CHUNK = 500
"""Pulls whose figures are fetched at once."""


def pull(store: Store, name: str) -> KeptPull:
    """One kept pull with everything about it but its trace.

    Args:
        store: the book's.
        name: its name.

    Returns:
        The pull's line, in full.

    Raises:
        UnknownName: the book holds no such pull; the remedy has near names.
    """
    with store.reading() as connection:
        row = row_of(connection, name)
        return full_line(row, figures_of(connection, [row.number])[row.number])


def names_of(store: Store, sha256: str) -> tuple[str, ...]:
    """Names of the pulls that a file gave.

    Args:
        store: the book's.
        sha256: content hash of the file.

    Returns:
        Names in the file's order; empty where the book has nothing from it.
    """
    with store.reading() as connection:
        found = connection.execute(select(PULLS.c.name).where(PULLS.c.original == sha256).order_by(PULLS.c.piece))
        return tuple(row.name for row in found)


def pulls(
    store: Store,
    where: Where | None = None,
    *,
    builds: Sequence[str] = (),
    states: Sequence[str] = (),
    full: bool = False,
) -> tuple[KeptPull, ...]:
    """Kept pulls.

    Args:
        store: the book's.
        where: a search condition; None for all.
        builds: only pulls of these builds; none for all.
        states: only pulls in these states; none for all.
        full: with figures, health, findings, choices and the whole origin; else these stay empty.

    Returns:
        Their lines in order of their numbers.
    """
    wanted: ColumnElement[bool] = true()
    if builds:
        wanted &= PULLS.c.build.in_(list(builds))
    if states:
        wanted &= PULLS.c.state.in_(list(states))
    with store.reading() as connection:
        if where is not None:
            from fairpull.book import search

            wanted &= search.clause(where, connection, store.folder / TRACES, within=wanted)
        rows = connection.execute(_lines(full).where(wanted).order_by(PULLS.c.number)).all()
        if not full:
            return _listed(rows)
        figures = figures_of(connection, [row.number for row in rows])
        return tuple(full_line(row, figures[row.number]) for row in rows)


def trace(store: Store, name: str) -> Pull:
    """A kept pull as it was taken in, its values exact and checked against their hash.

    Args:
        store: the book's.
        name: its name in the book.

    Returns:
        The pull, with ``valid_to`` as the book judges it now.

    Raises:
        UnknownName: the book holds no such pull.
        BookRefused: its trace is missing or damaged.
    """
    row, file = _row_and_file(store, name)
    papers = loads(row.papers)
    try:
        channels = read_trace(file, row.number, papers["channels"], row.trace)
    except FileNotFoundError:
        # Compaction may have moved the trace since the row was read; then the row says where.
        row, file = _row_and_file(store, name)
        if not file.is_file():
            remedy = "put the file back from a backup; fairpull book check lists all that is missing"
            raise BookRefused(Fault("trace-missing", str(file), f"the trace of {name} is not there", remedy)) from None
        channels = read_trace(file, row.number, papers["channels"], row.trace)
    return Pull(
        name=row.name,
        origin=records.to_origin(papers["origin"]),
        kind=row.kind,
        channels=channels,
        first_row=papers["first_row"],
        last_row=papers["last_row"],
        started_at=row.started_at,
        sweep_rate=row.sweep_rate,
        given=records.to_conditions(papers["given"]),
        valid_to=row.valid_to,
        findings=records.to_findings(papers["findings"]),
        choices=papers["choices"],
    )


def row_of(connection: Connection, name: str) -> Row[Any]:
    """The whole row of a pull.

    Args:
        connection: to the catalogue.
        name: the pull's.

    Returns:
        The row, with ``original_name``.

    Raises:
        UnknownName: the book holds no such pull.
    """
    row = connection.execute(_lines(full=True).where(PULLS.c.name == name)).first()
    if row is None:
        names = connection.execute(select(PULLS.c.name)).scalars()
        raise unknown("pull", name, names, "list them with fairpull pulls")
    return row


def figures_of(connection: Connection, numbers: Sequence[int]) -> dict[int, dict[str, Figure]]:
    """Channel figures and summary figures of pulls.

    Args:
        connection: to the catalogue.
        numbers: of the pulls.

    Returns:
        Number -> name -> figure.
    """
    found: dict[int, dict[str, Figure]] = {number: {} for number in numbers}
    for start in range(0, len(numbers), CHUNK):
        query = select(FIGURES).where(FIGURES.c.pull.in_(numbers[start : start + CHUNK]))
        for row in connection.execute(query):
            found[row.pull][row.name] = Figure(row.least, row.mean, row.most)
    return found


def _lines(full: bool) -> Select[Any]:
    query = select(*PULLS.c, ORIGINALS.c.file_name.label("original_name")) if full else select(*LISTED)
    return query.join(ORIGINALS, ORIGINALS.c.sha256 == PULLS.c.original)


def _row_and_file(store: Store, name: str) -> tuple[Row[Any], Path]:
    with store.reading() as connection:
        row = row_of(connection, name)
    return row, store.folder / trace_place(row.trace_file)


def _listed(rows: Sequence[Row[Any]]) -> tuple[KeptPull, ...]:
    """Lines of a listing, perhaps of thousands, so by place and not by name: rows hold the columns of LISTED.

    Summaries are parsed at once, and what pulls share is made once.
    """
    summaries = loads(f"[{','.join(row[SUMMARY_AT] for row in rows)}]")
    nobody_said = Conditions()
    origins: dict[str, Origin] = {}
    listed = []
    for row, summary in zip(rows, summaries, strict=True):
        *begin, low, high, _, original, file, piece, trace_, taken_at, version = list(row)
        origin = origins.get(original)
        if origin is None:
            origin = origins[original] = Origin(file, original, "", "")
        end = (summary, original, file, piece, trace_, origin, taken_at, version, nobody_said)
        values: tuple[Any, ...] = (*begin, (low, high), *end)
        listed.append(KeptPull(*values))
    return tuple(listed)


def _line(row: Row[Any], *, summary: Mapping[str, float], origin: Origin, **more: Any) -> KeptPull:
    return KeptPull(
        number=row.number,
        name=row.name,
        build=row.build,
        build_version=row.build_version,
        session=row.session,
        state=row.state,
        reason=row.reason,
        valid_to=row.valid_to,
        started_at=row.started_at,
        kind=row.kind,
        sweep_rate=row.sweep_rate,
        tested=(row.tested_low, row.tested_high),
        summary=summary,
        original=row.original,
        original_name=row.original_name,
        piece=row.piece,
        trace=row.trace,
        origin=origin,
        taken_at=row.taken_at,
        version=row.version,
        **more,
    )


def full_line(row: Row[Any], figures: Mapping[str, Figure]) -> KeptPull:
    """The line of a pull from its whole row and its figures."""
    papers = loads(row.papers)
    summary = loads(row.summary)
    return _line(
        row,
        summary=summary,
        origin=records.to_origin(papers["origin"]),
        given=records.to_conditions(papers["given"]),
        figures={name: figure for name, figure in sorted(figures.items()) if name not in summary},
        health=records.to_health(papers["health"]),
        findings=records.to_findings(papers["findings"]),
        choices=papers["choices"],
        reading=papers["reading"],
    )
