"""A pull that was taken in under the wrong build is moved to the right one; a remark says so."""

from __future__ import annotations

import time

from sqlalchemy import func, insert, select, update

from fairpull.book.names import unknown
from fairpull.book.pulls import row_of
from fairpull.book.sheets import newest_version, sheet_names
from fairpull.book.store import Store
from fairpull.book.tables import PULLS, REMARKS
from fairpull.terms.errors import BookRefused, Fault


def move(store: Store, name: str, build: str, reason: str, by: str = "") -> None:
    """Say that a pull ran with another build. Whether it counts stays as it was.

    Args:
        store: the book's.
        name: the pull's.
        build: name of the right build's sheet; its newest version is meant.
        reason: why; needed.
        by: who says so.

    Raises:
        UnknownName: the book holds no such pull or build.
        BookRefused: no reason, or the book may not be written.
    """
    if not reason.strip():
        seen = "moved to another build without a reason"
        raise BookRefused(Fault("reason-missing", f"pull {name}", seen, "say in a few words why"))
    with store.writing() as connection:
        row = row_of(connection, name)
        version = newest_version(connection, "build", build)
        if not version:
            raise unknown("build", build, sheet_names(connection, "build"), "add its sheet first")
        number = int(connection.execute(select(func.max(REMARKS.c.number))).scalar() or 0) + 1
        told = {
            "number": number,
            "about_kind": "pull",
            "about_name": name,
            "text": f"moved from build {row.build} to {build}: {reason}",
            "by": by,
            "added_at": time.time(),
        }
        connection.execute(insert(REMARKS), told)
        connection.execute(update(PULLS).where(PULLS.c.name == name).values(build=build, build_version=version))
