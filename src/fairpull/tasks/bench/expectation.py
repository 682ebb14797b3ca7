"""What a kind of change did before in this book, laid beside a new comparison of that kind."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from fairpull.compare.past import summarise
from fairpull.tasks.bench.past_of import past_of
from fairpull.terms.bench import COUNTS
from fairpull.terms.build import PART_KINDS
from fairpull.terms.errors import FairpullError

if TYPE_CHECKING:
    from fairpull.book import Book
    from fairpull.terms.ledger import FairComparison, Ledger
    from fairpull.terms.tuning import PastWork

MOST_BUILDS = 60  # beyond it the book's comparisons are only made when past work is asked for by itself
MOST_PULLS = 600  # that count; the same


def with_expectation(kept: Book, made: FairComparison) -> FairComparison:
    """Add what such changes did before.

    Args:
        kept: the book.
        made: the comparison with its ledgers.

    Returns:
        The comparison, with past work for each build whose only intended change is of one kind, where the book holds
        other comparisons of that kind.
    """
    if not few_enough(kept):
        return made
    found: dict[str, PastWork] = {}
    for ledger in made.ledgers:
        kind = only_kind(ledger)
        if kind:
            before = _without_this(kept, kind, ledger)
            if before is not None:
                found[ledger.other] = before
    return replace(made, past=found)


def few_enough(kept: Book) -> bool:
    """Whether the book is small enough that all of its comparisons are made beside a new one.

    Args:
        kept: the book.

    Returns:
        No where that would take longer than anybody waits.
    """
    return len(kept.sheets("build")) <= MOST_BUILDS and len(kept.pulls(states=(COUNTS,))) <= MOST_PULLS


def only_kind(ledger: Ledger) -> str:
    """The one kind of change that is under test; "" where there are none or several.

    Args:
        ledger: of the comparison.

    Returns:
        A kind of part, or "setting NAME".
    """
    kinds = {
        change.kind for change in ledger.changes if change.kind in PART_KINDS or change.kind.startswith("setting ")
    }
    return kinds.pop() if len(kinds) == 1 else ""


def _without_this(kept: Book, kind: str, ledger: Ledger) -> PastWork | None:
    """Past work of a kind, this pair of builds left out; None where nothing is left."""
    try:
        every = past_of(kept, kind)
    except FairpullError:
        return None
    own = f"{ledger.other} against {ledger.reference}"
    others = [effect for effect in every.effects if effect.name != own]
    return summarise(kind, others) if others else None
