"""Pulls named on the command line: log files, pulls of the book, or all counted pulls of a build."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from fairpull import logs, pulls
from fairpull.tasks.bench.builds import Shelf
from fairpull.tasks.bench.door import the_book
from fairpull.tasks.bench.judge import STEP, correction_of
from fairpull.tasks.machines import Machines
from fairpull.tasks.progress import Progress, silent
from fairpull.terms.bench import COUNTS, KeptPull

if TYPE_CHECKING:
    from fairpull.book import Book
    from fairpull.terms.engine import Engine
    from fairpull.terms.pull import Pull


@dataclass(frozen=True, slots=True)
class Named:
    """A pull with what is known of it: engine (None without an engine file), factor, build and line in the book."""

    pull: Pull
    engine: Engine | None
    factor: float
    build: str = ""
    line: KeptPull | None = None


def named_pulls(
    names: Sequence[str], *, engine: str = "", book: str = "", progress: Progress = silent
) -> tuple[Named, ...]:
    """The pulls that names stand for.

    Args:
        names: log files; names of pulls in the book; names of builds, for all their counted pulls.
        engine: engine file for log files; "" for none.
        book: folder of the book; "" finds it.
        progress: is told of each file.

    Returns:
        The pulls in order, each once.

    Raises:
        FairpullError: what cannot be read or is in no book.
    """
    machines = Machines({"": Path(engine)} if engine else {})
    found: dict[str, Named] = {}
    for number, name in enumerate(names, start=1):
        path = Path(name).expanduser()
        if path.is_file():
            progress(path, number, len(names))
            found |= {f"{path}/{one.pull.name}": one for one in _of_file(path, machines)}
        else:
            with the_book(book, read_only=True) as kept:
                found |= {one.pull.name: one for one in _of_book(kept, name)}
    return tuple(found.values())


def _of_file(path: Path, machines: Machines) -> list[Named]:
    machine = machines.of("")
    return [
        Named(pull, machine, correction_of(pulls.curve(pull, step=STEP), machine, "").factor)
        for recording in logs.read(path, machines.for_reading("", logs.ReadOptions()))
        for pull in pulls.find(recording, machines.for_cleaning("", pulls.PullOptions()))
    ]


def _of_book(kept: Book, name: str) -> list[Named]:
    builds = {sheet.name for sheet in kept.sheets("build")}
    lines = kept.pulls(builds=(name,), states=(COUNTS,)) if name in builds else (kept.pull(name),)
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
