"""Taking pulls in: all of them or none, each once."""

from __future__ import annotations

import math
import re
import time
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from sqlalchemy import Connection, func, insert, select

from fairpull.book import records
from fairpull.book.folder import trace_place
from fairpull.book.json_text import dumps
from fairpull.book.marks import state_faults
from fairpull.book.names import name_faults, unknown
from fairpull.book.originals import keep_original
from fairpull.book.sheets import newest_version, sheet_names
from fairpull.book.store import Store
from fairpull.book.tables import FIGURES, MARKS, ORIGINALS, PULLS
from fairpull.book.traces import single_file, trace_bytes, trace_hash
from fairpull.terms.bench import NewPull, Taken
from fairpull.terms.errors import BookRefused, Fault
from fairpull.terms.version import VERSION


@dataclass(frozen=True, slots=True)
class Coming:
    """A pull that is ready to be taken in: checked, hashed, its papers written."""

    new: NewPull
    piece: int
    trace: str
    summary: str
    papers: str

    @property
    def key(self) -> tuple[str, int]:
        """Content hash of the file, and which pull of it."""
        return self.new.pull.origin.sha256, self.piece


def take(store: Store, pulls: Sequence[NewPull], files: Mapping[str, Path]) -> Taken:
    """Take pulls in: all of them, or none where anything fails.

    A pull is known by the content hash of its file and by which pull of that file it is (its place among those of the
    same file in ``pulls``): one that the book holds already is not taken twice. Names are made unique: "anvil",
    "anvil#2". Summary figures and channel figures that are not finite numbers are left out.

    Args:
        store: the book's.
        pulls: judged pulls, in order; all pulls of a file come in one call, in the file's order.
        files: content hash -> the file, for every file that the pulls come from.

    Returns:
        What was kept, and what was there already.

    Raises:
        BookRefused: pulls that cannot be kept, all faults at once; no file for a pull; a file that changed; a full
            disk; a book that may not be written.
        UnknownName: a build or a session without a sheet.
    """
    coming = prepared(pulls)
    if not coming:
        return Taken((), {})
    with store.placing() as (connection, staged):
        versions = sheet_versions(connection, pulls)
        known = _known(connection, {one.key[0] for one in coming})
        new, already = _sorted_out(coming, known)
        _require_originals(connection, new, files)
        for sha256 in dict.fromkeys(one.key[0] for one in coming if one.key[0] in files):
            keep_original(connection, staged, sha256, Path(files[sha256]))
        rows = _rows(connection, new, versions)
        for one, row in zip(new, rows, strict=True):
            staged.add_bytes(trace_place(row["trace_file"]), trace_bytes(one.new.pull.channels))
        staged.place()
        _insert(connection, new, rows)
    names = {one.key: row["name"] for one, row in zip(new, rows, strict=True)}
    return Taken(tuple(names.values()), _already(already, {**known, **names}))


def prepared(pulls: Sequence[NewPull]) -> list[Coming]:
    """Checked and hashed, before anybody has to wait for the lock; a pull given twice in the same call stands once."""
    faults: list[Fault] = []
    coming: list[Coming] = []
    pieces: Counter[tuple[str, str]] = Counter()
    seen: set[tuple[str, str, int, str, str]] = set()
    for new in pulls:
        wrong = _faults(new)
        faults += wrong
        if wrong:
            continue
        origin = new.pull.origin
        trace = trace_hash(new.pull.channels)
        identity = (origin.sha256, origin.path, new.pull.first_row, new.pull.name, trace)
        if identity in seen:
            continue
        seen.add(identity)
        file = (origin.sha256, origin.path)
        where = f"pull {new.pull.name}"
        finite = {name: float(value) for name, value in new.summary.items() if math.isfinite(value)}
        papers = dumps(_papers(new), where=where, finite=False)
        coming.append(Coming(new, pieces[file], trace, dumps(finite, where=where), papers))
        pieces[file] += 1
    if faults:
        raise BookRefused(faults)
    return coming


def _faults(new: NewPull) -> list[Fault]:
    where = f"pull {new.pull.name}"
    faults = [*name_faults(new.pull.name, where), *state_faults(where, new.state, new.reason)]
    rpm = np.asarray(new.pull.channels.get("rpm", ()), dtype=np.float64)
    sizes = {np.shape(values) for values in new.pull.channels.values()}
    if sizes != {(rpm.size,)} or not np.isfinite(rpm).any():
        remedy = "a pull has the channel rpm with at least one number, and channels of the same number of rows"
        faults.append(Fault("unfit-trace", where, f"channels of the shapes {sorted(sizes)}", remedy))
    if not re.fullmatch(r"[0-9a-f]{64}", new.pull.origin.sha256):
        faults.append(Fault("unfit-hash", where, new.pull.origin.sha256 or "none", "give the SHA-256 of its file"))
    both = sorted(set(new.summary) & set(new.figures))
    if both:
        faults.append(Fault("figure-twice", where, ", ".join(both), "name summary figures unlike channels"))
    return faults


def _papers(new: NewPull) -> dict[str, Any]:
    pull = new.pull
    return {
        "origin": records.from_origin(pull.origin),
        "given": records.from_conditions(pull.given),
        "findings": records.from_findings(pull.findings),
        "choices": dict(pull.choices),
        "reading": dict(new.reading),
        "health": records.from_health(new.health),
        "channels": list(pull.channels),
        "first_row": int(pull.first_row),
        "last_row": int(pull.last_row),
    }


def sheet_versions(connection: Connection, pulls: Sequence[NewPull]) -> dict[str, int]:
    """Newest version of each build's sheet; a build or session without one is refused."""
    for session in sorted({new.session for new in pulls if new.session}):
        if not newest_version(connection, "session", session):
            raise unknown("session", session, sheet_names(connection, "session"), "keep the session's sheet first")
    versions = {build: newest_version(connection, "build", build) for build in sorted({new.build for new in pulls})}
    for build, version in versions.items():
        if not version:
            raise unknown("build", build, sheet_names(connection, "build"), "keep the build's sheet first")
    return versions


def _known(connection: Connection, hashes: set[str]) -> dict[tuple[str, int], str]:
    """(original, piece) -> name of the pulls that these files gave before."""
    known: dict[tuple[str, int], str] = {}
    for sha256 in sorted(hashes):
        query = select(PULLS.c.piece, PULLS.c.name).where(PULLS.c.original == sha256)
        known.update({(sha256, row.piece): row.name for row in connection.execute(query)})
    return known


def _sorted_out(coming: Sequence[Coming], known: Mapping[tuple[str, int], str]) -> tuple[list[Coming], list[Coming]]:
    new: dict[tuple[str, int], Coming] = {}
    already = []
    for one in coming:
        if one.key in known or one.key in new:
            already.append(one)
        else:
            new[one.key] = one
    return list(new.values()), already


def _already(already: Sequence[Coming], names: Mapping[tuple[str, int], str]) -> dict[str, tuple[str, ...]]:
    found: dict[str, tuple[str, ...]] = {}
    for one in already:
        file = Path(one.new.pull.origin.path).name
        found[file] = (*found.get(file, ()), names[one.key])
    return found


def _require_originals(connection: Connection, new: Sequence[Coming], files: Mapping[str, Path]) -> None:
    hashes = dict.fromkeys(one.key[0] for one in new)
    query = select(ORIGINALS.c.sha256)
    missing = [
        sha256
        for sha256 in hashes
        if sha256 not in files and connection.execute(query.where(ORIGINALS.c.sha256 == sha256)).first() is None
    ]
    if missing:
        remedy = "hand over the file that the pull was read from"
        raise BookRefused(
            [Fault("no-original", f"original {one}", "no file with these bytes", remedy) for one in missing]
        )


def _rows(connection: Connection, new: Sequence[Coming], versions: Mapping[str, int]) -> list[dict[str, Any]]:
    number = int(connection.execute(select(func.max(PULLS.c.number))).scalar() or 0)
    now = time.time()
    given: set[str] = set()
    rows = []
    for number, one in enumerate(new, number + 1):  # noqa: B020
        pull = one.new.pull
        rpm = np.asarray(pull.channels["rpm"], dtype=np.float64)
        rows.append(
            {
                "number": number,
                "name": _free_name(connection, pull.name, given),
                "original": one.key[0],
                "piece": one.piece,
                "build": one.new.build,
                "build_version": versions[one.new.build],
                "session": one.new.session,
                "state": one.new.state,
                "reason": one.new.reason,
                "valid_to": pull.valid_to,
                "started_at": pull.started_at,
                "kind": pull.kind,
                "sweep_rate": float(pull.sweep_rate),
                "tested_low": float(np.nanmin(rpm)),
                "tested_high": float(np.nanmax(rpm)),
                "trace": one.trace,
                "trace_file": single_file(number),
                "summary": one.summary,
                "papers": one.papers,
                "taken_at": now,
                "version": VERSION,
            }
        )
    return rows


def _free_name(connection: Connection, name: str, given: set[str]) -> str:
    """The name itself, or with a number behind it that nobody has.

    A few indexed looks find the number, however many pulls bear the name already: the step doubles until a number is
    free, then the gap is halved.
    """
    found = re.fullmatch(r"(.+)#([1-9]\d{0,8})", name)
    stem, used = (found[1], int(found[2])) if found else (name, 1)

    def is_used(candidate: str) -> bool:
        query = select(PULLS.c.number).where(PULLS.c.name == candidate)
        return candidate in given or connection.execute(query).first() is not None

    free = name
    if is_used(name):
        step = 1
        while is_used(f"{stem}#{used + step}"):
            used, step = used + step, step * 2
        above = used + step
        while above - used > 1:
            middle = (used + above) // 2
            used, above = (middle, above) if is_used(f"{stem}#{middle}") else (used, middle)
        free = f"{stem}#{above}"
    given.add(free)
    return free


def _insert(connection: Connection, new: Sequence[Coming], rows: Sequence[Mapping[str, Any]]) -> None:
    if not rows:
        return
    connection.execute(insert(PULLS), list(rows))
    mark = int(connection.execute(select(func.max(MARKS.c.number))).scalar() or 0)
    judged = ("state", "reason", "valid_to")
    marks = [
        {"number": at, "pull": row["name"], **{key: row[key] for key in judged}, "by": "", "at": row["taken_at"]}
        for at, row in enumerate(rows, mark + 1)
    ]
    connection.execute(insert(MARKS), marks)
    figures = [
        {"pull": row["number"], "name": name, "least": least, "mean": mean, "most": most}
        for one, row in zip(new, rows, strict=True)
        for name, (least, mean, most) in figure_rows(one.new).items()
        if all(map(math.isfinite, (least, mean, most)))
    ]
    if figures:
        connection.execute(insert(FIGURES), figures)


def figure_rows(new: NewPull) -> dict[str, tuple[float, float, float]]:
    """Least, mean and most of every channel; a summary figure is all three of its own."""
    channels = {name: (float(one.least), float(one.mean), float(one.most)) for name, one in new.figures.items()}
    return {**channels, **{name: (float(value),) * 3 for name, value in new.summary.items()}}
