"""All fair views that two builds allow, and why the others are missing."""

from __future__ import annotations

from collections.abc import Callable

from fairpull.compare.fairness import equal_boost, fuel_energy, gearing, per_density, piston_speed
from fairpull.compare.fairness.sides import Sides, sides_of
from fairpull.terms.comparison import Comparison
from fairpull.terms.errors import NotComparable
from fairpull.terms.findings import Finding, Severity
from fairpull.terms.ledger import FairLook, RunFacts

VIEWS: tuple[tuple[str, Callable[[Sides], bool], Callable[[Sides], FairLook]], ...] = (
    (equal_boost.NAME, equal_boost.applies, equal_boost.equal_boost),
    (per_density.NAME, per_density.applies, per_density.per_density),
    (piston_speed.NAME, piston_speed.applies, piston_speed.equal_piston_speed),
    (gearing.NAME, gearing.applies, gearing.through_gearing),
    (fuel_energy.NAME, fuel_energy.applies, fuel_energy.per_fuel_energy),
)


def fair_looks(
    reference: RunFacts, other: RunFacts, comparison: Comparison
) -> tuple[tuple[FairLook, ...], tuple[Finding, ...]]:
    """The comparison of two builds on other common ground; a view that would say nothing new is left out.

    Args:
        reference: circumstances of the reference.
        other: circumstances of the other build.
        comparison: the plain comparison that holds both.

    Returns:
        The views, and a finding for each that has a meaning here but cannot be made.

    Source: practice (fairness when things differ).
    """
    if comparison.axis != "rpm" or comparison.quantity != "torque":
        return (), ()
    try:
        sides = sides_of(reference, other, comparison)
    except NotComparable as refusal:
        return (), (_missing("fair views", refusal),)
    looks: list[FairLook] = []
    findings: list[Finding] = []
    for name, applies, make in VIEWS:
        if not applies(sides):
            continue
        try:
            looks.append(make(sides))
        except NotComparable as refusal:
            findings.append(_missing(name, refusal))
    return tuple(looks), tuple(findings)


def _missing(name: str, refusal: NotComparable) -> Finding:
    seen = "; ".join(f"{fault.where}: {fault.seen}" for fault in refusal.faults)
    remedy = "; ".join(dict.fromkeys(fault.remedy for fault in refusal.faults))
    return Finding("fair-look-missing", Severity.NOTE, name, f"This view cannot be made: {seen}.", f"{remedy}.")
