"""A kept original that is read again another way: its pull gets a new trace, new figures and papers; its bytes stay."""

from __future__ import annotations

import math
import time
from typing import Any

import numpy as np
from sqlalchemy import Connection, Row, delete, func, insert, select, update

from fairpull.book.folder import trace_place
from fairpull.book.json_text import loads
from fairpull.book.pulls import row_of
from fairpull.book.store import Store
from fairpull.book.tables import FIGURES, MARKS, PULLS, REMARKS
from fairpull.book.take import Coming, figure_rows, prepared, sheet_versions  # one way of writing a pull, not two
from fairpull.book.traces import single_file, trace_bytes
from fairpull.terms.bench import NewPull
from fairpull.terms.errors import BookRefused, Fault
from fairpull.terms.version import VERSION

JUDGED = ("state", "reason", "valid_to")


def retake(store: Store, name: str, new: NewPull, reason: str, by: str = "") -> None:
    """Put a pull that was read again in the place of what was kept, in one transaction.

    Number, name, original, build and the time of taking in stay. The judgement until now stays in the pull's history,
    and a remark tells the reason and the content hash of the trace until now, which the original gives again when it is
    read the old way.

    Args:
        store: the book's.
        name: the pull's.
        new: the same piece of the same original, read and judged anew.
        reason: why, and what changed; needed.
        by: who says so.

    Raises:
        UnknownName: the book holds no such pull, or no such session.
        BookRefused: no reason; another file, another piece of it or another build; a pull that cannot be kept; a full
            disk; a book that may not be written.
    """
    if not reason.strip():
        seen = "read again without a reason"
        raise BookRefused(Fault("reason-missing", f"pull {name}", seen, "say in a few words why"))
    (coming,) = prepared([new])
    with store.placing() as (connection, staged):
        row = row_of(connection, name)
        _require_same(row, new)
        sheet_versions(connection, [new])
        file = row.trace_file
        if coming.trace != row.trace:
            file = _free_file(connection, row)
            staged.add_bytes(trace_place(file), trace_bytes(new.pull.channels))
            staged.leave(trace_place(row.trace_file))
        staged.place()
        _write(connection, row, coming, file)
        _remark(connection, name, f"read again: {reason} (trace before: {row.trace[:12]})", by)
        judged = {key: getattr(row, key) for key in JUDGED}
        now = {"state": new.state, "reason": new.reason, "valid_to": new.pull.valid_to}
        if now != judged:
            number = _next(connection, MARKS.c.number)
            connection.execute(insert(MARKS), {"number": number, "pull": name, **now, "by": by, "at": time.time()})


def _require_same(row: Row[Any], new: NewPull) -> None:
    """Refuse what is not the same piece of the same original under the same build."""
    papers, where = loads(row.papers), f"pull {row.name}"
    faults = []
    if new.pull.origin.sha256 != row.original:
        seen = f"read from a file of other bytes ({new.pull.origin.sha256[:12]})"
        faults.append(Fault("not-the-original", where, seen, "read its kept original, or take the file in"))
    elif new.pull.last_row < papers["first_row"] or new.pull.first_row > papers["last_row"]:
        seen = f"rows {new.pull.first_row} to {new.pull.last_row}, kept are {papers['first_row']} to "
        remedy = "read it so that the same pulls are found in it"
        faults.append(Fault("not-the-piece", where, f"{seen}{papers['last_row']}", remedy))
    if new.build != row.build:
        seen = f"build {new.build}, kept under {row.build}"
        faults.append(Fault("not-the-build", where, seen, "move it first: fairpull move PULL BUILD --reason WHY"))
    if faults:
        raise BookRefused(faults)


def _free_file(connection: Connection, row: Row[Any]) -> str:
    """A trace file of its own that no row names: readers of the old one are not disturbed."""
    stem, count = single_file(row.number).removesuffix(".parquet"), 2
    while True:
        file = f"{stem}-{count}.parquet"
        if connection.execute(select(PULLS.c.number).where(PULLS.c.trace_file == file)).first() is None:
            return file
        count += 1


def _write(connection: Connection, row: Row[Any], coming: Coming, file: str) -> None:
    """The pull's row and figures anew."""
    new, pull = coming.new, coming.new.pull
    rpm = np.asarray(pull.channels["rpm"], dtype=np.float64)
    values = {
        "session": new.session,
        "state": new.state,
        "reason": new.reason,
        "valid_to": pull.valid_to,
        "started_at": pull.started_at,
        "kind": pull.kind,
        "sweep_rate": float(pull.sweep_rate),
        "tested_low": float(np.nanmin(rpm)),
        "tested_high": float(np.nanmax(rpm)),
        "trace": coming.trace,
        "trace_file": file,
        "summary": coming.summary,
        "papers": coming.papers,
        "version": VERSION,
    }
    connection.execute(update(PULLS).where(PULLS.c.number == row.number).values(**values))
    connection.execute(delete(FIGURES).where(FIGURES.c.pull == row.number))
    figures = [
        {"pull": row.number, "name": name, "least": least, "mean": mean, "most": most}
        for name, (least, mean, most) in figure_rows(new).items()
        if all(map(math.isfinite, (least, mean, most)))
    ]
    if figures:
        connection.execute(insert(FIGURES), figures)


def _remark(connection: Connection, name: str, text: str, by: str) -> None:
    told = {"about_kind": "pull", "about_name": name, "text": text, "by": by, "added_at": time.time()}
    connection.execute(insert(REMARKS), {"number": _next(connection, REMARKS.c.number), **told})


def _next(connection: Connection, column: Any) -> int:
    return int(connection.execute(select(func.max(column))).scalar() or 0) + 1
