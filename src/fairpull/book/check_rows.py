"""Rows that refer to nothing, or that no longer say what they were made of."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from sqlalchemy import Connection, select

from fairpull.book.json_text import loads
from fairpull.book.looking import Looking
from fairpull.book.tables import ATTACHMENTS, FITTED, MARKS, PULLS, REMARKS, RESULTS, SHEETS
from fairpull.terms.findings import Severity

NOTHING = "row-refers-to-nothing"
REMEDY = "Restore the last backup, or keep the missing sheet again."


def check_rows(connection: Connection, looking: Looking) -> None:
    """Check every reference that the database itself does not watch over.

    Args:
        connection: in a transaction that reads.
        looking: takes the findings.
    """
    rows = _of(connection, SHEETS.c.kind, SHEETS.c.name, SHEETS.c.version)
    sheets = {(row.kind, row.name, row.version) for row in rows}
    looking.looked_at["sheets"] += len(sheets)
    newest: dict[tuple[str, str], int] = {}
    for kind, name, version in sheets:
        newest[kind, name] = max(version, newest.get((kind, name), 0))
    _versions(sheets, newest, looking)
    _pulls(connection, sheets, newest, looking)
    _papers(connection, newest, looking)
    _results(connection, sheets, looking)
    _fitted(connection, newest, looking)


def _of(connection: Connection, *columns: Any) -> Any:
    return connection.execute(select(*columns))


def _versions(sheets: set[tuple[str, str, int]], newest: Mapping[tuple[str, str], int], looking: Looking) -> None:
    for (kind, name), last in sorted(newest.items()):
        missing = [version for version in range(1, last) if (kind, name, version) not in sheets]
        if missing:
            looking.found(NOTHING, f"{kind} {name}", f"Version {missing[0]} of {last} is missing.", REMEDY)


def _pulls(
    connection: Connection,
    sheets: set[tuple[str, str, int]],
    newest: Mapping[tuple[str, str], int],
    looking: Looking,
) -> None:
    marked = {row.pull: row for row in connection.execute(select(MARKS).order_by(MARKS.c.number))}
    columns = (PULLS.c.name, PULLS.c.build, PULLS.c.build_version, PULLS.c.session)
    names = set()
    for row in _of(connection, *columns, PULLS.c.state, PULLS.c.reason, PULLS.c.valid_to):
        names.add(row.name)
        where = f"pull {row.name}"
        if ("build", row.build, row.build_version) not in sheets:
            seen = f"Its build {row.build}, version {row.build_version}, has no sheet."
            looking.found(NOTHING, where, seen, REMEDY)
        if row.session and ("session", row.session) not in newest:
            looking.found(NOTHING, where, f"Its session {row.session} has no sheet.", REMEDY)
        last = marked.get(row.name)
        if last is None or (last.state, last.reason, last.valid_to) != (row.state, row.reason, row.valid_to):
            said = "there is none" if last is None else f"the newest says {last.state}"
            seen = f"Its state is {row.state}; of its judgements {said}."
            looking.found("state-without-judgement", where, seen, "Judge the pull again, with a reason.")
    for name in sorted(set(marked) - names):
        looking.found(NOTHING, f"judgement of {name}", "There is no such pull.", REMEDY)


def _papers(connection: Connection, newest: Mapping[tuple[str, str], int], looking: Looking) -> None:
    """Attachments and remarks lie beside something that is there."""
    pulls = set(connection.execute(select(PULLS.c.name)).scalars())
    for table, what in ((ATTACHMENTS, "attachment"), (REMARKS, "remark")):
        for row in _of(connection, table.c.number, table.c.about_kind, table.c.about_name):
            looking.looked_at[f"{what}s"] += 1
            kind, name = row.about_kind, row.about_name
            if not (kind == "book" or (kind == "pull" and name in pulls) or (kind, name) in newest):
                looking.found(NOTHING, f"{what} {row.number}", f"There is no {kind} {name}.", REMEDY)


def _results(connection: Connection, sheets: set[tuple[str, str, int]], looking: Looking) -> None:
    """Pulls and sheets that a stored result was made of are still the same."""
    traces = {row.name: row.trace for row in connection.execute(select(PULLS.c.name, PULLS.c.trace))}
    for row in connection.execute(select(RESULTS).order_by(RESULTS.c.name)):
        looking.looked_at["results"] += 1
        where = f"result {row.name}"
        for name, trace in loads(row.traces).items():
            if traces.get(name) != trace:
                looking.found(NOTHING, where, f"It was made of another trace of the pull {name}.", REMEDY)
        for label, version in loads(row.sheets).items():
            kind, _, name = label.partition("/")
            if (kind, name, version) not in sheets:
                looking.found(NOTHING, where, f"Version {version} of {kind} {name} is missing.", REMEDY)


def _fitted(connection: Connection, newest: Mapping[tuple[str, str], int], looking: Looking) -> None:
    """What the catalogue says a build holds is what its sheet says."""
    kept: dict[str, dict[str, str]] = {}
    for row in connection.execute(select(FITTED)):
        kept.setdefault(row.build, {})[row.kind] = row.part
    bodies = {
        row.name: loads(row.body)
        for row in connection.execute(select(SHEETS).where(SHEETS.c.kind == "build"))
        if newest["build", row.name] == row.version
    }
    for name in sorted({*kept, *bodies}):
        if kept.get(name, {}) != _holds(bodies.get(name, {})):
            seen = "The list of its parts, by which pulls are found, is not that of its sheet."
            looking.found("parts-list", f"build {name}", seen, "Keep the build's sheet again.", Severity.WARNING)


def _holds(body: Mapping[str, Any]) -> dict[str, str]:
    parts = body.get("parts")
    held = {kind: part for kind, part in parts.items() if isinstance(part, str)} if isinstance(parts, Mapping) else {}
    if isinstance(body.get("engine"), str):
        held["engine"] = body["engine"]
    return held
