"""Watching a folder: a log that has finished growing is taken in and judged before the engine has cooled."""

from __future__ import annotations

import time
from collections.abc import Callable, Collection, Iterable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

from fairpull.tasks.bench.compare_builds import compare_builds
from fairpull.tasks.bench.take import TakeOptions, TakeReport, take_files
from fairpull.tasks.groups import NOT_LOGS
from fairpull.tasks.request import CompareRequest
from fairpull.terms.bench import COUNTS
from fairpull.terms.errors import BookRefused, FairpullError, Fault, NotComparable, ReadRefused

if TYPE_CHECKING:
    from fairpull.book import Book
    from fairpull.terms.ledger import FairComparison

EVERY = 0.5  # [s] between two looks at the folder
QUIET = (
    3.0  # [s] a file must have stood still before it is taken for finished: loggers write by buffers of a second or two
)


@dataclass(frozen=True, slots=True)
class Arrival:
    """One file that came: what was taken in, the verdict on its build, or why it was refused.

    path: the file; report: None where it was refused; comparison: None where there is nothing to compare with yet;
    why_not: why there is no report or no comparison, "" where there are both; look: number of this look at the build.
    faults: why it was refused, empty where it was not.
    """

    path: Path
    report: TakeReport | None
    comparison: FairComparison | None
    why_not: str = ""
    look: int = 0
    faults: tuple[Fault, ...] = ()


@dataclass(slots=True)
class Watch:
    """A folder under watch.

    Attributes:
        folder: where logs appear.
        build: what the engine ran with; "" asks the book each time, so that it can be switched meanwhile.
        reference: what to judge against; "" takes what the build's sheet names.
        options: of taking in.
        quiet: how long a file must have stood still [s].
        seen: files done with, path -> (size, time of change).
    """

    folder: Path
    build: str = ""
    reference: str = ""
    options: TakeOptions = field(default_factory=TakeOptions)
    quiet: float = QUIET
    seen: dict[Path, tuple[int, int]] = field(default_factory=dict)
    _growing: dict[Path, tuple[int, int, float]] = field(default_factory=dict)
    _looked: set[str] = field(default_factory=set)

    def __post_init__(self) -> None:
        """Refuse a folder that is not there."""
        if not self.folder.is_dir():
            remedy = "name the folder that the logger writes into"
            raise ReadRefused(Fault("no-such-folder", str(self.folder), "no folder there", remedy))

    def finished(self, now: float) -> list[Path]:
        """Logs that have stood still long enough and were not taken yet, oldest first.

        Args:
            now: a clock that only rises [s].

        Returns:
            Files to take in.
        """
        ready: list[tuple[int, Path]] = []
        present = _logs(self.folder)
        for path, state in present.items():
            if self.seen.get(path) == state:
                continue
            before = self._growing.get(path)
            if before is None or before[:2] != state:
                self._growing[path] = (*state, now)
            elif now - before[2] >= self.quiet and state[0] > 0:
                ready.append((state[1], path))
        for path in set(self._growing) - set(present):
            del self._growing[path]
        return [path for _, path in sorted(ready)]

    def done(self, path: Path) -> None:
        """Not to be looked at again, unless it changes."""
        state = self._growing.pop(path, None)
        if state is not None:
            self.seen[path] = state[:2]

    def look_at(self, names: Iterable[str]) -> None:
        """Remember the pulls that a verdict was shown for."""
        self._looked.update(names)

    def looked_at(self, names: Iterable[str]) -> tuple[str, ...]:
        """Those of these pulls that a verdict was shown for."""
        return tuple(name for name in names if name in self._looked)


def _logs(folder: Path) -> dict[Path, tuple[int, int]]:
    """Log files of the folder with their size and time of change."""
    found = {}
    for path in folder.iterdir():
        if path.name.startswith(".") or path.suffix.lower() in NOT_LOGS:
            continue
        try:
            state = path.stat()
        except OSError:
            continue  # it went away between the listing and the look
        if path.is_file():
            found[path] = (state.st_size, state.st_mtime_ns)
    return found


def watch(
    open_book: Callable[[], Book],
    under: Watch,
    *,
    sleep: Callable[[float], None] = time.sleep,
    clock: Callable[[], float] = time.monotonic,
) -> Iterator[Arrival]:
    """Wait for logs, take each in, judge its build; until the caller stops.

    Args:
        open_book: opens the book; it is open only while a file is taken in, so that nobody is kept waiting.
        under: the folder.
        sleep, clock: the machine's, or a test's.

    Yields:
        One arrival a file.
    """
    while True:
        for path in under.finished(clock()):
            with open_book() as kept:
                arrival = arrive(kept, path, under)
            under.done(path)
            yield arrival
        sleep(EVERY)


def arrive(kept: Book, path: Path, under: Watch) -> Arrival:
    """Take one file in and judge its build.

    Args:
        kept: the book.
        path: the file.
        under: build and options.

    Returns:
        What came of it; a refusal is told, not raised, for the watch goes on.

    Raises:
        BookRefused: the book itself cannot be written; then there is no use in going on.
    """
    try:
        report = take_files(kept, [path], under.build, under.options)
    except BookRefused:
        raise
    except FairpullError as error:
        told = "; ".join(fault.line() for fault in error.faults)
        return Arrival(path, None, None, told, faults=error.faults)
    arrival = judge_arrival(kept, path, report, under.reference, looked=under.looked_at(report.pieces))
    if arrival.look:
        under.look_at(line.name for line in report.kept)
    return arrival


def judge_arrival(
    kept: Book, path: Path, report: TakeReport, against: str = "", *, looked: Collection[str] = ()
) -> Arrival:
    """The verdict on the build that a file just added to.

    Args:
        kept: the book.
        path: the file.
        report: what taking it in did.
        against: build to judge against; "" takes what the build's sheet names.
        looked: unfinished pieces of this file that a verdict was shown for. That look was at less of the same pull, and
            its piece has left the evidence: this one takes its place, and none is counted.

    Returns:
        What came of it, with the number of the look.
    """
    if not any(line.state == COUNTS for line in report.kept):
        return Arrival(path, report, None, _nothing_new(kept, report))
    try:
        reference = reference_of(kept, report.build, against)
        before = kept.looks(reference, report.build)
        look = before if looked and before else before + 1
        made = compare_builds(kept, [reference, report.build], CompareRequest(look=look))
        if look > before:
            kept.look(reference, report.build)  # only a verdict that can be shown is a look
        return Arrival(path, report, made, look=look)
    except FairpullError as error:
        return Arrival(path, report, None, "; ".join(fault.seen for fault in error.faults))


def _nothing_new(kept: Book, report: TakeReport) -> str:
    """Why a file adds nothing to the verdict."""
    before = [kept.pull(name) for names in report.already.values() for name in names]
    if report.kept or not before:
        return "no pull of this file counts, so the verdict stands as it was"
    told = ", ".join(f"{line.name} ({line.build}, {line.state})" for line in before)
    return f"kept before as {told}, so the verdict stands as it was"


def reference_of(kept: Book, build: str, named: str = "") -> str:
    """The build that another is judged against.

    Args:
        kept: the book.
        build: its name.
        named: by option; "" takes what the build's sheet names.

    Returns:
        Name of the reference.

    Raises:
        NotComparable: no reference, or one of the two has no counted pull.
    """
    from fairpull.tasks.bench.builds import Shelf

    reference = named or Shelf(kept).build(build).reference
    if not reference:
        seen = f"build {build} names no reference, so there is nothing to compare it with"
        remedy = 'write reference = "NAME" in its sheet'
        raise NotComparable(Fault("no-reference", build, seen, remedy))
    missing = [name for name in (reference, build) if not kept.pulls(builds=(name,), states=(COUNTS,))]
    if missing or reference == build:
        seen = f"no counted pull of {', '.join(missing)} yet" if missing else f"{build} is the reference itself"
        raise NotComparable(Fault("no-counted-pull", build, seen, "take one in"))
    return reference
