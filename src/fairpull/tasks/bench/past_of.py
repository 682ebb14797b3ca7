"""What the book's own comparisons say about one kind of change."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from fairpull import engine
from fairpull.compare.past import effect_of, summarise
from fairpull.tasks.bench.builds import Shelf
from fairpull.tasks.bench.compare_builds import compare_builds
from fairpull.terms.bench import COUNTS
from fairpull.terms.build import PART_KINDS
from fairpull.terms.change_words import BOOST, LIMITS, SETTING, kind_of_change, near_kinds, setting_key
from fairpull.terms.errors import FairpullError, Fault, UnknownName
from fairpull.terms.findings import Finding, Severity
from fairpull.terms.tuning import Effect, PastWork

if TYPE_CHECKING:
    from fairpull.book import Book
    from fairpull.terms.build import Build, Change
    from fairpull.terms.comparison import Comparison

MAKES_BOOST = ("compressor", "pulley", "turbine")
BOOST_WORDS = ("boost", "waste gate", "wastegate", "gate")  # in the name of a setting
LEAST_BOOST = 2000.0  # [Pa]; below it a gain per unit of boost is a division by noise
Told = Callable[[str, int, int], None]


def nobody(what: str, number: int, total: int) -> None:
    """Nobody listens."""


@dataclass(frozen=True, slots=True)
class Pair:
    """A build and its reference, what differs between them on purpose, and what that did to boost.

    boosts: whether one of the changes makes boost: a compressor where there was none, a pulley, turbine or boost
    setting.
    """

    reference: Build
    build: Build
    kinds: tuple[str, ...]
    boosts: bool = False


def past_of(kept: Book, kind: str, told: Told = nobody) -> PastWork:
    """The book's effect sizes of one kind of change.

    Args:
        kept: the book.
        kind: a kind of part ("camshaft", "exhaust", or in other words "cam", "header"), a setting ("spark",
            "setting NAME"), or "boost" for the gain per unit of boost, of builds whose boost was changed: by fitting a
            compressor where there was none, a pulley, a turbine or a boost setting.
        told: is told of each comparison before it is made.

    Returns:
        The summary over all comparisons in which nothing else was changed on purpose.

    Raises:
        UnknownName: no such kind.
    """
    every = pairs_of(kept)
    kind = meant(kept, kind)
    pairs = [pair for pair in every if kind_fits(pair, kind)]
    effects: list[Effect] = []
    findings: list[Finding] = []
    for number, pair in enumerate(pairs, start=1):
        name = f"{pair.build.name} against {pair.reference.name}"
        told(name, number, len(pairs))
        others = [one for one in pair.kinds if not _belongs(one, kind)]
        if others:
            text = f"Left out: {', '.join(others)} was changed too."
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


def meant(kept: Book, word: str) -> str:
    """The kind of change that a word means.

    Args:
        kept: the book, for the names of settings.
        word: as a person writes it.

    Returns:
        The kind.

    Raises:
        UnknownName: it means none; the remedy names near ones.
    """
    bodies = (sheet.body.get("settings") for sheet in kept.sheets("build"))
    settings = sorted({str(name) for body in bodies if isinstance(body, Mapping) for name in body})
    kind = kind_of_change(word, settings)
    if not kind:
        close = near_kinds(word, settings)
        near = f"near it: {', '.join(close)}; " if close else ""
        named = ", ".join([*PART_KINDS, BOOST, *(f"{SETTING}{name}" for name in settings)])
        raise UnknownName(Fault("change-kind", word, "no kind of change", f"{near}one of: {named}"))
    return kind


def pairs_of(kept: Book) -> list[Pair]:
    """Builds with counted pulls whose reference has some too.

    Args:
        kept: the book.

    Returns:
        Each with its reference.
    """
    shelf = Shelf(kept)
    counted = {line.build for line in kept.pulls(states=(COUNTS,))}
    found = []
    for sheet in kept.sheets("build"):
        build = shelf.build(sheet.name)
        if build.reference and {build.name, build.reference} <= counted:
            reference = shelf.build(build.reference)
            changes = engine.build_changes(reference, build)
            kinds = _intended(tuple(dict.fromkeys(change.kind for change in changes)))
            found.append(Pair(reference, build, kinds, any(_makes_boost(change) for change in changes)))
    return found


def _intended(kinds: tuple[str, ...]) -> tuple[str, ...]:
    """Kinds of change that somebody made on purpose: a setting that only names a changed part counts with it."""
    parts = {kind for kind in kinds if kind in PART_KINDS}
    follow = {f"setting {kind}" for kind in parts}
    told = {"hours", "gear", "gear efficiency", "induction"}
    return tuple(kind for kind in kinds if kind not in follow and kind not in told and not _is_limit(kind))


def _is_limit(kind: str) -> bool:
    return kind.startswith(SETTING) and setting_key(kind.removeprefix(SETTING)) in LIMITS


def _boost_setting(kind: str) -> bool:
    key = setting_key(kind.removeprefix(SETTING))
    return kind.startswith(SETTING) and any(re.search(rf"\b{word}\b", key) for word in BOOST_WORDS)


def _makes_boost(change: Change) -> bool:
    """A compressor that was swapped for another is a matter of compressors, not of boost."""
    if change.kind == "compressor":
        return not change.before or not change.after
    return change.kind in MAKES_BOOST or _boost_setting(change.kind)


def _belongs(changed: str, kind: str) -> bool:
    """Whether a change is the one asked for."""
    return changed in MAKES_BOOST or _boost_setting(changed) if kind == BOOST else changed == kind


def _swapped(pair: Pair) -> bool:
    return "compressor" in pair.kinds and {"compressor"} <= pair.reference.parts.keys() & pair.build.parts.keys()


def kind_fits(pair: Pair, kind: str) -> bool:
    """Whether a kind of change stands between two builds."""
    return pair.boosts and not _swapped(pair) if kind == BOOST else kind in pair.kinds


def only_this(pair: Pair, kind: str) -> bool:
    """Whether nothing else was changed on purpose."""
    return all(_belongs(one, kind) for one in pair.kinds)


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
