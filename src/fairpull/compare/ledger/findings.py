"""Order, summary and findings of a ledger."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from fairpull.compare.ledger.case import SETTING, Case
from fairpull.terms.comparison import Estimate, Question
from fairpull.terms.findings import Finding, Severity
from fairpull.terms.ledger import CONFOUNDER, EQUAL, INTENDED, UNKNOWN, LedgerRow

ORDER = {INTENDED: 0, CONFOUNDER: 1, UNKNOWN: 2, EQUAL: 3}
COMES_ALONG = "boost"  # follows from the compressor under test, no change of its own


def reach_of(row: LedgerRow) -> float:
    """The most that a row is likely to be worth either way.

    Args:
        row: of a ledger.

    Returns:
        Fraction of torque; 0 where no size is known.

    Source: own definition.
    """
    return max(abs(row.effect.low), abs(row.effect.high)) if row.effect is not None else 0.0


def sorted_rows(rows: Sequence[LedgerRow]) -> tuple[LedgerRow, ...]:
    """Intended first, then confounders by likely size, then what is not known, then what was held.

    Args:
        rows: in any order.

    Returns:
        The same rows.

    Source: own definition.
    """
    sized = (CONFOUNDER,)
    return tuple(sorted(rows, key=lambda row: (ORDER[row.role], -reach_of(row) if row.role in sized else 0.0)))


def together(rows: Sequence[LedgerRow]) -> Estimate | None:
    """All confounders of known size at once, taken as independent: values add, half-widths add in squares.

    Args:
        rows: of a ledger.

    Returns:
        The sum, fraction of torque; None where no confounder has a size.

    Source: gum (combined uncertainty of independent inputs).
    """
    sizes = [row.effect for row in rows if row.role == CONFOUNDER and row.effect is not None]
    if not sizes:
        return None
    value = sum(one.value for one in sizes)
    down = float(np.sqrt(sum((one.value - one.low) ** 2 for one in sizes)))
    up = float(np.sqrt(sum((one.high - one.value) ** 2 for one in sizes)))
    how = "sum over confounders of known size, ranges added in squares as if independent [gum]"
    return Estimate(value, value - down, value + up, "1", how)


def tested(case: Case, rows: Sequence[LedgerRow]) -> list[LedgerRow]:
    """What is under test: intended rows, without what only follows from them.

    The settings of a build that is the re-tuned form of another belong to the part that they were tuned for.

    Args:
        case: both builds.
        rows: of a ledger.

    Returns:
        The rows.

    Source: own definition.
    """
    intended = [row for row in rows if row.role == INTENDED]
    along = {COMES_ALONG}
    if _tuned(case):
        along |= {change.kind.removeprefix(SETTING) for change in case.changes if change.kind.startswith(SETTING)}
    return [row for row in intended if row.name not in along] or intended


def _tuned(case: Case) -> bool:
    return case.other.build is not None and bool(case.other.build.tuned_from)


def summary_of(case: Case, rows: Sequence[LedgerRow]) -> str:
    """One sentence: the change under test, and how much stands beside it.

    Args:
        case: both builds.
        rows: of a ledger, sorted.

    Returns:
        The sentence.

    Source: own definition.
    """
    changes = tested(case, rows)
    confounders = [row for row in rows if row.role == CONFOUNDER]
    if len(changes) > 1:
        under = f"{len(changes)} changes at once ({', '.join(row.name for row in changes)}): none can be told alone"
    elif changes:
        tuned = ", at its own tune" if _tuned(case) else ""
        under = f"Under test: {changes[0].name}, {changes[0].reference} -> {changes[0].other}{tuned}"
    elif any(row.name == "parts and settings" and row.role == EQUAL for row in rows):
        under = "No part or setting differs in the sheets"
    else:
        under = "No sheet says what is under test"
    if not confounders:
        return f"{under}; nothing else is known to differ."
    biggest = confounders[0]
    others = "thing differs" if len(confounders) == 1 else "things differ"
    size = f", foremost {biggest.name}" if len(confounders) > 1 else f", {biggest.name}"
    worth = f" (up to {reach_of(biggest) * 100:.1f} %)" if reach_of(biggest) > 0.0 else ""
    return f"{under}; {len(confounders)} other {others}{size}{worth}."


def ledger_findings(case: Case, rows: Sequence[LedgerRow]) -> tuple[Finding, ...]:
    """What must be said loudly: several changes at once, none declared, and confounders as big as the difference.

    Args:
        case: both builds.
        rows: of the ledger, sorted.

    Returns:
        The findings.

    Source: practice (one change only; anything not held is assumed to have moved).
    """
    found = []
    where = f"{case.names[1]} against {case.names[0]}"
    changes = tested(case, rows)
    if len(changes) > 1:
        named = ", ".join(row.name for row in changes)
        text = f"{len(changes)} changes at once: {named}. The difference belongs to all of them together."
        remedy = "Change one thing at a time, or publish it as a package; test a re-tuned part as bolted on as well."
        found.append(Finding("several-changes", Severity.WARNING, where, text, remedy))
    if not changes and any(row.name == "parts and settings" and row.role == EQUAL for row in rows):
        text = "The sheets of both builds are alike, so nothing says what is under test."
        remedy = "Write what was changed on the build's sheet; if nothing was, this comparison shows the day's noise."
        found.append(Finding("no-change-on-sheets", Severity.NOTE, where, text, remedy))
    return (*found, *_large(case, rows, where))


def _large(case: Case, rows: Sequence[LedgerRow], where: str) -> list[Finding]:
    difference, smallest = _difference(case)
    least = max(0.5 * abs(difference), smallest) if np.isfinite(difference) else smallest
    large = [row for row in rows if row.role == CONFOUNDER and reach_of(row) >= least]
    if not large:
        return []
    told = ", ".join(f"{row.name} up to {reach_of(row) * 100:.1f} %" for row in large)
    against = f"; the difference itself is {difference * 100:+.1f} %" if np.isfinite(difference) else ""
    remedy = "Hold it or take it out before believing the difference; if that cannot be, publish it as indicative."
    return [Finding("confounder-large", Severity.WARNING, where, f"Large beside the change: {told}{against}.", remedy)]


def _difference(case: Case) -> tuple[float, float]:
    """Band average of the difference, and the smallest worth having; fractions."""
    if case.comparison is None:
        return float("nan"), Question().smallest
    means = [one.mean_ratio.value for one in case.comparison.differences if one.other == case.names[1]]
    return (means[0] if means else float("nan")), case.comparison.question.smallest
