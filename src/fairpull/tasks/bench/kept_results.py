"""Results that the book keeps: listed, looked at, and never written over by another one."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

from fairpull.tasks.bench.recompute import Decided, decided
from fairpull.terms.bench import StoredResult
from fairpull.terms.errors import Fault, UnknownName, ValueRefused
from fairpull.terms.version import VERSION

if TYPE_CHECKING:
    from fairpull.book import Book


def results_with_documents(kept: Book) -> tuple[tuple[StoredResult, dict[str, Any]], ...]:
    """All kept results, oldest first, each with its document read.

    Args:
        kept: the book.

    Returns:
        (result, document) each.
    """
    return tuple((result, document_of(result)) for result in kept.results())


def document_of(result: StoredResult) -> dict[str, Any]:
    """The document of a kept result, read."""
    found: dict[str, Any] = json.loads(result.result)
    return found


def refuse_another_of_this_name(kept: Book, name: str, builds: Sequence[str], asked: Mapping[str, Any]) -> None:
    """Refuse to keep a comparison under a name that another one bears; the same one may be kept again.

    Args:
        kept: the book.
        name: to keep it under.
        builds: of the comparison, reference first.
        asked: as for ``store_comparison``.

    Raises:
        ValueRefused: a result of this name was made of other pulls, sheets, settings or by another version.
    """
    try:
        there = kept.result(name)
    except UnknownName:
        return
    request = there.request
    before = Decided(there.traces, there.sheets, request.get("house", {}), request.get("limits", {}))
    same = (
        there.kind == "comparison"
        and there.version == VERSION
        and (list(request.get("builds", ())), dict(request.get("asked", {}))) == (list(builds), dict(asked))
        and decided(kept, builds, asked) == before
    )
    if not same:
        told = ", ".join(map(str, request.get("builds", ())))
        seen = f"a {there.kind} of {told} is kept under this name, made of other pulls, sheets or choices"
        remedy = f"keep it under another name; fairpull results {name!r} shows the one that is there"
        raise ValueRefused(Fault("result-there", f"--keep {name}", seen, remedy))
