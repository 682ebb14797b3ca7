"""A comparison as the pages of it need it: computed from what the address asks, with the key of its evidence."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from fairpull.web.compare_ask import Wanted, few_enough, known_pulls, request_of, wanted

if TYPE_CHECKING:
    from fairpull.tasks.request import CompareRequest
    from fairpull.terms.ledger import FairComparison
    from fairpull.web.ask import Ask


@dataclass(frozen=True, slots=True)
class Compared:
    """A comparison, what was asked, and what decides it.

    Attributes:
        want: as asked, with all names (one build alone brings its reference).
        request: the same as values.
        fair: the result.
        key: changes as soon as the result may.
    """

    want: Wanted
    request: CompareRequest
    fair: FairComparison
    key: str


def compared_as_asked(asked: Ask) -> Compared:
    """The comparison of this address.

    Args:
        asked: the request.

    Returns:
        The comparison.

    Raises:
        FairpullError: words that cannot be values, unknown builds, or what a comparison refuses.
    """
    from fairpull.terms.errors import Fault, ValueRefused

    want, faults, _ = wanted(asked)
    if faults:
        raise ValueRefused(faults)
    if not want.names:
        raise ValueRefused(Fault("builds", "builds", "none named", "name a build: /compare?of=REFERENCE&of=BUILD"))
    return compared_for(asked, want)


def compared_for(asked: Ask, want: Wanted) -> Compared:
    """The comparison that is wanted.

    Args:
        asked: the request, for its book.
        want: what it asks.

    Returns:
        The comparison.

    Raises:
        FairpullError: as ``compared_as_asked``.
    """
    from fairpull.tasks.bench.seen import compared, mark_of

    request = request_of(want)
    with asked.book() as kept:
        known_pulls(kept, want)
        few_enough(kept, want)
        fair = compared(kept, want.names, request)
        key = mark_of(kept, want.names, request)
    return Compared(want.of([group.name for group in fair.comparison.groups]), request, fair, key)
