"""Files that were handed in and are not kept yet: each stay in a private folder, found by an id nobody guesses."""

from __future__ import annotations

import atexit
import os
import re
import secrets
import shutil
import tempfile
import threading
import time
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO

from fairpull.tasks.bench.stay_files import Handed, Stay, StayState, write_state
from fairpull.terms.errors import Fault, ReadRefused
from fairpull.terms.offered import Typed

PREFIX = "fairpull-take-"
MOST_STAYS = 12
DAY = 86400.0  # [s] until one that a program left behind is taken away
MOST_FILES = 50
LARGEST = 200_000_000
LARGEST_ALL = 250_000_000
LONGEST_NAME = 80
BLOCK = 1 << 20
_OTHER = re.compile(r"[^A-Za-z0-9_.-]+")


@dataclass(frozen=True, slots=True)
class Upload:
    """One file on its way in: what the person calls it, and its bytes."""

    called: str
    content: BinaryIO


class Stays:
    """The stays of one program. They are taken away when it ends."""

    def __init__(self) -> None:
        """Nothing is made before it is asked for."""
        self._lock = threading.Lock()
        self._known: dict[str, Stay] = {}

    def hand_in(self, book: Path, uploads: Sequence[Upload], build: str = "", session: str = "") -> Stay:
        """Lay files into a new private folder; the oldest stay goes where there are too many.

        Args:
            book: folder of the book.
            uploads: the files.
            build, session: names for all of them; "" for what the book says.

        Returns:
            The stay.

        Raises:
            ReadRefused: no file, too many, or too large ones, all faults at once; or the disk refuses.
        """
        if not uploads:
            raise ReadRefused(Fault("nothing-to-take", "files", "no file was chosen", "choose one or more log files"))
        if len(uploads) > MOST_FILES:
            seen, remedy = f"{len(uploads)} files", f"take in at most {MOST_FILES} at once"
            raise ReadRefused(Fault("too-many-files", "files", seen, remedy))
        _sweep(time.time())
        try:
            stay = Stay(secrets.token_urlsafe(16), Path(tempfile.mkdtemp(prefix=PREFIX)), book.absolute())
        except OSError as error:
            remedy = "see that the folder for temporary files may be written and has room"
            raise ReadRefused(Fault("take-no-place", "files", error.strerror or str(error), remedy)) from error
        try:
            write_state(stay, StayState(Typed(build, session), _laid(stay, uploads)))
        except BaseException:
            shutil.rmtree(stay.folder, ignore_errors=True)
            raise
        self._remember(stay)
        return stay

    def get(self, id: str, book: Path) -> Stay | None:
        """A stay at a book by its id; None where there is none (any more)."""
        with self._lock:
            found = self._known.get(id)
        return found if found is not None and found.book == book.absolute() and found.folder.is_dir() else None

    def leave(self, stay: Stay) -> None:
        """Take a stay away; nothing of it is kept."""
        with self._lock:
            self._drop(stay)

    def close(self) -> None:
        """Take all of them away."""
        with self._lock:
            for one in list(self._known.values()):
                self._drop(one)

    def _remember(self, stay: Stay) -> None:
        with self._lock:
            if not self._known:
                atexit.register(self.close)
            for old in list(self._known.values())[: len(self._known) - MOST_STAYS + 1]:
                self._drop(old)
            self._known[stay.id] = stay

    def _drop(self, stay: Stay) -> None:
        self._known.pop(stay.id, None)
        shutil.rmtree(stay.folder, ignore_errors=True)


STAYS = Stays()


def _laid(stay: Stay, uploads: Sequence[Upload]) -> tuple[Handed, ...]:
    """The files, copied under names of our own making."""
    stay.files.mkdir(mode=0o700)
    faults: list[Fault] = []
    handed: list[Handed] = []
    room = LARGEST_ALL
    for upload in uploads:
        name = own_name(upload.called, [one.name for one in handed])
        try:
            size = _copy(upload.content, stay.files / name, min(LARGEST, room))
        except OSError as error:
            remedy = "see that the disk for temporary files has room, and do it again"
            raise ReadRefused(Fault("take-no-place", name, error.strerror or str(error), remedy)) from error
        if size is None:
            seen = f"over {min(LARGEST, room) // 1_000_000} MB" + (" with those before it" if room < LARGEST else "")
            remedy = "take in fewer at once; a large log is taken in with fairpull take"
            faults.append(Fault("file-too-large", name, seen, remedy))
            continue
        room -= size
        handed.append(Handed(name, _shown(upload.called) or name, size))
    if faults:
        raise ReadRefused(faults)
    return tuple(handed)


def _copy(content: BinaryIO, target: Path, most: int) -> int | None:
    """Copy up to so many bytes; how many there were, None where there are more (then nothing stays)."""
    size = 0
    with target.open("xb") as copy:
        while block := content.read(BLOCK):
            size += len(block)
            if size > most:
                break
            copy.write(block)
    if size <= most:
        return size
    target.unlink()
    return None


def own_name(called: str, taken: Sequence[str]) -> str:
    """A file name of our own making for a file from outside: no folder, plain letters, never hidden, never twice.

    Args:
        called: what the person calls it, anything.
        taken: names that are given already.

    Returns:
        The name.
    """
    bare = re.split(r"[\\/]", called[-1000:])[-1]
    plain = unicodedata.normalize("NFKD", bare).encode("ascii", "ignore").decode()
    stem, _, ending = _OTHER.sub("-", plain).strip("-. ").rpartition(".")
    if not stem:
        stem, ending = ending, ""
    stem = stem.strip("-. ")[:LONGEST_NAME].rstrip("-. ") or "log"
    tail = f".{ending[:12]}" if ending else ""
    known = {name.lower() for name in taken}
    name, number = f"{stem}{tail}", 2
    while name.lower() in known:
        name, number = f"{stem}-{number}{tail}", number + 1
    return name


def _shown(called: str) -> str:
    """The person's name for a file, without folders, for the eye alone."""
    bare = re.split(r"[\\/]", called)[-1].encode("utf-8", "replace").decode()
    return "".join(one for one in bare if one.isprintable())[:200]


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
