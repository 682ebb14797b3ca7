"""Kept results with how they stand today: whether what decides them is as it was. Nothing is computed again here."""

from __future__ import annotations

import platform
from collections.abc import Mapping
from typing import TYPE_CHECKING

from fairpull.tasks.bench.evidence import quick, wide_evidence
from fairpull.tasks.bench.kept_results import document_of
from fairpull.tasks.bench.memory import Memory
from fairpull.tasks.bench.recompute import Decided, decided
from fairpull.terms.asking import ResultView
from fairpull.terms.errors import FairpullError
from fairpull.terms.version import VERSION

if TYPE_CHECKING:
    from fairpull.book import Book
    from fairpull.terms.bench import StoredResult

FEW = 6

_STANDING: Memory[tuple[str, ...]] = Memory(400)


def results_seen(kept: Book) -> tuple[ResultView, ...]:
    """All kept results, newest first.

    Args:
        kept: the book.

    Returns:
        Each with what changed since.
    """
    found = [_view(kept, result) for result in kept.results()]
    return tuple(sorted(found, key=lambda one: -one.result.made_at))


def result_seen(kept: Book, name: str) -> ResultView:
    """One kept result.

    Args:
        kept: the book.
        name: that it was kept under.

    Returns:
        It, with what changed since.

    Raises:
        UnknownName: nothing is kept under this name.
    """
    return _view(kept, kept.result(name))


def _view(kept: Book, result: StoredResult) -> ResultView:
    questions = quick(
        kept, "questions", lambda: repr([(one.name, one.version, one.body) for one in kept.sheets("question")])
    )
    key = f"{result.name} {result.made_at} {hash(questions)} {wide_evidence(kept)}"
    return ResultView(result, document_of(result), _STANDING.get(key, lambda: tuple(_changed(kept, result))))


def _changed(kept: Book, result: StoredResult) -> list[str]:
    """What decides a result and is not as it was, in sentences."""
    said = []
    if result.version != VERSION:
        said.append(f"It was computed by version {result.version}; this is {VERSION}.")
    if result.machine != platform.machine():
        said.append(f"It was computed on {result.machine}; this machine is {platform.machine()}.")
    request = result.request
    if result.kind != "comparison" or not {"builds", "asked"} <= request.keys():
        return said
    try:
        now = decided(kept, request["builds"], request["asked"])
    except FairpullError as error:
        return [*said, *(f"{fault.where}: {fault.seen}." for fault in error.faults)]
    before = Decided(result.traces, result.sheets, request.get("house", {}), request.get("limits", {}))
    said += _pulls(before.traces, now.traces)
    said += [
        f"{name}: {_version(old)} then, {_version(new)} now." for name, old, new in _moved(before.sheets, now.sheets)
    ]
    said += [
        f"House setting {name}: {old or 'by the data'} then, {new or 'by the data'} now."
        for name, old, new in _moved(before.house, now.house)
    ]
    said += [
        f"{name} counts up to {_speed(new)} now, {_speed(old)} then."
        for name, old, new in _moved(before.limits, now.limits)
        if name in now.traces and name in before.traces
    ]
    return said


def _speed(rpm: object) -> str:
    return f"{rpm:,.0f} rpm" if isinstance(rpm, float | int) else "its end"


def _version(at: object) -> str:
    return "not there" if at is None else f"version {at}"


def _moved(before: Mapping[str, object], now: Mapping[str, object]) -> list[tuple[str, object, object]]:
    names = sorted({*before, *now})
    return [(name, before.get(name), now.get(name)) for name in names if before.get(name) != now.get(name)]


def _pulls(before: Mapping[str, str], now: Mapping[str, str]) -> list[str]:
    said = []
    for text, names in (
        ("Counts now, and did not then", [name for name in now if name not in before]),
        ("Counted then, and does not now", [name for name in before if name not in now]),
        ("Was taken in again", [name for name in now if name in before and now[name] != before[name]]),
    ):
        if names:
            more = f" and {len(names) - FEW} more" if len(names) > FEW else ""
            said.append(f"{text}: {', '.join(names[:FEW])}{more}.")
    return said
