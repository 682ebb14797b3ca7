"""Which builds of the book can be compared: those with counted pulls, by engine, with the likely pairs."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from typing import TYPE_CHECKING

from fairpull.tasks.bench.evidence import wide_evidence
from fairpull.tasks.bench.memory import Memory
from fairpull.terms.bench import COUNTS

if TYPE_CHECKING:
    from fairpull.book import Book


@dataclass(frozen=True, slots=True)
class Candidate:
    """A build with counted pulls.

    Attributes:
        name: of its sheet; engine: of its engine; pulls: how many count.
        reference: build it is usually judged against, "" where none is named or it has no counted pull.
    """

    name: str
    engine: str
    pulls: int
    reference: str = ""


_FOUND: Memory[tuple[Candidate, ...]] = Memory(8)


def comparable(kept: Book) -> tuple[Candidate, ...]:
    """Every build that has counted pulls.

    Args:
        kept: the book.

    Returns:
        By engine, then by name.
    """
    return _FOUND.get(wide_evidence(kept), lambda: _comparable(kept))


def _comparable(kept: Book) -> tuple[Candidate, ...]:
    counts = Counter(line.build for line in kept.pulls(states=(COUNTS,)))
    found = []
    for sheet in kept.sheets("build"):
        if counts[sheet.name]:
            named = str(sheet.body.get("reference", "") or "")
            machine = sheet.body.get("engine")
            engine = machine if isinstance(machine, str) else sheet.name
            found.append(Candidate(sheet.name, engine, counts[sheet.name], named if counts[named] else ""))
    return tuple(sorted(found, key=lambda one: (one.engine, one.name)))


def judged_band(kept: Book, names: tuple[str, ...]) -> tuple[float, float] | None:
    """The band that was declared before: by a question about these builds, else by the house.

    Args:
        kept: the book.
        names: of the builds.

    Returns:
        (low, high) [rpm]; None where none was.
    """
    from fairpull.tasks.bench.compare_builds import declared_question
    from fairpull.tasks.request import CompareRequest

    question, _ = declared_question(kept, names, CompareRequest())
    return question.band
