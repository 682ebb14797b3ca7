"""Health of pulls named on the command line."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from fairpull import health
from fairpull.tasks.bench.door import the_book
from fairpull.tasks.bench.judge import Reference
from fairpull.tasks.bench.named import Named, named_pulls
from fairpull.tasks.bench.take import REFERENCES, references_of
from fairpull.tasks.progress import Progress, silent
from fairpull.terms.health import HealthReport

if TYPE_CHECKING:
    from fairpull.terms.pull import Pull

ALL = 10_000


def health_of(
    names: Sequence[str],
    *,
    engine: str = "",
    against: Sequence[str] = (),
    book: str = "",
    progress: Progress = silent,
) -> tuple[HealthReport, ...]:
    """Look for signs of trouble.

    Args:
        names: log files, pulls or builds of the book.
        engine: engine file for log files; "" for none.
        against: sound pulls of the same build; without, a kept pull is held against the earlier counted pulls of its
            build.
        book: folder of the book; "" finds it.
        progress: is told of each file.

    Returns:
        One report a pull.

    Raises:
        FairpullError: what cannot be read or is in no book.
    """
    held = named_pulls(against, engine=engine, book=book) if against else ()
    given = tuple(Reference(one.pull, one.factor) for one in held)
    return tuple(
        _report(one, given or _earlier(one, book))
        for one in named_pulls(names, engine=engine, book=book, progress=progress)
    )


def _report(one: Named, references: Sequence[Reference]) -> HealthReport:
    return health.look(
        _whole(one),
        engine=one.engine,
        references=[given.pull for given in references],
        factor=one.factor,
        reference_factors=[given.factor for given in references],
    )


def _whole(one: Named) -> Pull:
    """The pull as it was looked at when it was taken in: a kept one has since been limited to where it counts."""
    if one.line is None:
        return one.pull
    return replace(one.pull, valid_to=one.line.reading.get("clean", {}).get("valid_to"))


def _earlier(one: Named, book: str) -> tuple[Reference, ...]:
    if one.line is None:
        return ()
    with the_book(book, read_only=True) as kept:
        every = references_of(kept, one.build, most=ALL)
    return tuple(given for given in every if _before(given.pull, one.pull))[-REFERENCES:]


def _before(one: Pull, other: Pull) -> bool:
    """Whether a pull may stand as a reference of another: run before it, or at a time nobody knows."""
    if one.name == other.name:
        return False
    return one.started_at is None or other.started_at is None or one.started_at < other.started_at
