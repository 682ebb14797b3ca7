"""What the book can answer: duties, builds with pulls, loops that were run, engines, kinds of change."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from typing import TYPE_CHECKING

from fairpull.compare.purpose.cycles import CYCLES
from fairpull.tasks.bench.comparable import comparable
from fairpull.tasks.bench.evidence import wide_evidence
from fairpull.tasks.bench.memory import Memory
from fairpull.tasks.bench.past_of import Pair, kind_fits, only_this, pairs_of
from fairpull.terms.asking import BuildOffer, ChangeOffer, DutyOffer, LoopOffer
from fairpull.terms.bench import COUNTS
from fairpull.terms.change_words import BOOST, SETTING, setting_key
from fairpull.terms.errors import Fault, NotComparable

if TYPE_CHECKING:
    from collections.abc import Sequence

    from fairpull.book import Book

MOST_BUILDS = 12  # that a picture can tell apart, and that are scored unasked
MOST_PULLS = 240  # that are read while somebody waits for a page
SPARK = ("spark", "timing", "advance", "spark advance", "ignition timing")
JETS = ("jets", "jet", "main jet", "jetting")

_CHANGES: Memory[tuple[ChangeOffer, ...]] = Memory(8)
_LOOPS: Memory[tuple[LoopOffer, ...]] = Memory(8)


def duty_offers(kept: Book) -> tuple[DutyOffer, ...]:
    """Duties that can be chosen.

    Args:
        kept: the book.

    Returns:
        Those of the book's sheets by name, then the published cycles.
    """
    own = [DutyOffer(sheet.name, str(sheet.body.get("purpose", "") or "")) for sheet in kept.sheets("duty")]
    names = {one.name for one in own}
    cycles = [
        DutyOffer(one.key, one.for_, cycle=True, intermediate=any(point.of == "intermediate" for point in one.points))
        for one in CYCLES.values()
        if one.key not in names
    ]
    return (*sorted(own, key=lambda one: one.name), *cycles)


def build_offers(kept: Book) -> tuple[BuildOffer, ...]:
    """Builds with pulls that count.

    Args:
        kept: the book.

    Returns:
        By engine, then by name.
    """
    return tuple(BuildOffer(one.name, one.engine, one.pulls) for one in comparable(kept))


def engine_offers(kept: Book) -> tuple[BuildOffer, ...]:
    """Engines with pulls that count.

    Args:
        kept: the book.

    Returns:
        By name; ``name`` and ``engine`` are the engine's.
    """
    counts: Counter[str] = Counter()
    for one in comparable(kept):
        counts[one.engine] += one.pulls
    sheets = {sheet.name for sheet in kept.sheets("engine")}
    return tuple(BuildOffer(name, name, counts[name]) for name in sorted(counts) if name in sheets)


def few_pulls(kept: Book, builds: Sequence[str], instead: str) -> None:
    """Refuse a question that would read more pulls than somebody waits for.

    Args:
        kept: the book.
        builds: names; empty for all.
        instead: what the person can do, for the remedy.

    Raises:
        NotComparable: too many.
    """
    offered = comparable(kept)
    counts = {one.name: one.pulls for one in offered if not builds or one.name in builds}
    if sum(counts.values()) > MOST_PULLS:
        seen = f"{sum(counts.values())} pulls would have to be read, and a page reads {MOST_PULLS} at most"
        raise NotComparable(Fault("too-many-pulls", "builds", seen, instead))


def loop_offers(kept: Book) -> tuple[LoopOffer, ...]:
    """Builds that differ from their reference in nothing but spark or jets.

    Args:
        kept: the book.

    Returns:
        One for each reference and kind of setting, the reference first among its builds.
    """
    return _LOOPS.get(wide_evidence(kept), lambda: _loop_offers(kept))


def _loop_offers(kept: Book) -> tuple[LoopOffer, ...]:
    found: dict[tuple[str, str], list[str]] = {}
    for pair in pairs_of(kept):
        if len(pair.kinds) != 1:
            continue
        key = setting_key(pair.kinds[0].removeprefix(SETTING))
        kind = "spark" if key in SPARK else "jet" if key in JETS else ""
        if kind:
            found.setdefault((pair.reference.name, kind), [pair.reference.name]).append(pair.build.name)
    said = {"spark": "spark advance", "jet": "main jet"}
    return tuple(
        LoopOffer("spark" if kind == "spark" else "mixture", "" if kind == "spark" else "jet", tuple(names), said[kind])
        for (_, kind), names in sorted(found.items())
    )


def change_offers(kept: Book) -> tuple[ChangeOffer, ...]:
    """Kinds of change that builds of the book were made of.

    Args:
        kept: the book.

    Returns:
        Those with most comparisons first.
    """
    return _CHANGES.get(wide_evidence(kept), lambda: _change_offers(kept))


def _change_offers(kept: Book) -> tuple[ChangeOffer, ...]:
    pairs = pairs_of(kept)
    counts = Counter(line.build for line in kept.pulls(states=(COUNTS,)))
    kinds = list(dict.fromkeys(kind for pair in pairs for kind in pair.kinds))
    found = [_offer(kind, pairs, counts) for kind in [*kinds, BOOST]]
    return tuple(sorted((one for one in found if one.pairs or one.others), key=lambda one: (-one.pairs, one.kind)))


def _offer(kind: str, pairs: Sequence[Pair], counts: Counter[str]) -> ChangeOffer:
    made = ChangeOffer(kind, 0, 0, 0)
    for pair in pairs:
        if not kind_fits(pair, kind):
            continue
        if only_this(pair, kind):
            pulls = counts[pair.reference.name] + counts[pair.build.name]
            made = replace(made, pairs=made.pairs + 1, pulls=made.pulls + pulls)
        else:
            made = replace(made, others=made.others + 1)
    return made
