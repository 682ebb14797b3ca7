"""A watch that runs beside the pages: logs of a folder are taken in and judged in the background, and remembered."""

from __future__ import annotations

import threading
import time
from collections import deque
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING

from fairpull.tasks.bench.door import change_setting, the_book
from fairpull.tasks.bench.watch import QUIET, Arrival, Watch, watch
from fairpull.terms.bench import COUNTS
from fairpull.terms.errors import FairpullError, Fault
from fairpull.terms.looking import Came

if TYPE_CHECKING:
    from fairpull.book import Book

REMEMBERED = 20  # files that a page still tells of
AGAIN = 5.0  # [s] before a book or folder that failed is tried again


class _Stopped(Exception):
    """The watch is to end."""


class Arrivals:
    """A folder under watch by a thread of its own.

    A refused file is remembered with its faults; a book that cannot be written, or a folder that is gone, is told as
    trouble and tried again.
    """

    def __init__(
        self,
        book: Path,
        folder: Path,
        build: str = "",
        against: str = "",
        *,
        quiet: float = QUIET,
        again: float = AGAIN,
    ) -> None:
        """Prepare; nothing is read yet.

        Args:
            book: folder of the book, which may not be there yet.
            folder: where logs appear.
            build: what is on the brake; "" takes what the book says is fitted.
            against: build to judge against; "" takes what the build's sheet names.
            quiet: how long a file must have stood still [s].
            again: how long to wait after a failure [s].

        Raises:
            ReadRefused: no such folder.
        """
        self.folder = folder
        self.build = build
        self.against = against
        self._book = book
        self._again = again
        self._under = Watch(folder, reference=against, quiet=quiet)
        self._lock = threading.Lock()
        self._came: deque[Came] = deque(maxlen=REMEMBERED)
        self._count = 0
        self._trouble: tuple[Fault, ...] = ()
        self._fitted = not build
        self._stop = threading.Event()
        self._thread: threading.Thread | None = None

    def start(self) -> None:
        """Begin to watch. A second call changes nothing."""
        if self._thread is None:
            self._thread = threading.Thread(target=self._run, name="arrivals", daemon=True)
            self._thread.start()

    def stop(self, patience: float = 5.0) -> None:
        """End the watch; a file that is being taken in is finished first.

        Args:
            patience: how long to wait for that [s].
        """
        self._stop.set()
        if self._thread is not None:
            self._thread.join(patience)

    @property
    def running(self) -> bool:
        """Whether the watch is on."""
        return self._thread is not None and self._thread.is_alive() and not self._stop.is_set()

    @property
    def trouble(self) -> tuple[Fault, ...]:
        """Why nothing can be taken in just now; empty where all is well."""
        with self._lock:
            return self._trouble

    @property
    def mark(self) -> str:
        """Changes with every file that came, and with trouble."""
        with self._lock:
            return f"{self._count}{'!' if self._trouble else ''}"

    def recent(self) -> tuple[Came, ...]:
        """Files that came, newest first."""
        with self._lock:
            return tuple(reversed(self._came))

    def _run(self) -> None:
        with suppress(_Stopped):
            while True:
                try:
                    self._watch()
                except FairpullError as error:
                    self._failed(error.faults)
                except OSError as error:
                    where, remedy = str(self.folder), "put the folder back, or start again with another"
                    self._failed((Fault("no-such-folder", where, (error.strerror or "gone").lower(), remedy),))
                except _Stopped:
                    raise
                except Exception as error:  # noqa: BLE001 - a log that no reader foresaw must not end the watch
                    self._stumbled(error)
                self._sleep(self._again)

    def _watch(self) -> None:
        if not self._fitted:
            with the_book(self._book) as kept:
                change_setting(kept, "fitted", self.build)
            self._fitted = True
        for arrival in watch(self._open, self._under, sleep=self._looked):
            self._told(arrival)

    def _open(self) -> Book:
        return the_book(self._book)

    def _looked(self, seconds: float) -> None:
        """A look at the folder went well."""
        with self._lock:
            self._trouble = ()
        self._sleep(seconds)

    def _sleep(self, seconds: float) -> None:
        if self._stop.wait(seconds):
            raise _Stopped

    def _failed(self, faults: tuple[Fault, ...]) -> None:
        with self._lock:
            self._trouble = faults

    def _stumbled(self, error: Exception) -> None:
        """The file that did it is laid aside, and the others go on."""
        for path in self._under.finished(time.monotonic())[:1]:
            self._under.done(path)
            seen = f"it could not be taken in: {type(error).__name__}"
            fault = Fault("watch-stumbled", path.name, seen, "look at the file; export it again, or take it in by hand")
            self._told(Arrival(path, None, None, fault.seen, faults=(fault,)))

    def _told(self, arrival: Arrival) -> None:
        came = came_of(arrival, time.time())
        if arrival.comparison is not None:
            self._make_ready(arrival.comparison.comparison.groups[0].name, arrival.comparison.comparison.groups[1].name)
        with self._lock:
            self._came.append(came)
            self._count += 1

    def _make_ready(self, *pair: str) -> None:
        """The verdict is worked out here, so that no reader waits for it."""
        from fairpull.tasks.bench.seen import compared

        with suppress(FairpullError), the_book(self._book, read_only=True) as kept:
            compared(kept, pair)


def came_of(arrival: Arrival, at: float) -> Came:
    """What a page tells of an arrival.

    Args:
        arrival: as the watch gave it.
        at: when [s since 1970].

    Returns:
        The file's names, faults, and why there is no verdict.
    """
    report = arrival.report
    if report is None:
        return Came(arrival.path.name, at, faults=arrival.faults, why_not=arrival.why_not)
    already = tuple(name for names in report.already.values() for name in names)
    kept = tuple(line.name for line in report.kept)
    aside = tuple(line.name for line in report.kept if line.state != COUNTS)
    why_not = "" if kept and kept == aside else arrival.why_not  # each pull says itself why it is set aside
    return Came(arrival.path.name, at, kept, already, (), report.findings, why_not, arrival.look)
