"""Back-ups for a download: made in a private temporary place, kept for a while, and found by an id nobody guesses."""

from __future__ import annotations

import atexit
import os
import secrets
import shutil
import tempfile
import threading
import time
from dataclasses import dataclass
from pathlib import Path

from fairpull.terms.errors import BookRefused, Fault

PREFIX = "fairpull-backup-"
MOST = 2  # that are kept at a time; each is as large as its book
DAY = 86400.0  # [s] until one that a program left behind is taken away


@dataclass(frozen=True, slots=True)
class Backup:
    """A back-up that is being made, or was.

    Attributes:
        id: random.
        book: folder of its book.
        file: where it goes; named after the book and the moment.
        begun: when [s since 1970].
    """

    id: str
    book: Path
    file: Path
    begun: float

    @property
    def size(self) -> int | None:
        """Bytes, once it is there; None until then, and where it was cancelled."""
        try:
            return self.file.stat().st_size
        except OSError:
            return None


class Backups:
    """The back-ups of one program. They are taken away when it ends."""

    def __init__(self) -> None:
        """Nothing is made before it is asked for."""
        self._lock = threading.Lock()
        self._known: dict[str, Backup] = {}

    def prepare(self, book: Path, now: float | None = None) -> Backup:
        """Make a private place for a new back-up; the oldest go, and what programs that were killed left behind.

        Args:
            book: folder of the book.
            now: [s since 1970]; None takes the clock.

        Returns:
            Where it is to be written; the file is not there yet.

        Raises:
            BookRefused: no temporary place can be made.
        """
        begun = time.time() if now is None else now
        _sweep(begun)
        with self._lock:
            if not self._known:
                atexit.register(self.close)
            for old in sorted(self._known.values(), key=lambda one: one.begun)[: len(self._known) - MOST + 1]:
                self._drop(old)
            try:
                place = Path(tempfile.mkdtemp(prefix=PREFIX))  # readable by this user alone
            except OSError as error:
                remedy = "see that the folder for temporary files may be written and has room"
                raise BookRefused(Fault("backup-no-place", "back-up", error.strerror or str(error), remedy)) from error
            stamp = time.strftime("%Y-%m-%d-%H%M", time.localtime(begun))
            made = Backup(secrets.token_urlsafe(16), book, place / f"bench-book-{stamp}.tar", begun)
            self._known[made.id] = made
        return made

    def get(self, id: str, book: Path) -> Backup | None:
        """A back-up of a book by its id; None where there is none (any more)."""
        with self._lock:
            found = self._known.get(id)
        return found if found is not None and found.book == book else None

    def close(self) -> None:
        """Take all of them away."""
        with self._lock:
            for one in list(self._known.values()):
                self._drop(one)

    def _drop(self, one: Backup) -> None:
        self._known.pop(one.id, None)
        shutil.rmtree(one.file.parent, ignore_errors=True)


BACKUPS = Backups()


def _sweep(now: float) -> None:
    """Take away what programs of this user left behind more than a day ago."""
    for place in Path(tempfile.gettempdir()).glob(f"{PREFIX}*"):
        try:
            said = place.lstat()
        except OSError:
            continue
        mine = not hasattr(os, "getuid") or said.st_uid == os.getuid()
        if mine and not place.is_symlink() and now - said.st_mtime > DAY:
            shutil.rmtree(place, ignore_errors=True)
