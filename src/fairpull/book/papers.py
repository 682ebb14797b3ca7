"""Photographs, notes and other papers laid beside something in the book."""

from __future__ import annotations

import time
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, Row, Select, Table, func, insert, select

from fairpull.book.names import unknown
from fairpull.book.originals import content_hash, keep_original
from fairpull.book.pulls import row_of
from fairpull.book.refusing import refused
from fairpull.book.sheets import newest_version, sheet_names
from fairpull.book.store import Store
from fairpull.book.tables import ATTACHMENTS, REMARKS
from fairpull.terms.bench import SHEET_KINDS, Attachment, Remark
from fairpull.terms.errors import BookRefused, Fault

OF_THE_BOOK = "book"
KINDS = ("pull", *SHEET_KINDS, OF_THE_BOOK)


def attach(store: Store, path: Path, about: tuple[str, str], note: str = "") -> Attachment:
    """Keep a file byte for byte and lay it beside something. The same file beside the same thing is kept once.

    Args:
        store: the book's.
        path: the file.
        about: (kind, name): a pull, a sheet, or ("book", "") for the book itself.
        note: what it shows.

    Returns:
        The attachment.

    Raises:
        UnknownName: there is nothing of this name.
        BookRefused: the file cannot be read, or the book may not be written.
    """
    path = Path(path)
    with refused(path):
        sha256 = content_hash(path)
    with store.placing() as (connection, staged):
        _check_about(connection, about)
        query = _about(select(ATTACHMENTS), ATTACHMENTS, about).where(
            ATTACHMENTS.c.sha256 == sha256, ATTACHMENTS.c.note == note
        )
        if (there := connection.execute(query).first()) is not None:
            return _attachment(there)
        keep_original(connection, staged, sha256, path)
        staged.place()
        row: dict[str, Any] = {
            "number": _next(connection, ATTACHMENTS),
            "sha256": sha256,
            "file_name": path.name,
            "about_kind": about[0],
            "about_name": about[1],
            "note": note,
            "added_at": time.time(),
        }
        connection.execute(insert(ATTACHMENTS), row)
    return Attachment(sha256, path.name, about, note, row["added_at"])


def attachments(store: Store, about: tuple[str, str] | None = None) -> tuple[Attachment, ...]:
    """Attachments in order of coming.

    Args:
        store: the book's.
        about: only those beside this; None for all.

    Returns:
        The attachments; ``Book.original`` finds their files.
    """
    with store.reading() as connection:
        query = _about(select(ATTACHMENTS), ATTACHMENTS, about).order_by(ATTACHMENTS.c.number)
        return tuple(_attachment(row) for row in connection.execute(query))


def remark(store: Store, about: tuple[str, str], text: str, by: str = "") -> Remark:
    """Write a note about something.

    Args:
        store: the book's.
        about: (kind, name), as for ``attach``.
        text: the note.
        by: who says so.

    Returns:
        The remark.

    Raises:
        UnknownName: there is nothing of this name.
        BookRefused: an empty note, or the book may not be written.
    """
    if not text.strip() or "\0" in text:
        raise BookRefused(Fault("remark-empty", f"{about[0]} {about[1]}", "a note without words", "write the note"))
    with store.writing() as connection:
        _check_about(connection, about)
        row: dict[str, Any] = {
            "number": _next(connection, REMARKS),
            "about_kind": about[0],
            "about_name": about[1],
            "text": text,
            "by": by,
            "added_at": time.time(),
        }
        connection.execute(insert(REMARKS), row)
    return Remark(about, text, by, row["added_at"])


def remarks(store: Store, about: tuple[str, str] | None = None) -> tuple[Remark, ...]:
    """Remarks in order of coming.

    Args:
        store: the book's.
        about: only those about this; None for all.

    Returns:
        The remarks.
    """
    with store.reading() as connection:
        rows = connection.execute(_about(select(REMARKS), REMARKS, about).order_by(REMARKS.c.number))
        return tuple(Remark((row.about_kind, row.about_name), row.text, row.by, row.added_at) for row in rows)


def _about(query: Select[Any], table: Table, about: tuple[str, str] | None) -> Select[Any]:
    if about is None:
        return query
    return query.where(table.c.about_kind == about[0], table.c.about_name == about[1])


def _next(connection: Connection, table: Table) -> int:
    return int(connection.execute(select(func.max(table.c.number))).scalar() or 0) + 1


def _attachment(row: Row[Any]) -> Attachment:
    return Attachment(row.sha256, row.file_name, (row.about_kind, row.about_name), row.note, row.added_at)


def _check_about(connection: Connection, about: tuple[str, str]) -> None:
    kind, name = about
    if kind not in KINDS:
        raise BookRefused(Fault("about-kind", "about", kind, f"one of: {', '.join(KINDS)}"))
    if kind == "pull":
        row_of(connection, name)
    elif kind != OF_THE_BOOK and not newest_version(connection, kind, name):
        raise unknown(kind, name, sheet_names(connection, kind), "keep its sheet first")
