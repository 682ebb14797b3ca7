"""What decides a comparison of builds, as a short key: a mark, a new pull or an edited sheet gives another key."""

from __future__ import annotations

import time
from collections.abc import Callable, Sequence
from contextlib import suppress
from dataclasses import replace
from hashlib import sha256
from threading import Lock
from typing import TYPE_CHECKING

from fairpull.book.folder import CATALOGUE
from fairpull.tasks.bench.compare_builds import compare_builds
from fairpull.tasks.bench.memory import Memory
from fairpull.tasks.request import CompareRequest
from fairpull.terms.bench import COUNTS
from fairpull.terms.version import VERSION

if TYPE_CHECKING:
    from fairpull.book import Book
    from fairpull.terms.ledger import FairComparison

MOST_KEPT = 48
"""Comparisons that stay in memory; each holds its curves, well under a megabyte for a day's work."""

KINDS = ("engine", "part", "build", "question", "session")
MOST_KEYS = 512
QUIET = 200_000_000
"""How long a catalogue must have lain still before its time of writing is trusted [ns]."""
Written = tuple[tuple[int, int], ...]

_KEYS: dict[str, tuple[Written, str]] = {}
_LOCK = Lock()
_PLAIN: Memory[FairComparison] = Memory(MOST_KEPT)


def evidence(kept: Book, names: Sequence[str], request: CompareRequest) -> str:
    """A key of everything in the book that decides a comparison of these builds.

    Args:
        kept: the book.
        names: of the builds, reference first.
        request: as asked, with its looks.

    Returns:
        Another key as soon as a counted pull, its judgement, a sheet behind it, a look or a setting is another.

    Raises:
        UnknownName: no such build.
    """
    return quick(kept, f"{tuple(names)} {_plain(request)}", lambda: _evidence(kept, names, request))


def _evidence(kept: Book, names: Sequence[str], request: CompareRequest) -> str:
    lines = kept.pulls(builds=tuple(names), full=True)
    looks = tuple(kept.looks(names[0], name) for name in names[1:])
    said = [
        (
            *(line.number, line.name, line.trace, line.build, line.build_version, line.session, line.state),
            *(line.valid_to, line.started_at, sorted(line.summary.items()), line.findings),
            sorted(line.choices.items()),
        )
        for line in lines
    ]
    return _hashed(VERSION, kept.folder, tuple(names), _plain(request), looks, kept.settings(), said, _sheets(kept))


def wide_evidence(kept: Book) -> str:
    """A key of every build, engine, part and question of the book, and of all pulls that count.

    Args:
        kept: the book.

    Returns:
        Another key as soon as any of them is another.
    """
    return quick(kept, "everything", lambda: _wide(kept))


def _wide(kept: Book) -> str:
    lines = kept.pulls(states=(COUNTS,))
    said = [(one.name, one.trace, one.build, one.valid_to, sorted(one.summary.items())) for one in lines]
    return _hashed(VERSION, kept.folder, kept.settings(), _sheets(kept), said)


def compared_once(kept: Book, names: Sequence[str], request: CompareRequest | None = None) -> FairComparison:
    """``compare_builds``, computed once for the same evidence.

    Args:
        kept: the book.
        names: of at least two builds, reference first.
        request: everything else.

    Returns:
        The comparison with ledgers and fair views; shared, so nobody may change it.

    Raises:
        FairpullError: as ``compare_builds``.
    """
    asked = request or CompareRequest()

    def key() -> str:
        return evidence(kept, names, asked)

    before = key()
    return _PLAIN.get(before, lambda: compare_builds(kept, names, asked), still=lambda: key() == before)


def _sheets(kept: Book) -> list[tuple[str, str, int]]:
    """Every sheet that may stand behind a comparison, with its version: a book has few, and one look is quick."""
    return [(kind, one.name, one.version) for kind in KINDS for one in kept.sheets(kind)]


def quick(kept: Book, what: str, make: Callable[[], str]) -> str:
    """A key that was worked out before, as long as nothing at all was written into the book since.

    Only a book in a file can tell: its catalogue and the log beside it are then as they were, to the nanosecond. A file
    that was written a moment ago is not trusted, since a second writing in the same tick would not show.

    Args:
        kept: the book.
        what: what the key is about.
        make: works it out.

    Returns:
        The key.
    """
    before = _written(kept)
    place = f"{kept.folder} {what}"
    with _LOCK:
        known = _KEYS.get(place)
    if known is not None and before is not None and known[0] == before:
        return known[1]
    key = make()
    if before is not None and before == _written(kept) and time.time_ns() - max(at for at, _ in before) > QUIET:
        with _LOCK:
            _KEYS[place] = (before, key)
            while len(_KEYS) > MOST_KEYS:
                _KEYS.pop(next(iter(_KEYS)))
    return key


def _written(kept: Book) -> Written | None:
    """When the catalogue's files were written, and their sizes; None for a database that is no file."""
    if kept.store.database:
        return None
    found = []
    for name in (CATALOGUE, f"{CATALOGUE}-wal"):
        with suppress(FileNotFoundError):
            about = (kept.folder / name).stat()
            found.append((about.st_mtime_ns, about.st_size))
    return tuple(found) or None


def _plain(request: CompareRequest) -> CompareRequest:
    return replace(request, leave_out=dict(request.leave_out), valid_to=dict(request.valid_to))


def _hashed(*said: object) -> str:
    return sha256(repr(said).encode("utf-8", "surrogatepass")).hexdigest()
