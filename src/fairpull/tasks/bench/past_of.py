"""What the book's own comparisons say about one kind of change."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from fairpull import engine
from fairpull.compare.past import effect_of, summarise
from fairpull.tasks.bench.builds import Shelf
from fairpull.tasks.bench.compare_builds import compare_builds
from fairpull.terms.bench import COUNTS
from fairpull.terms.build import PART_KINDS
from fairpull.terms.errors import FairpullError, Fault, UnknownName
from fairpull.terms.findings import Finding, Severity
from fairpull.terms.tuning import Effect, PastWork

if TYPE_CHECKING:
    from fairpull.book import Book
    from fairpull.terms.build import Build
    from fairpull.terms.comparison import Comparison

BOOST = "boost"
LEAST_BOOST = 2000.0  # [Pa]; below it a gain per unit of boost is a division by noise
Told = Callable[[str, int, int], None]


def nobody(what: str, number: int, total: int) -> None:
    """Nobody listens."""


@dataclass(frozen=True, slots=True)
class Pair:
    """A build and its reference, and what differs between them."""

    reference: Build
    build: Build
    kinds: tuple[str, ...]


def past_of(kept: Book, kind: str, told: Told = nobody) -> PastWork:
    """The book's effect sizes of one kind of change.

    Args:
        kept: the book.
        kind: a kind of part ("camshaft", "exhaust"), "setting NAME", or "boost" for the gain per unit of boost.
        told: is told of each comparison before it is made.

    Returns:
        The summary over all comparisons in which nothing else was changed on purpose.

    Raises:
        UnknownName: no such kind.
    """
    if kind not in PART_KINDS and kind != BOOST and not kind.startswith("setting "):
        remedy = f"one of: {', '.join(PART_KINDS)}, {BOOST}, or setting NAME"
        raise UnknownName(Fault("change-kind", kind, "no kind of change", remedy))
    pairs = [pair for pair in _pairs(kept) if _fits(pair, kind)]
    effects: list[Effect] = []
    findings: list[Finding] = []
    for number, pair in enumerate(pairs, start=1):
        name = f"{pair.build.name} against {pair.reference.name}"
        told(name, number, len(pairs))
        wanted = {BOOST: "compressor"}.get(kind, kind)
        if len(pair.kinds) > 1:
            others = ", ".join(one for one in pair.kinds if one != wanted)
            text = f"Left out: {others} was changed too."
            findings.append(Finding("past-several-changes", Severity.NOTE, name, text, "Test one change at a time."))
            continue
        try:
            made = compare_builds(kept, [pair.reference.name, pair.build.name]).comparison
        except FairpullError as error:
            seen = "; ".join(fault.seen for fault in error.faults)
            text = f"Left out: {seen}."
            findings.append(
                Finding("past-not-comparable", Severity.NOTE, name, text, "Compare them to see the remedy.")
            )
            continue
        effect = _effect(made, name, kind)
        effects += [effect] if effect is not None else []
    result = summarise(kind, effects, unit="1/Pa" if kind == BOOST else "1")
    return replace(result, findings=(*result.findings, *findings))


def _pairs(kept: Book) -> list[Pair]:
    """Builds with counted pulls whose reference has some too."""
    shelf = Shelf(kept)
    counted = {line.build for line in kept.pulls(states=(COUNTS,))}
    found = []
    for sheet in kept.sheets("build"):
        build = shelf.build(sheet.name)
        if build.reference and {build.name, build.reference} <= counted:
            reference = shelf.build(build.reference)
            kinds = tuple(dict.fromkeys(change.kind for change in engine.build_changes(reference, build)))
            found.append(Pair(reference, build, _intended(kinds)))
    return found


def _intended(kinds: tuple[str, ...]) -> tuple[str, ...]:
    """Kinds of change that somebody made on purpose: a setting that only names a changed part counts with it."""
    parts = {kind for kind in kinds if kind in PART_KINDS}
    follow = {f"setting {kind}" for kind in parts}
    told = {"hours", "gear", "gear efficiency", "induction"}
    return tuple(kind for kind in kinds if kind not in follow and kind not in told)


def _fits(pair: Pair, kind: str) -> bool:
    return ("compressor" if kind == BOOST else kind) in pair.kinds


def _effect(made: Comparison, name: str, kind: str) -> Effect | None:
    pulls = tuple(row.pull for row in made.pulls)
    if kind != BOOST:
        return effect_of(made.differences[0], name=name, pulls=pulls)
    more = _boost(made, 1) - _boost(made, 0)
    if not np.isfinite(more) or abs(more) < LEAST_BOOST:
        return None
    return effect_of(made.differences[0], name=name, per=more, pulls=pulls)


def _boost(made: Comparison, group: int) -> float:
    """Mean boost of a build over the judged band [Pa]; 0 where none was logged."""
    means = []
    for curve in made.groups[group].curves:
        inside = (curve.rpm >= made.band[0]) & (curve.rpm <= made.band[1])
        if "boost" in curve.channels:
            means.append(float(np.nanmean(curve.channels["boost"][inside])))
        elif "manifold_pressure" in curve.channels and curve.air is not None:
            means.append(float(np.nanmean(curve.channels["manifold_pressure"][inside])) - curve.air.pressure)
    return float(np.mean(means)) if means else 0.0
