"""Summary figures of all kept pulls under another correction standard of the house."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import TYPE_CHECKING

from fairpull import pulls
from fairpull.tasks.bench.builds import Shelf
from fairpull.tasks.bench.judge import STEP, correction_of, summary_of, verdict_on
from fairpull.terms.bench import KeptPull, Resummary
from fairpull.terms.errors import FairpullError, Fault, ValueRefused

if TYPE_CHECKING:
    from fairpull.book import Book
    from fairpull.terms.engine import Engine
    from fairpull.terms.pull import Pull

Told = Callable[[str, int, int], None]
MOST_TOLD = 6  # pulls that a refusal names


def nobody(what: str, number: int, total: int) -> None:
    """Nobody listens."""


def resummarise(kept: Book, standard: str, told: Told = nobody) -> int:
    """Make a standard the house's, and correct the summary figures of every kept pull to it, in one transaction.

    Args:
        kept: the book.
        standard: key; "" leaves it to each pull's engine.
        told: is told of each pull before it is computed.

    Returns:
        How many pulls were corrected again.

    Raises:
        ValueRefused: the standard cannot be computed for pulls of the book; nothing is changed.
    """
    shelf, lines = Shelf(kept), kept.pulls(full=True)
    machines: dict[tuple[str, int], Engine] = {}
    before = kept.settings().get("standard", "")
    again: list[Resummary] = []
    faults: list[Fault] = []
    for number, line in enumerate(lines, start=1):
        told(f"correcting {line.name} again", number, len(lines))
        try:
            ran = (line.build, line.build_version)
            if ran not in machines:
                machines[ran] = shelf.build_of(kept.sheet("build", *ran)).engine
            again.append(resummed(line, kept.trace(line.name), machines[ran], standard, before))
        except FairpullError as error:
            faults += [replace(fault, where=f"pull {line.name}, {fault.where}") for fault in error.faults]
    if faults:
        more = len(faults) - MOST_TOLD
        rest = [Fault("standard-does-not-fit", "standard", f"and {more} more", "see those above")] if more > 0 else []
        raise ValueRefused([*faults[:MOST_TOLD], *rest])
    kept.resummarise(again, {"standard": standard})
    return len(again)


def resummed(line: KeptPull, trace: Pull, machine: Engine, standard: str, before: str = "") -> Resummary:
    """Summary figures of one kept pull under a standard, up to where it counted when it was taken in.

    Args:
        line: of the catalogue, in full.
        trace: with its channels.
        machine: its engine.
        standard: key; "" for the default.
        before: the standard until now, whose findings are taken away.

    Returns:
        The figures, the choice in words, and the findings.

    Raises:
        FairpullError: the standard cannot be computed for it.
    """
    counted = as_taken(line, trace)
    curve = pulls.curve(counted, step=STEP)
    corrected = correction_of(curve, machine, standard)
    try:
        gone = set(correction_of(curve, machine, before).findings)
    except FairpullError:  # the old standard no longer fits the engine's sheet, so it left no findings to take away
        gone = set()
    kept = [finding for finding in line.findings if finding not in gone]
    return Resummary(
        pull=line.name,
        summary=summary_of(curve, corrected.factor, counted),
        correction=f"{corrected.standard}, factor {corrected.factor:.4f}",
        findings=tuple(dict.fromkeys([*kept, *corrected.findings])),
    )


def as_taken(line: KeptPull, trace: Pull) -> Pull:
    """A pull up to where it counted when it was taken in, whatever was judged of it later.

    Args:
        line: of the catalogue, in full.
        trace: with its channels.

    Returns:
        The pull with that limit.
    """
    limits = [
        line.reading.get("clean", {}).get("valid_to"),
        None if line.health is None else verdict_on(line.health)[2],
    ]
    known = [limit for limit in limits if limit is not None]
    return replace(trace, valid_to=min(known) if known else None)
