"""Lists of pulls, and whether one counts."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from fairpull import book
from fairpull.tasks.bench.builds import Shelf
from fairpull.tasks.bench.judge import judged, verdict_on
from fairpull.tasks.bench.take import references_of
from fairpull.terms.bench import COUNTS, SET_ASIDE, VOID, KeptPull
from fairpull.terms.errors import Fault, UnknownName
from fairpull.terms.units import parse

if TYPE_CHECKING:
    from fairpull.book import Book

FEW = 50  # lines that are fetched in full
WHOLE = "end"
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
        ValueRefused: no reason, or a speed that is none.
    """
    if state not in WORDS:
        raise UnknownName(Fault("pull-state", "state", repr(state), "use counts, aside or void"))
    return kept.mark(name, WORDS[state], reason, valid_to=_limit(kept, name, valid_to), by=by)


def _limit(kept: Book, name: str, valid_to: str) -> float | None:
    if valid_to.strip().lower() == WHOLE:
        return None
    return parse(valid_to, "rpm") if valid_to else kept.pull(name).valid_to


def move_pull(kept: Book, name: str, build: str, reason: str, *, by: str = "") -> KeptPull:
    """Move a pull that was taken in under the wrong build; it is judged again against the right one's pulls.

    Args:
        kept: the book.
        name: of the pull.
        build: that it really ran with.
        reason: why; needed.
        by: initials.

    Returns:
        Its line, with the state that the new judgement gives; what a person said of it stands, and the old judgement
        stays in its history.

    Raises:
        UnknownName: no such pull or build. BookRefused: no reason.
    """
    made = Shelf(kept).build(build)
    before = kept.pull(name)
    kept.move(name, build, reason, by=by)
    earlier = [one for one in references_of(kept, build) if one.pull.name != name]
    again = judged(kept.trace(name), made, earlier, standard=kept.settings().get("standard", ""))
    if decided_by_a_person(kept, before):
        return kept.pull(name)
    why = f"judged again as {build}: {again.reason}" if again.state != COUNTS else ""
    return kept.mark(name, again.state, why, valid_to=again.pull.valid_to, by=by)


def decided_by_a_person(kept: Book, line: KeptPull) -> bool:
    """Whether somebody said that a pull counts or not, and it is not the detectors' word alone.

    Args:
        kept: the book.
        line: of the catalogue, in full.

    Returns:
        True where it was marked after it was taken in, or its reason is not the detectors'.
    """
    own = verdict_on(line.health)[1] if line.health is not None else ""
    return len(kept.marks(line.name)) > 1 or (line.state != COUNTS and line.reason != own)
