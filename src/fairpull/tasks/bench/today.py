"""The bench day: what was pulled, what it is judged against, and what matters next."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, date, datetime, timedelta
from typing import TYPE_CHECKING

from fairpull.tasks.bench.next_step import State, next_step
from fairpull.terms.bench import COUNTS, KeptPull
from fairpull.terms.errors import FairpullError, Fault
from fairpull.terms.looking import BenchDay, Came, Judged, NextStep, Pair

if TYPE_CHECKING:
    from fairpull.book import Book

MOST = 60  # pulls of one day that are listed
QUICK = 40  # counted pulls of both builds, up to which a page waits for their comparison


def bench_day(kept: Book, asked: date | None = None, *, against: str = "", now: datetime | None = None) -> BenchDay:
    """What was pulled on a day.

    Args:
        kept: the book.
        asked: the day; None takes today, and where nothing was pulled today the latest day that has pulls.
        against: build to judge against; "" takes what the newest build's sheet names.
        now: the moment, by the machine's clock; None: now.

    Returns:
        The day; one without a date where the book has no pull.
    """
    moment = now or datetime.now().astimezone()
    zone = moment.utcoffset() or timedelta()
    offset, today = zone.total_seconds(), moment.date()
    mark = mark_now(kept, moment)
    day = asked or today
    pulls, total = _of_day(kept, day, offset)
    if not total and asked is None:
        start, end = span(day)
        before, after = kept.neighbours(start, end, offset=offset)
        latest = before if before is not None else after
        if latest is None:
            return BenchDay(None, today, mark=mark)
        day = date_of(latest)
        pulls, total = _of_day(kept, day, offset)
    before, after = kept.neighbours(*span(day), offset=offset)
    return BenchDay(
        day,
        today,
        None if before is None else date_of(before),
        None if after is None else date_of(after),
        pulls,
        total,
        pair_of(kept, pulls, against),
        mark,
    )


def _of_day(kept: Book, day: date, offset: float) -> tuple[tuple[KeptPull, ...], int]:
    return kept.pulls_between(*span(day), offset=offset, most=MOST)


def span(day: date) -> tuple[float, float]:
    """First moment of a day and of the next, as pulls' wall clocks count [s since 1970]."""
    start = datetime(day.year, day.month, day.day, tzinfo=UTC).timestamp()
    return start, start + 86400.0


def date_of(moment: float) -> date:
    """The day of a pull's wall clock [s since 1970]."""
    return datetime.fromtimestamp(moment, UTC).date()


def pair_of(kept: Book, pulls: Sequence[KeptPull], against: str = "") -> Pair | None:
    """Which two builds the day's newest pull asks about.

    Args:
        kept: the book.
        pulls: of the day, newest first.
        against: build to judge against; "" takes what a build's sheet names.

    Returns:
        The reference that the newest pull went back to, with the build before it; else the newest pull's build with
        what it is judged against; None where neither is named.
    """
    if not pulls:
        return None
    newest = pulls[0].build
    references = _references(kept, against)
    for line in pulls:
        if line.build != newest and line.state == COUNTS and references.get(line.build) == newest:
            return Pair(newest, line.build)
    reference = references.get(newest, "")
    return Pair(reference, newest) if reference and reference != newest else None


def _references(kept: Book, against: str) -> dict[str, str]:
    """Build -> what it is judged against."""
    sheets = kept.sheets("build")
    if against:
        return {sheet.name: against for sheet in sheets if sheet.name != against}
    return {sheet.name: str(sheet.body.get("reference") or "") for sheet in sheets}


def judged(kept: Book, day: BenchDay, *, wait: bool = False) -> Judged:
    """The verdict on a day's pair.

    Args:
        kept: the book.
        day: the day.
        wait: work it out however long it takes; else only where there are few pulls.

    Returns:
        The verdict, or why there is none.
    """
    pair = day.pair
    if pair is None:
        return Judged(None)
    have = counted(kept, pair)
    if missing := [name for name, count in have.items() if not count]:
        seen = f"no counted pull of {' and '.join(missing)}"
        return Judged(
            pair, faults=(Fault("no-counted-pull", f"{pair.build} against {pair.reference}", seen, "pull it"),)
        )
    if not wait and sum(have.values()) > QUICK:
        return Judged(pair, waiting=True)
    from fairpull.tasks.bench.seen import compared

    try:
        return Judged(pair, compared(kept, (pair.reference, pair.build)))
    except FairpullError as error:
        return Judged(pair, faults=error.faults)


def counted(kept: Book, pair: Pair) -> dict[str, int]:
    """Counted pulls of both builds of a pair, in the whole book."""
    names = (pair.reference, pair.build)
    return {name: kept.pulls_page(builds=(name,), states=(COUNTS,), most=0)[1] for name in names}


def next_of(kept: Book, day: BenchDay, verdict: Judged, came: tuple[Came, ...] | None = None) -> NextStep:
    """The one thing that matters next.

    Args:
        kept: the book.
        day: the day.
        verdict: on its pair.
        came: files that a watched folder brought, newest first; None where none is watched.

    Returns:
        What to do, and why.
    """
    pair = day.pair
    have = {} if pair is None else counted(kept, pair)
    newest = day.newest
    sheets = kept.sheets("build")
    state = State(
        day,
        verdict,
        came,
        empty=day.day is None,
        builds=bool(sheets),
        reference_ever=0 if pair is None else have[pair.reference],
        is_reference=newest is not None and any(sheet.body.get("reference") == newest.build for sheet in sheets),
        counted=have,
    )
    return next_step(state)


def mark_now(kept: Book, now: datetime | None = None) -> str:
    """The mark that ``bench_day`` would give, without the day: cheap enough to be asked for every few seconds.

    Args:
        kept: the book.
        now: the moment, by the machine's clock; None: now.

    Returns:
        The mark.
    """
    return f"{(now or datetime.now().astimezone()).date():%Y%m%d}{kept.mark_of_change()}"
