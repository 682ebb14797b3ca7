"""A pull that was taken in under the wrong build is moved to the right one."""

from __future__ import annotations

from typing import TYPE_CHECKING

from fairpull.tasks.bench.builds import Shelf
from fairpull.tasks.bench.judge import judged, verdict_on
from fairpull.tasks.bench.take import references_of
from fairpull.terms.bench import COUNTS, KeptPull

if TYPE_CHECKING:
    from fairpull.book import Book


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
