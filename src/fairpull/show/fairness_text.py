"""Fair views and boost as terminal text: the fair sentence first, what it takes for granted, the plain beside it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np

from fairpull.show import digits, scale, terminal
from fairpull.show.facts import grid, words
from fairpull.show.facts.table import Column, Table
from fairpull.show.ledger_text import loud
from fairpull.terms.arrays import FloatArray, IntArray
from fairpull.terms.comparison import Estimate
from fairpull.terms.findings import Finding
from fairpull.terms.ledger import BoostFacts, FairComparison, FairLook

if TYPE_CHECKING:
    from rich.console import RenderableType

MOST_ROWS = 9
AXIS_UNITS = {"mean piston speed": "m/s"}
PRACTICE = "common practice, no source"


def _column(values: FloatArray, signed: bool, decimals: int) -> list[str]:
    return [digits.number(float(one), decimals, signed=signed) for one in values]


def _places(values: FloatArray, look: FairLook, rows: IntArray) -> int:
    """Decimals that the band earns a build's own value."""
    wide = 0.5 * (look.ratio_high - look.ratio_low)[rows] * np.abs(values)
    return max(digits.column_decimals(wide.tolist()), 0)


def look_table(look: FairLook, names: tuple[str, str], system: str) -> Table:
    """Both builds along the view's axis, their ratio with its band, and the plain ratio beside it.

    Args:
        look: the view.
        names: of reference and other.
        system: "us" or "metric".

    Returns:
        The table.
    """
    rows = grid.rows_of(look.x, MOST_ROWS) if len(look.x) > 1 else np.arange(len(look.x))
    axis_unit = AXIS_UNITS.get(look.axis, "rpm")
    axis = scale.arrays(look.x[rows], axis_unit, system)
    quantity = look.quantity if look.quantity == "bmep" else ""
    label = scale.label(look.unit, system, quantity)
    sides = [scale.arrays(one[rows], look.unit, system, quantity) for one in (look.reference, look.other)]
    ratio, low, high, plain = (100.0 * one[rows] for one in (look.ratio, look.ratio_low, look.ratio_high, look.plain))
    cells = zip(
        _column(axis, False, words.axis_decimals(axis)),
        *(_column(one, False, _places(one, look, rows)) for one in sides),
        *(_column(one, True, 1) for one in (ratio, low, high, plain)),
        strict=True,
    )
    head = "rpm" if axis_unit == "rpm" else look.axis
    columns = (
        Column(look.axis if look.axis != "rpm" else head, "" if axis_unit == "rpm" else scale.label(axis_unit, system)),
        Column(names[0], label),
        Column(names[1], label),
        Column("fair", "%"),
        Column("low", "%"),
        Column("high", "%"),
        Column("plain", "%"),
    )
    return Table(look.name.replace(" ", "-"), words.capital(look.name), columns, tuple(cells))


def look_parts(look: FairLook, names: tuple[str, str], system: str) -> list[RenderableType]:
    """One fair view: sentence, what is held, what it takes for granted, table.

    Args:
        look: the view.
        names: of reference and other.
        system: "us" or "metric".

    Returns:
        Parts for a terminal.
    """
    table = look_table(look, names, system)
    parts: list[RenderableType] = [
        terminal.heading(f"{table.title}: {look.quantity.replace('bmep', 'BMEP')}"),
        terminal.sentence(look.sentence, style="bold"),
    ]
    if look.held is not None:
        parts.append(terminal.sentence(f"Held equal: {held(look.held, system)}."))
    parts.append(terminal.sentence(f"Takes for granted: {look.assumption}"))
    parts.append(terminal.Grid(table.columns, table.rows))
    return parts


def held(given: Estimate, system: str) -> str:
    """The boost of both, with its range where that shows.

    Args:
        given: as on the view.
        system: "us" or "metric".

    Returns:
        E.g. ``boost, 6.5 psi (6.3 to 6.7)``.
    """
    low, value, high = (
        digits.number(scale.scalar(one, given.unit, system, "boost"), 1) for one in (given.low, given.value, given.high)
    )
    unit = scale.label(given.unit, system, "boost")
    return f"boost, {value} {unit}" if low == high else f"boost, {value} {unit} ({low} to {high})"


def _notes(looks: Sequence[FairLook]) -> list[RenderableType]:
    """How bands were made and where the views come from, each said once."""
    bands: dict[str, list[str]] = {}
    for look in looks:
        bands.setdefault(look.band, []).append(look.name)
    said = [f"Band ({', '.join(names)}): {band}." for band, names in bands.items() if band]
    sources = ", ".join(dict.fromkeys(PRACTICE if one.source == "practice" else one.source for one in looks))
    said.append(f"Plain is the difference in torque at equal rpm. Source of these views: {sources}.")
    return [terminal.sentence(one, style="dim") for one in said]


def boost_table(facts: BoostFacts, system: str) -> Table:
    """Boost, its ratios, the gain, the gain for each unit of boost, and the share of the simple estimate.

    Args:
        facts: of a boosted build against a naturally aspirated one.
        system: "us" or "metric".

    Returns:
        The table.
    """
    rows = grid.rows_of(facts.rpm, MOST_ROWS)
    unit = scale.label("Pa", system, "boost")
    one = 1.0 / scale.scalar(1.0, "Pa", system, "boost")
    gains = (facts.gain, facts.gain_low, facts.gain_high)
    pers = (facts.per_pressure, facts.per_pressure_low, facts.per_pressure_high)
    cells = zip(
        _column(facts.rpm[rows], False, 0),
        _column(scale.arrays(facts.boost[rows], "Pa", system, "boost"), False, 1),
        _column(facts.pressure_ratio[rows], False, 2),
        _column(facts.density_ratio[rows], False, 2),
        *(_column(100.0 * _end(values, facts)[rows], True, 1) for values in gains),
        *(_column(100.0 * one * _end(values, facts)[rows], False, 1 if one > 2e3 else 2) for values in pers),
        _column(100.0 * facts.of_simple[rows], False, 0),
        strict=True,
    )
    columns = (
        Column("rpm"),
        Column("boost", unit),
        Column("press. ratio"),
        Column("dens. ratio"),
        Column("gain", "%"),
        Column("low", "%"),
        Column("high", "%"),
        Column("gain", f"%/{unit}"),
        Column("low"),
        Column("high"),
        Column("of simple", "%"),
    )
    note = f"Low and high: {facts.band}. " if facts.band else ""
    note += "Simple estimate: naturally aspirated power times pressure ratio."
    if facts.expected_simple is not None:
        low, high = (100.0 * end for end in facts.expected_simple)
        note += f" Usual: {digits.interval(low, high, 0)} % of it ({PRACTICE})."
    if facts.expected_per_pressure is not None:
        low, high = (100.0 * one * end for end in facts.expected_per_pressure)
        places = 0 if one > 2e3 else 2
        ends = digits.number(low, places) if low == high else digits.interval(low, high, places)
        note += f" Usual gain: {ends} %/{unit} ({PRACTICE})."
    return Table("boost", f"{facts.boosted} against {facts.natural}: what boost gave", columns, tuple(cells), note)


def _end(values: FloatArray, facts: BoostFacts) -> FloatArray:
    """An end of a band; unknown where no band was made."""
    return values if values.size else np.full(facts.rpm.shape, np.nan)


def boost_parts(facts: BoostFacts, system: str) -> list[RenderableType]:
    """What boost gave: sentence, table, and what kept a column from being computed.

    Args:
        facts: of a boosted build against a naturally aspirated one.
        system: "us" or "metric".

    Returns:
        Parts for a terminal.
    """
    table = boost_table(facts, system)
    return [
        terminal.heading(table.title),
        terminal.sentence(facts.text, style="bold"),
        terminal.Grid(table.columns, table.rows),
        terminal.sentence(table.note, style="dim"),
        *loud(facts.findings),
    ]


def fairness_text(
    made: FairComparison, system: str = "us", *, width: int = terminal.WIDTH, colour: bool = False
) -> str:
    """Every fair view and every boost table of a comparison of builds, as text for a terminal.

    Args:
        made: the comparison.
        system: "us" or "metric".
        width: columns; no line is longer.
        colour: with ANSI styles.

    Returns:
        Lines, ending in a newline; empty where there is nothing to show.
    """
    parts: list[RenderableType] = []
    reference = {ledger.other: ledger.reference for ledger in made.ledgers}
    for other, looks in made.looks.items():
        names = (reference.get(other, made.comparison.groups[0].name), other)
        parts.extend(_looks(names, looks, system))
    for facts in made.boost:
        parts.extend(boost_parts(facts, system))
    unseen = [one for one in made.findings if one.code == "fair-look-missing"]
    parts.extend([terminal.heading("Fair views that are missing"), *_unseen(unseen)] if unseen else [])
    return terminal.draw(parts, width=width, colour=colour) if parts else ""


def _looks(names: tuple[str, str], looks: Sequence[FairLook], system: str) -> list[RenderableType]:
    if not looks:
        return []
    parts: list[RenderableType] = [terminal.heading(f"{names[1]} against {names[0]} on fair ground")]
    for look in looks:
        parts.extend(look_parts(look, names, system))
    return [*parts, *_notes(looks)]


def _unseen(findings: Sequence[Finding]) -> list[RenderableType]:
    parts: list[RenderableType] = []
    for one in findings:
        parts.append(terminal.Paragraph(one.text, hang=2, lead=((f"{one.where}: ", "dim"),)))
        parts.append(terminal.Paragraph(f"-> {one.remedy}", indent=2))
    return parts
