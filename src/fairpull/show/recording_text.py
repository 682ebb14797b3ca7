"""A recording as terminal text: which column became which channel, why, and what is to be known about the reading."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np

from fairpull.show import digits, scale, terminal
from fairpull.show.facts import remarks, words
from fairpull.show.facts.table import Column, Table
from fairpull.show.facts.table import words as text
from fairpull.terms import units
from fairpull.terms.recording import Conditions, Mapped, Recording

if TYPE_CHECKING:
    from rich.console import RenderableType

_GIVEN = (
    ("pressure", "Pa", "barometer", 2),
    ("temperature", "K", "inlet_temperature", 1),
    ("relative_humidity", "1", "relative_humidity", 0),
    ("dew_point", "K", "dew_point", 1),
    ("wet_bulb", "K", "wet_bulb", 1),
    ("vapour_pressure", "Pa", "vapour_pressure", 3),
)


MOST_LEFT_ASIDE = 20
_SPELLING = "a spelling of the glossary"


def _reason(one: Mapped) -> str:
    """The reason, without what the word "exact" already says."""
    if one.how != "exact" or not one.reason.startswith(_SPELLING):
        return one.reason
    return one.reason.removeprefix(_SPELLING).removeprefix(" with").removeprefix(";").strip()


def _left_aside(columns: Sequence[Mapped]) -> tuple[tuple[str, ...], ...]:
    """Rows of the first columns that became no channel, and one that counts the others."""
    rows = [
        (one.column, one.unit or digits.DASH, "left aside", digits.DASH, one.reason)
        for one in columns[:MOST_LEFT_ASIDE]
    ]
    if len(columns) > MOST_LEFT_ASIDE:
        more = f"and {len(columns) - MOST_LEFT_ASIDE:,} more, to {columns[-1].column}"
        rows.append((more, digits.DASH, "left aside", digits.DASH, "all of them are in --json"))
    return tuple(rows)


def mapping(recording: Recording) -> Table:
    """One row per column: name, unit, channel, how it was recognised, and why; many left aside are folded."""
    rows: list[tuple[str, ...]] = [
        (one.column, one.unit or digits.DASH, one.channel, one.how, _reason(one))
        for one in recording.mapped
        if one.channel
    ]
    rows += _left_aside([one for one in recording.mapped if not one.channel])
    columns = (text("column"), text("unit"), text("channel"), text("how"), text("reason"))
    note = f"exact: {_SPELLING}. Overrule a row by option or in channels.toml."
    return Table("mapping", "Columns and channels", columns, tuple(rows), note)


def ranges(recording: Recording, system: str) -> Table:
    """Lowest and highest value of every channel in shown units, and how many values are missing."""
    rows = []
    for name, values in recording.channels.items():
        house = units.house_unit_of(name)
        shown = scale.arrays(values, house, system, name)
        known = shown[np.isfinite(shown)]
        symbol = scale.label(house, system, name)
        if len(known) == 0:
            rows.append((name, symbol, digits.DASH, digits.DASH, f"{len(shown):,}"))
            continue
        low, high = float(known.min()), float(known.max())
        places = digits.significant_decimals(max(abs(low), abs(high)))
        rows.append(
            (name, symbol, digits.number(low, places), digits.number(high, places), f"{len(shown) - len(known):,}")
        )
    columns = (text("channel"), text("unit"), Column("lowest"), Column("highest"), Column("missing"))
    return Table("channels", "Channels", columns, tuple(rows))


def given_conditions(given: Conditions, system: str) -> Table:
    """Conditions given by hand."""
    rows = []
    for name, house, quantity, places in _GIVEN:
        value: float | None = getattr(given, name)
        if value is not None:
            shown = digits.number(scale.scalar(value, house, system, quantity), places)
            rows.append((name.replace("_", " "), f"{shown} {scale.label(house, system, quantity)}"))
    return Table("given", "Given by hand", (text("what"), text("value")), tuple(rows))


def _head(recording: Recording) -> Table:
    rows_count = len(next(iter(recording.channels.values()), np.zeros(0)))
    origin = recording.origin
    rows = [
        ("file", origin.path),
        ("format", f"{origin.format}: {origin.reason}"),
        (
            "rows",
            f"{rows_count:,} ({'one clock' if recording.kind == 'trace' else 'no clock: a table of held speeds'})",
        ),
    ]
    if origin.detail:
        rows.insert(2, ("detail", origin.detail))
    if recording.started_at is not None:
        rows.append(("started", words.moment(recording.started_at)))
    return Table("recording", recording.name, (text("what"), text("value")), tuple(rows))


def _one(recording: Recording, system: str) -> list[RenderableType]:
    parts: list[RenderableType] = [*terminal.pairs(_head(recording))]
    parts.extend(terminal.table(mapping(recording)))
    parts.extend(terminal.table(ranges(recording, system)))
    given = given_conditions(recording.given, system)
    if given.rows:
        parts.extend(terminal.pairs(given))
    if recording.choices:
        rows = tuple(recording.choices.items())
        parts.extend(terminal.pairs(Table("choices", "Choices", (text("choice"), text("value")), rows)))
    parts.extend(terminal.blocks(remarks.entries(recording.findings)))
    return parts


def recordings_text(
    recordings: Sequence[Recording], system: str = "us", *, width: int = terminal.WIDTH, colour: bool = False
) -> str:
    """Recordings as text for a terminal.

    Args:
        recordings: what a file, or several, held.
        system: "us" or "metric".
        width: columns; no line is longer.
        colour: with ANSI styles.

    Returns:
        Lines, ending in a newline.
    """
    parts = [part for recording in recordings for part in _one(recording, system)]
    return terminal.draw(parts, width=width, colour=colour)
