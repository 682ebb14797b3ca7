"""Lists of pulls, and whether one counts."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from fairpull import book
from fairpull.tasks.bench.one_pull import limit_of
from fairpull.terms.bench import COUNTS, SET_ASIDE, STATES, VOID, KeptPull
from fairpull.terms.errors import Fault, UnknownName

if TYPE_CHECKING:
    from fairpull.book import Book

FEW = 50  # lines that are fetched in full
WORDS = {
    "counts": COUNTS,
    "count": COUNTS,
    "aside": SET_ASIDE,
    "set-aside": SET_ASIDE,
    "set aside": SET_ASIDE,
    "void": VOID,
}


def find_pulls(kept: Book, where: str = "", builds: Sequence[str] = ()) -> tuple[KeptPull, ...]:
    """Pulls of the book that fit.

    Args:
        kept: the book.
        where: a search, see docs/search.md; "" for all.
        builds: only of these builds; empty for all.

    Returns:
        Lines of the catalogue in order of taking in; with their signs and figures where they are few.

    Raises:
        UnknownName: no such build.
        ValueRefused: the search cannot be understood; all faults at once.
    """
    for name in builds:
        kept.sheet("build", name)
    found = kept.pulls(book.parse_where(where) if where else None, builds=tuple(builds))
    return tuple(kept.pull(line.name) for line in found) if len(found) <= FEW else found


def mark_pull(kept: Book, name: str, state: str, reason: str = "", *, valid_to: str = "", by: str = "") -> KeptPull:
    """Say whether a pull counts.

    Args:
        kept: the book.
        name: of the pull.
        state: "counts", "aside" or "void".
        reason: why; needed unless it counts.
        valid_to: speed up to which it counts, e.g. "5000rpm", or "end" for all of it; "" leaves that as it is.
        by: initials.

    Returns:
        Its line.

    Raises:
        UnknownName: no such pull or state.
        ValueRefused: no reason, a speed that is none, or one outside what was tested.
    """
    if state not in WORDS:
        raise UnknownName(Fault("pull-state", "state", repr(state), "use counts, aside or void"))
    return kept.mark(name, WORDS[state], reason, valid_to=limit_of(kept.pull(name), valid_to), by=by)


def pulls_page(
    kept: Book, where: str = "", builds: Sequence[str] = (), states: Sequence[str] = (), *, most: int, skip: int = 0
) -> tuple[tuple[KeptPull, ...], int]:
    """One page of the pulls that fit.

    Args:
        kept: the book.
        where: a search, see docs/search.md; "" for all.
        builds: only of these builds; empty for all.
        states: only in these of ``STATES``; empty for all.
        most: lines on a page.
        skip: lines before it.

    Returns:
        Lines in full, newest in the book first; how many fit in all.

    Raises:
        UnknownName: no such build or state.
        SearchRefused: the search cannot be understood; all faults at once.
    """
    for name in builds:
        kept.sheet("build", name)
    for state in states:
        if state not in STATES:
            raise UnknownName(Fault("pull-state", "state", repr(state[:40]), f"use {', '.join(STATES)}"))
    condition = book.parse_where(where) if where.strip() else None
    return kept.pulls_page(condition, builds=tuple(builds), states=tuple(states), most=most, skip=skip)
