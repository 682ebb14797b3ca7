"""Pulls that were found in recordings, as terminal text."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from fairpull.show import digits, scale, terminal
from fairpull.show.facts import remarks
from fairpull.show.facts.table import Column, Table
from fairpull.show.facts.table import words as text
from fairpull.terms.pull import Pull


def _row(pull: Pull, system: str) -> tuple[str, ...]:
    rpm, torque = pull.channels["rpm"], pull.channels["torque"]
    known = bool(np.isfinite(torque).any()) and bool(np.isfinite(rpm).any())
    top = int(np.nanargmax(torque)) if known else 0
    return (
        pull.name,
        pull.kind,
        f"{pull.first_row:,} to {pull.last_row:,}",
        digits.interval(float(np.nanmin(rpm)), float(np.nanmax(rpm)), 0) if known else digits.DASH,
        digits.number(pull.sweep_rate, 0) if pull.sweep_rate else digits.DASH,
        digits.number(scale.scalar(float(torque[top]), "N m", system), 0) if known else digits.DASH,
        digits.number(float(rpm[top]), -1) if known else digits.DASH,
        digits.number(pull.valid_to, 0),
    )


def table(pulls: Sequence[Pull], system: str) -> Table:
    """One row per pull: kind, rows, range of rpm, rate, and the highest observed torque."""
    columns = (
        text("pull"),
        text("kind"),
        Column("rows"),
        Column("range", "rpm"),
        Column("rate", "rpm/s"),
        Column("highest", scale.label("N m", system)),
        Column("at", "rpm"),
        Column("valid to", "rpm"),
    )
    rows = tuple(_row(pull, system) for pull in pulls)
    note = "Highest: observed torque, a single sample, uncorrected." if rows else "No pull was found."
    return Table("pulls", "Pulls", columns, rows, note)


def pulls_text(pulls: Sequence[Pull], system: str = "us", *, width: int = terminal.WIDTH, colour: bool = False) -> str:
    """Pulls as text for a terminal, with what cleaning chose and found.

    Args:
        pulls: as found in one or several recordings.
        system: "us" or "metric".
        width: columns; no line is longer.
        colour: with ANSI styles.

    Returns:
        Lines, ending in a newline.
    """
    parts = [*terminal.table(table(pulls, system))]
    chosen = dict.fromkeys((name, value) for pull in pulls for name, value in pull.choices.items())
    if chosen:
        rows = tuple(chosen)
        parts.extend(terminal.listing(Table("choices", "Choices", (text("choice"), text("value")), rows)))
    found = [one for pull in pulls for one in pull.findings]
    parts.extend(terminal.blocks(remarks.entries(found, {pull.name for pull in pulls})))
    return terminal.draw(parts, width=width, colour=colour)
