"""The ledger as terminal text: what is under test, what else differs and what that is likely to be worth."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np

from fairpull.show import digits, scale, terminal
from fairpull.show.facts import words
from fairpull.show.facts.past_page import past_sentence
from fairpull.show.facts.table import Column, Table
from fairpull.show.facts.table import words as text
from fairpull.terms.findings import Finding, Severity
from fairpull.terms.ledger import CONFOUNDER, EQUAL, INTENDED, UNKNOWN, FairComparison, Ledger, LedgerRow
from fairpull.terms.units import house_unit_of

if TYPE_CHECKING:
    from rich.console import RenderableType

BEFORE = "Before in this book: "
UNTOLD = "Differs in the sheets."  # of a change whose sheets have nothing more to say
DECIMALS = {"barometer": 2, "vapour_pressure": 2, "lambda": 2, "speed": 0, "sweep_rate": 0}
SIZES = "Worth is the likely size on torque, in per cent; most rules are common practice without a source."


def shown(row: LedgerRow, system: str) -> tuple[str, str]:
    """Both values of a row in the person's units; the words of the row where it is not two numbers.

    Args:
        row: of a ledger.
        system: "us" or "metric".

    Returns:
        Of the reference and of the other.
    """
    if row.values is None:
        return row.reference, row.other
    unit = house_unit_of(row.quantity)
    label = scale.label(unit, system, row.quantity)
    both = []
    for value, said in zip(row.values, (row.reference, row.other), strict=True):
        if not np.isfinite(value) or not any(one.isdigit() for one in said):
            both.append(said)
            continue
        number = digits.number(scale.scalar(value, unit, system, row.quantity), DECIMALS.get(row.quantity, 1))
        both.append(f"{number} {label}".rstrip())
    return both[0], both[1]


def worth(row: LedgerRow) -> str:
    """Likely size of a row on torque: value and range in per cent; a dash where no rule is known."""
    if row.effect is None:
        return digits.DASH
    low, value, high = (100.0 * one for one in (row.effect.low, row.effect.value, row.effect.high))
    return f"{digits.number(value, 1, signed=True)} ({digits.interval(low, high, 1, signed=True)})"


def differing(ledger: Ledger, system: str) -> Table:
    """What is under test and what else differs, with its likely worth."""
    rows = tuple(
        ("under test" if row.role == INTENDED else "", row.name, *shown(row, system), worth(row))
        for row in ledger.rows
        if row.role in (INTENDED, CONFOUNDER)
    )
    columns = (text(""), text("what"), text(ledger.reference), text(ledger.other), Column("worth on torque, %"))
    return Table("differs", f"{ledger.other} against {ledger.reference}: what differs", columns, rows, SIZES)


def _named(ledger: Ledger, role: str) -> str:
    return ", ".join(row.name for row in ledger.rows if row.role == role)


def _reasons(rows: Sequence[LedgerRow]) -> list[RenderableType]:
    parts: list[RenderableType] = []
    for row in rows:
        if row.role == INTENDED and not row.rule and row.text == UNTOLD:
            continue
        rule = f" Rule: {row.rule}." if row.rule else ""
        parts.append(terminal.Paragraph(f"{row.text}{rule}", hang=2, lead=((f"{row.name}: ", "dim"),)))
    return parts


def loud(findings: Sequence[Finding]) -> list[RenderableType]:
    """Findings one by one with their remedy, warnings in colour.

    Args:
        findings: of a ledger.

    Returns:
        Parts for a terminal.
    """
    parts: list[RenderableType] = []
    for one in findings:
        heavy = one.severity is not Severity.NOTE
        lead = ((f"{one.severity.value} ", "bold yellow" if heavy else "cyan"),)
        parts.append(terminal.Paragraph(one.text, hang=2, lead=lead))
        parts.append(terminal.Paragraph(f"-> {one.remedy}", indent=2))
    return parts


def ledger_parts(ledger: Ledger, system: str) -> list[RenderableType]:
    """One ledger: its sentence, what differs, why that matters, what nobody knows, what was held.

    Args:
        ledger: of two builds.
        system: "us" or "metric".

    Returns:
        Parts for a terminal.
    """
    table = differing(ledger, system)
    parts: list[RenderableType] = [terminal.heading(table.title), terminal.sentence(ledger.summary, style="bold")]
    parts.extend(loud(ledger.findings))
    if table.rows:
        parts.append(terminal.Grid(table.columns, table.rows))
        parts.append(terminal.sentence(table.note, style="dim"))
    if ledger.together is not None:
        said = words.with_interval(ledger.together, system, signed=True)
        parts.append(terminal.sentence(f"All that else differs together: {said} of torque, as if independent."))
    parts.extend(_reasons([row for row in ledger.rows if row.role in (INTENDED, CONFOUNDER)]))
    for role, lead in ((UNKNOWN, "Not known: "), (EQUAL, "Held: ")):
        named = _named(ledger, role)
        parts.extend([terminal.Paragraph(f"{named}.", hang=2, lead=((lead, "bold"),))] if named else [])
    return parts


def ledger_text(ledger: Ledger, system: str = "us", *, width: int = terminal.WIDTH, colour: bool = False) -> str:
    """One ledger as text for a terminal.

    Args:
        ledger: of two builds.
        system: "us" or "metric".
        width: columns; no line is longer.
        colour: with ANSI styles.

    Returns:
        Lines, ending in a newline. The first says what differs between which builds.
    """
    return terminal.draw(ledger_parts(ledger, system), width=width, colour=colour)


def ledgers_text(made: FairComparison, system: str = "us", *, width: int = terminal.WIDTH, colour: bool = False) -> str:
    """The ledgers of a comparison of builds, as text for a terminal.

    Args:
        made: the comparison.
        system: "us" or "metric".
        width: columns; no line is longer.
        colour: with ANSI styles.

    Returns:
        Lines, ending in a newline.
    """
    parts: list[RenderableType] = []
    for ledger in made.ledgers:
        parts.extend(ledger_parts(ledger, system))
        before = made.past.get(ledger.other)
        if before is not None:
            said = past_sentence(before, system)
            parts.append(terminal.Paragraph(said, hang=2, lead=((BEFORE, "bold"),)))
    return terminal.draw(parts, width=width, colour=colour)
