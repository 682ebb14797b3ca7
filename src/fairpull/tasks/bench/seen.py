"""Comparisons and charts that were made already: computed once for the same evidence, then handed out from memory."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from fairpull.tasks.bench.compare_builds import with_looks, with_reference
from fairpull.tasks.bench.evidence import MOST_KEPT, compared_once, evidence, quick, wide_evidence
from fairpull.tasks.bench.expectation import few_enough, with_expectation
from fairpull.tasks.bench.kept_comparison import refuse_file_options
from fairpull.tasks.bench.memory import Memory
from fairpull.tasks.request import CompareRequest

if TYPE_CHECKING:
    from fairpull.book import Book
    from fairpull.terms.ledger import FairComparison
    from fairpull.terms.tuning import PastWork

MOST_BYTES = 32_000_000
"""What all charts in memory may weigh together."""

_PAST: Memory[dict[str, PastWork]] = Memory(MOST_KEPT)
_DRAWN: Memory[bytes] = Memory(MOST_BYTES, len)


def compared(kept: Book, names: Sequence[str], request: CompareRequest | None = None) -> FairComparison:
    """Compare builds of the book as ``compare_kept`` does, from memory where nothing behind it changed.

    Args:
        kept: the book, open.
        names: of builds, the reference first; one alone is judged against the reference of its sheet.
        request: everything else.

    Returns:
        The comparison with ledgers, fair views and past work. Everybody is handed the same object, so nobody may change
        it.

    Raises:
        UnknownName: no such build.
        ValueRefused: options that only files have.
        NotComparable: a build without counted pulls, or what a comparison refuses.
    """
    together, asked = _settled(kept, names, request)
    made = compared_once(kept, together, asked)
    if quick(kept, "few enough", lambda: str(few_enough(kept))) != str(True):
        return made

    def key() -> str:
        return f"{'|'.join(ledger.reference + '>' + ledger.other for ledger in made.ledgers)} {wide_evidence(kept)}"

    before = key()
    past = _PAST.get(before, lambda: dict(with_expectation(kept, made).past), still=lambda: key() == before)
    return replace(made, past=past)


def mark_of(kept: Book, names: Sequence[str], request: CompareRequest | None = None) -> str:
    """A key that changes as soon as the comparison may: for charts made of it, and for a browser that asks again.

    Args:
        kept: the book.
        names: as for ``compared``.
        request: as for ``compared``.

    Returns:
        64 hexadecimal digits.

    Raises:
        FairpullError: as ``compared``, for names and options.
    """
    together, asked = _settled(kept, names, request)
    return evidence(kept, together, asked)


def drawn(key: str, make: Callable[[], bytes]) -> bytes:
    """A chart's bytes, drawn once.

    Args:
        key: everything that decides them: ``mark_of``, chart, kind, theme, size, units.
        make: draws it.

    Returns:
        The bytes.
    """
    return _DRAWN.get(key, make)


def forget() -> None:
    """Drop every comparison and chart from memory; the next one is computed."""
    from fairpull.tasks.bench import evidence as behind

    behind._PLAIN.forget()
    _PAST.forget()
    _DRAWN.forget()


def _settled(
    kept: Book, names: Sequence[str], request: CompareRequest | None
) -> tuple[tuple[str, ...], CompareRequest]:
    """At least two names, and the request with the looks that the watch counted."""
    asked = request or CompareRequest()
    refuse_file_options(asked)
    together = with_reference(kept, names)
    asked, _ = with_looks(kept, together, asked)
    return together, asked
