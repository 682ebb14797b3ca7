"""Originals: files kept byte for byte under their content hash."""

from __future__ import annotations

import hashlib
import time
from pathlib import Path

from sqlalchemy import Connection, insert, select

from fairpull.book.folder import original_place
from fairpull.book.refusing import refused
from fairpull.book.staging import Staging
from fairpull.book.store import Store
from fairpull.book.tables import ORIGINALS
from fairpull.terms.errors import BookRefused, Fault, UnknownName


def content_hash(path: Path) -> str:
    """The SHA-256 of a file's bytes.

    Args:
        path: the file.

    Returns:
        The hash as hexadecimal text.
    """
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def original(store: Store, sha256: str) -> Path:
    """Where an original lies.

    Args:
        store: the book's.
        sha256: its content hash.

    Returns:
        The file. Its bytes are checked by ``verified_original`` and by a check of the book.

    Raises:
        UnknownName: the book holds no such original.
        BookRefused: it should be there and is not.
    """
    with store.reading() as connection:
        query = select(ORIGINALS.c.sha256).where(ORIGINALS.c.sha256 == sha256)
        if connection.execute(query).first() is None:
            remedy = "take the hash from a pull or an attachment of this book"
            raise UnknownName(Fault("not-in-book", f"original {sha256}", "the book holds no such file", remedy))
    path = store.folder / original_place(sha256)
    if not path.is_file():
        remedy = "put the file back from a backup; fairpull book check lists all that is missing"
        raise BookRefused(Fault("original-missing", str(path), "the original is not there", remedy))
    return path


def verified_original(store: Store, sha256: str) -> Path:
    """Where an original lies, its bytes checked against its hash.

    Args:
        store: the book's.
        sha256: its content hash.

    Returns:
        The file.

    Raises:
        UnknownName: the book holds no such original.
        BookRefused: it is not there, or its bytes changed.
    """
    path = original(store, sha256)
    with refused(path):
        found = content_hash(path)
    if found != sha256:
        remedy = "put the file back from a backup"
        raise BookRefused(Fault("original-changed", str(path), f"its bytes have the hash {found[:12]}...", remedy))
    return path


def keep_original(connection: Connection, staged: Staging, sha256: str, source: Path) -> None:
    """Stage an original and write its row, unless the book holds it; a lost file of a known original is put back.

    Args:
        connection: in the writer's transaction.
        staged: the transaction's files.
        sha256: content hash of the file.
        source: the file.
    """
    query = select(ORIGINALS.c.sha256).where(ORIGINALS.c.sha256 == sha256)
    known = connection.execute(query).first() is not None
    place = original_place(sha256)
    if known and (staged.folder / place).is_file():
        return
    staged.add_copy(place, source, sha256)
    if known:
        return
    row = {"sha256": sha256, "file_name": source.name, "size": source.stat().st_size, "added_at": time.time()}
    connection.execute(insert(ORIGINALS), row)
