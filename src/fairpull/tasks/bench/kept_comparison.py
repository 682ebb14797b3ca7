"""A comparison of builds asked for on the command line, and kept where a name was given."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import fields
from typing import TYPE_CHECKING, Any

from fairpull.tasks.bench.compare_builds import compare_builds, with_looks, with_reference
from fairpull.tasks.bench.door import the_book
from fairpull.tasks.bench.expectation import with_expectation
from fairpull.tasks.bench.kept_results import refuse_another_of_this_name
from fairpull.tasks.bench.recompute import store_comparison
from fairpull.tasks.request import CompareRequest
from fairpull.terms.errors import Fault, ValueRefused

if TYPE_CHECKING:
    from fairpull.terms.ledger import FairComparison

KEPT = ("standard", "step", "band", "smallest", "leave_out", "valid_to", "look", "planned_looks", "seed")
"""What may be asked of builds; everything else was settled when their pulls were taken in."""


def compare_kept(builds: Sequence[str], request: CompareRequest, book: str = "", keep: str = "") -> FairComparison:
    """Compare builds of the book.

    Args:
        builds: names, the reference first; one alone is judged against the reference of its sheet.
        request: as asked.
        book: folder of the book; "" finds it.
        keep: name to keep the result under; "" keeps nothing.

    Returns:
        The comparison with ledgers and fair views.

    Raises:
        ValueRefused: options that only files have.
        FairpullError: as ``compare_builds``.
    """
    refuse_file_options(request)
    with the_book(book, read_only=not keep) as kept:
        names = with_reference(kept, builds)
        request, _ = with_looks(kept, names, request)
        if keep:
            refuse_another_of_this_name(kept, keep, names, asked_of(request))
        made = compare_builds(kept, names, request)
        if keep:
            store_comparison(kept, keep, names, asked_of(request), made)
        return with_expectation(kept, made)


def asked_of(request: CompareRequest) -> dict[str, Any]:
    """What was asked beyond the defaults, as plain data."""
    plain = CompareRequest()
    told = {name: getattr(request, name) for name in KEPT if getattr(request, name) != getattr(plain, name)}
    return {name: dict(value) if hasattr(value, "items") else value for name, value in told.items()}


def refuse_file_options(request: CompareRequest) -> None:
    """Refuse options that say how files are read: a kept pull was read when it was taken in.

    Args:
        request: as asked.

    Raises:
        ValueRefused: one fault for each such option.
    """
    plain = CompareRequest()
    loose = [
        one.name
        for one in fields(request)
        if one.name not in KEPT and getattr(request, one.name) != getattr(plain, one.name)
    ]
    if loose:
        remedy = "leave it out, or name log files instead of builds; pulls are read and cleaned when they are taken in"
        raise ValueRefused([Fault("option-needs-files", name, "says how files are read", remedy) for name in loose])
