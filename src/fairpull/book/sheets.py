"""Sheets: engines, parts, builds, sessions, checks, questions, duties, in all their versions."""

from __future__ import annotations

import time
from collections.abc import Mapping, Sequence
from typing import Any

from sqlalchemy import Connection, Row, delete, func, insert, select

from fairpull.book.json_text import dumps, loads
from fairpull.book.names import name_faults, unknown
from fairpull.book.store import Store
from fairpull.book.tables import FITTED, SHEETS
from fairpull.terms.bench import SHEET_KINDS, Sheet
from fairpull.terms.errors import BookRefused, FairpullError, Fault, UnknownName


def keep(store: Store, sheets: Sequence[Sheet]) -> tuple[Sheet, ...]:
    """Keep sheets, all or none; one that says the same as its newest version makes no new version.

    Args:
        store: the book's.
        sheets: in the order in which they shall be kept.

    Returns:
        The sheets as kept, in the same order.

    Raises:
        BookRefused: unfit kinds, names or bodies, all faults at once; or the book may not be written.
    """
    texts = _checked(sheets)
    if not sheets:
        return ()
    now = time.time()
    with store.writing() as connection:
        return tuple(_keep_one(connection, one, text, now) for one, text in zip(sheets, texts, strict=True))


def sheet(store: Store, kind: str, name: str, version: int | None = None) -> Sheet:
    """One sheet.

    Args:
        store: the book's.
        kind: of sheet.
        name: of the sheet.
        version: which one; None for the newest.

    Returns:
        The sheet.

    Raises:
        UnknownName: no such kind, name or version; the remedy has near names.
    """
    _check_kind(kind)
    with store.reading() as connection:
        query = select(SHEETS).where(SHEETS.c.kind == kind, SHEETS.c.name == name)
        if version is not None:
            query = query.where(SHEETS.c.version == version)
        row = connection.execute(query.order_by(SHEETS.c.version.desc()).limit(1)).first()
        if row is None:
            raise _missing(connection, kind, name, version)
        return _sheet(row)


def sheets(store: Store, kind: str, *, all_versions: bool = False) -> tuple[Sheet, ...]:
    """All sheets of a kind.

    Args:
        store: the book's.
        kind: of sheet.
        all_versions: older versions too.

    Returns:
        The sheets in order of their names and versions.

    Raises:
        UnknownName: no such kind.
    """
    _check_kind(kind)
    with store.reading() as connection:
        found = [_sheet(row) for row in connection.execute(select(SHEETS).where(SHEETS.c.kind == kind))]
    found.sort(key=lambda one: (one.name, one.version))
    if all_versions:
        return tuple(found)
    return tuple({one.name: one for one in found}.values())


def newest_version(connection: Connection, kind: str, name: str) -> int:
    """Number of a sheet's newest version; 0 where there is no such sheet."""
    query = select(func.max(SHEETS.c.version)).where(SHEETS.c.kind == kind, SHEETS.c.name == name)
    return int(connection.execute(query).scalar() or 0)


def sheet_names(connection: Connection, kind: str) -> list[str]:
    """Names of all sheets of a kind."""
    return list(connection.execute(select(SHEETS.c.name).where(SHEETS.c.kind == kind).distinct()).scalars())


def fit(connection: Connection, build: str, body: Mapping[str, Any]) -> None:
    """Write down which engine and parts a build's newest version holds, so that pulls are found by part.

    Args:
        connection: in the writer's transaction.
        build: its name.
        body: of its sheet.
    """
    connection.execute(delete(FITTED).where(FITTED.c.build == build))
    parts = body.get("parts")
    named = dict(parts) if isinstance(parts, Mapping) else {}
    rows = [{"build": build, "kind": kind, "part": part} for kind, part in named.items() if isinstance(part, str)]
    if isinstance(body.get("engine"), str):
        rows = [row for row in rows if row["kind"] != "engine"]
        rows.append({"build": build, "kind": "engine", "part": body["engine"]})
    if rows:
        connection.execute(insert(FITTED), rows)


def _checked(coming: Sequence[Sheet]) -> list[str]:
    faults: list[Fault] = []
    texts = []
    for one in coming:
        where = f"{one.kind} {one.name}"
        faults += name_faults(one.name, where)
        if one.kind not in SHEET_KINDS:
            faults.append(Fault("sheet-kind", where, one.kind, f"one of: {', '.join(SHEET_KINDS)}"))
        try:
            texts.append(dumps(one.body, where=where))
        except FairpullError as error:
            faults += error.faults
    if faults:
        raise BookRefused(faults)
    return texts


def _keep_one(connection: Connection, coming: Sheet, text: str, now: float) -> Sheet:
    query = select(SHEETS).where(SHEETS.c.kind == coming.kind, SHEETS.c.name == coming.name)
    newest = connection.execute(query.order_by(SHEETS.c.version.desc()).limit(1)).first()
    if newest is not None and newest.body == text:
        return _sheet(newest)
    version = 1 if newest is None else newest.version + 1
    row = {"kind": coming.kind, "name": coming.name, "version": version, "body": text, "added_at": now}
    connection.execute(insert(SHEETS), row)
    if coming.kind == "build":
        fit(connection, coming.name, coming.body)
    return Sheet(coming.kind, coming.name, loads(text), version, now)


def _sheet(row: Row[Any]) -> Sheet:
    return Sheet(row.kind, row.name, loads(row.body), row.version, row.added_at)


def _check_kind(kind: str) -> None:
    if kind not in SHEET_KINDS:
        raise UnknownName(Fault("sheet-kind", "sheet", kind, f"one of: {', '.join(SHEET_KINDS)}"))


def _missing(connection: Connection, kind: str, name: str, version: int | None) -> UnknownName:
    newest = newest_version(connection, kind, name)
    if newest and version is not None:
        remedy = f"ask for version 1 to {newest}"
        return UnknownName(Fault("not-in-book", f"{kind} {name}", f"there is no version {version}", remedy))
    return unknown(
        kind,
        name,
        sheet_names(connection, kind),
        f"keep its sheet first, as a TOML file of an {kind}"
        if kind[0] in "aeiou"
        else f"keep its sheet first, as a TOML file of a {kind}",
    )
