"""Answers that pages ask for again and again (a page, then each of its charts): computed once for the same book."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from hashlib import sha256
from typing import TYPE_CHECKING, Generic, TypeVar

from fairpull.tasks.bench.evidence import quick, wide_evidence
from fairpull.tasks.bench.memory import Memory

if TYPE_CHECKING:
    from collections.abc import Callable

    from fairpull.book import Book
    from fairpull.terms.duty_view import DutyView
    from fairpull.terms.tune_view import RunningInView, TuneView
    from fairpull.terms.tuning import PastWork

T = TypeVar("T")
MOST_KEPT = 24


@dataclass(frozen=True, slots=True)
class Answer(Generic[T]):
    """What came of a question; ``key`` changes as soon as the answer may."""

    value: T
    key: str


_PURPOSE: Memory[DutyView] = Memory(MOST_KEPT)
_TUNE: Memory[TuneView] = Memory(MOST_KEPT)
_RUNNING_IN: Memory[RunningInView] = Memory(MOST_KEPT)
_PAST: Memory[PastWork] = Memory(MOST_KEPT)


def purpose_seen(
    kept: Book,
    duty: str,
    builds: Sequence[str],
    *,
    altitude: str = "",
    temperature: str = "",
    standard: str = "",
    rated: str = "",
    intermediate: str = "",
) -> Answer[DutyView]:
    """``purpose_view_of``, from memory where nothing behind it changed; a duty is never a file here.

    Args:
        kept: the book.
        duty, builds, altitude, temperature, standard, rated, intermediate: as for ``purpose_view_of``.

    Returns:
        The view; shared, so nobody may change it.

    Raises:
        FairpullError: as ``purpose_of``.
    """
    from fairpull.tasks.bench.purpose_of import purpose_view_of

    words = {
        "altitude": altitude,
        "temperature": temperature,
        "standard": standard,
        "rated": rated,
        "intermediate": intermediate,
    }
    return _answer(
        _PURPOSE,
        kept,
        ("purpose", duty, tuple(builds), words),
        lambda: purpose_view_of(kept, duty, builds, files=False, **words),
    )


def tune_seen(
    kept: Book,
    kind: str,
    names: Sequence[str],
    *,
    speeds: str = "",
    by: str = "",
    limits: str = "",
    knock_limit: float | None = None,
) -> Answer[TuneView]:
    """``tune_view_of`` for pulls and builds of the book, from memory where nothing behind it changed.

    Args:
        kept: the book.
        kind, names, speeds, by, limits, knock_limit: as for ``tune_of``; names are never files here.

    Returns:
        The view; shared.

    Raises:
        FairpullError: as ``tune_of``.
    """
    from fairpull.tasks.bench.tune_of import tune_view_of

    builds = {sheet.name for sheet in kept.sheets("build")}
    single = [(name, _line(kept, name)) for name in names if name not in builds]
    folder = str(kept.folder)
    return _answer(
        _TUNE,
        kept,
        ("tune", kind, tuple(names), speeds, by, limits, knock_limit, single),
        lambda: tune_view_of(
            kind, names, speeds=speeds, by=by, limits=limits, knock_limit=knock_limit, book=folder, files=False
        ),
    )


def running_in_seen(kept: Book, engine: str) -> Answer[RunningInView]:
    """``running_in_of``, from memory where nothing behind it changed.

    Args:
        kept: the book.
        engine: name of its sheet.

    Returns:
        The trend; shared.

    Raises:
        UnknownName: no such engine.
    """
    return _answer(_RUNNING_IN, kept, ("running in", engine), lambda: _running_in(kept, engine))


def _running_in(kept: Book, engine: str) -> RunningInView:
    from fairpull.tasks.bench.tune_of import running_in_of
    from fairpull.terms.bench import COUNTS
    from fairpull.terms.tune_view import RunningInView

    result = running_in_of(kept, engine)
    builds = {line.name: line.build for line in kept.pulls(states=(COUNTS,))}
    return RunningInView(result, tuple(builds.get(name, "") for name in result.pulls))


def past_seen(kept: Book, kind: str) -> Answer[PastWork]:
    """``past_of``, from memory where nothing behind it changed.

    Args:
        kept: the book.
        kind: of change, in a person's words.

    Returns:
        The summary; shared.

    Raises:
        UnknownName: no such kind.
    """
    from fairpull.tasks.bench.past_of import past_of

    return _answer(_PAST, kept, ("past", kind), lambda: past_of(kept, kind))


def _line(kept: Book, name: str) -> tuple[object, ...]:
    """What a pull named by itself stands for; it need not count."""
    line = kept.pull(name)
    return (line.trace, line.build, line.valid_to, sorted(line.summary.items()))


def _answer(memory: Memory[T], kept: Book, asked: tuple[object, ...], make: Callable[[], T]) -> Answer[T]:
    def key() -> str:
        duties = quick(kept, "duties", lambda: repr([(one.name, one.version) for one in kept.sheets("duty")]))
        said = f"{wide_evidence(kept)} {duties} {asked!r}"
        return sha256(said.encode("utf-8", "surrogatepass")).hexdigest()

    before = key()
    return Answer(memory.get(before, make, still=lambda: key() == before), before)
