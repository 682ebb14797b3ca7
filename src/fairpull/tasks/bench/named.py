"""Pulls named on the command line: log files, pulls of the book, or all counted pulls of a build."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from fairpull import logs, pulls
from fairpull.pulls.steps import dense_table
from fairpull.tasks.bench.builds import Shelf
from fairpull.tasks.bench.door import the_book
from fairpull.tasks.bench.judge import STEP, correction_of
from fairpull.tasks.groups import expand
from fairpull.tasks.machines import Machines
from fairpull.tasks.progress import Progress, silent
from fairpull.terms.bench import COUNTS, KeptPull
from fairpull.terms.errors import NotComparable
from fairpull.terms.pull import Curve, Pull

if TYPE_CHECKING:
    from fairpull.book import Book
    from fairpull.terms.engine import Engine
    from fairpull.terms.recording import Recording


@dataclass(frozen=True, slots=True)
class Named:
    """A pull with what is known of it: engine (None without an engine file), factor, build and line in the book."""

    pull: Pull
    engine: Engine | None
    factor: float
    build: str = ""
    line: KeptPull | None = None


def named_pulls(
    names: Sequence[str],
    *,
    engine: str = "",
    book: str = "",
    held: bool = False,
    from_files: bool = True,
    progress: Progress = silent,
) -> tuple[Named, ...]:
    """The pulls that names stand for.

    Args:
        names: log files; folders of them, where no book was named; names of pulls in the book; names of builds, for all
            their counted pulls.
        engine: engine file for log files; "" for none.
        book: folder of the book; "" finds it.
        held: a table of log files that repeats its speeds is taken row by row, each a held point of its own, and not as
            one pull whose rows at one speed are averaged.
        progress: is told of each file.

    Returns:
        The pulls in order, each once.

    Raises:
        FairpullError: what cannot be read or is in no book.
    """
    machines = Machines({"": Path(engine)} if engine else {})
    found: dict[str, Named] = {}
    for number, name in enumerate(names, start=1):
        files = _files(name, folders=not book) if from_files else ()
        for path in files:
            progress(path, number, len(names))
            found |= {f"{path}/{one.pull.name}": one for one in _of_file(path, machines, held)}
        if not files:
            with the_book(book, read_only=True) as kept:
                found |= {one.pull.name: one for one in _of_book(kept, name)}
    return tuple(found.values())


def _files(name: str, *, folders: bool) -> tuple[Path, ...]:
    """The log files that a name stands for; none where it is no place."""
    path = Path(name).expanduser()
    if path.is_file():
        return (path,)
    return expand([str(path)])[0].files if folders and path.is_dir() else ()


def _of_file(path: Path, machines: Machines, held: bool) -> list[Named]:
    machine = machines.of("")
    found: list[Named] = []
    for recording in logs.read(path, machines.for_reading("", logs.ReadOptions())):
        rows = _row_by_row(recording) if held else None
        if rows is not None:
            found.append(Named(rows, machine, correction_of(_bare_curve(rows), machine, "").factor))
            continue
        cut = pulls.find(recording, machines.for_cleaning("", pulls.PullOptions()))
        found += [Named(pull, machine, correction_of(pulls.curve(pull, step=STEP), machine, "").factor) for pull in cut]
    return found


def _row_by_row(recording: Recording) -> Pull | None:
    """Rows of a table that repeats its speeds; None where it is no such table."""
    if recording.kind != "table" or not {"rpm", "torque"} <= set(recording.channels):
        return None
    rpm = recording.channels["rpm"]
    good = np.isfinite(rpm) & np.isfinite(recording.channels["torque"])
    if dense_table(rpm) or np.unique(np.round(rpm[good])).size == int(good.sum()):
        return None
    channels = {name: values[good] for name, values in recording.channels.items()}
    return Pull(
        recording.name,
        recording.origin,
        "steps",
        channels,
        given=recording.given,
        findings=recording.findings,
        choices=recording.choices,
    )


def _bare_curve(pull: Pull) -> Curve:
    """As much of a curve as a correction needs: held points of one speed are no curve."""
    rpm = pull.channels["rpm"]
    try:
        air = pulls.air_of(pull)
    except NotComparable:
        air = None
    torque = pull.channels["torque"]
    return Curve(pull.name, rpm, torque, np.full(rpm.shape, np.nan), {}, (float(rpm.min()), float(rpm.max())), air=air)


def _of_book(kept: Book, name: str) -> list[Named]:
    builds = {sheet.name for sheet in kept.sheets("build")}
    lines = kept.pulls(builds=(name,), states=(COUNTS,), full=True) if name in builds else (kept.pull(name),)
    shelf = Shelf(kept)
    return [
        Named(
            kept.trace(line.name),
            shelf.build(line.build).engine,
            line.summary.get("factor", 1.0),
            line.build,
            line,
        )
        for line in lines
    ]
