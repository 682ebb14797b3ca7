"""One air at a glance as terminal text: its properties, and every correction factor side by side."""

from __future__ import annotations

from typing import TYPE_CHECKING

from fairpull.show import digits, scale, terminal
from fairpull.show.facts import remarks, words
from fairpull.show.facts.table import Column, Table
from fairpull.show.facts.table import words as text
from fairpull.terms.air_overview import AirOverview

if TYPE_CHECKING:
    from rich.console import RenderableType

_BAROMETER_PLACES = {"us": 2, "metric": 2}
_VAPOUR_PLACES = {"us": 3, "metric": 3}


def _value(value: float | None, house: str, system: str, places: int, quantity: str = "") -> str:
    if value is None:
        return digits.DASH
    shown = digits.number(scale.scalar(value, house, system, quantity), places)
    return f"{shown} {scale.label(house, system, quantity)}"


def properties(overview: AirOverview, system: str) -> Table:
    """Pressure, dry pressure, temperature, humidity in every form, density, density altitude."""
    barometer, vapour = _BAROMETER_PLACES[system], _VAPOUR_PLACES[system]
    rows = (
        ("pressure, absolute", _value(overview.air.pressure, "Pa", system, barometer, "barometer")),
        ("dry pressure", _value(overview.dry_pressure, "Pa", system, barometer, "barometer")),
        ("vapour pressure", _value(overview.vapour_pressure, "Pa", system, vapour, "vapour_pressure")),
        ("temperature", _value(overview.air.temperature, "K", system, 1)),
        ("relative humidity", words.fraction(overview.relative_humidity, decimals=0)),
        ("dew point", _value(overview.dew_point, "K", system, 1)),
        ("humidity ratio", f"{digits.number(overview.humidity_ratio, 5)} by mass of dry air"),
        ("density", _value(overview.density, "kg/m3", system, 5 if system == "us" else 4)),
        ("density altitude", _value(overview.density_altitude, "m", system, -1, "altitude")),
        ("pressure altitude", _value(overview.pressure_altitude, "m", system, -1, "altitude")),
    )
    return Table("air", "Air", (text("what"), text("value")), rows)


def factors(overview: AirOverview) -> Table:
    """Corrected = observed x factor, every standard side by side."""
    rows = tuple(
        (
            words.standard_name(one.standard),
            one.standard,
            digits.number(one.factor, 4),
            f"{digits.number(100.0 * (one.factor - 1.0), 2, signed=True)} %",
            words.listed(sorted({finding.code for finding in one.findings})),
        )
        for one in overview.corrections
    )
    columns = (text("standard"), text("key"), Column("factor"), Column("change"), text("findings"))
    return Table("factors", "Correction factors", columns, rows, "Corrected torque and power = observed x factor.")


def air_text(overview: AirOverview, system: str = "us", *, width: int = terminal.WIDTH, colour: bool = False) -> str:
    """One air as text for a terminal.

    Args:
        overview: properties and corrections of one air.
        system: "us" or "metric".
        width: columns; no line is longer.
        colour: with ANSI styles.

    Returns:
        Lines, ending in a newline.
    """
    parts: list[RenderableType] = [*terminal.pairs(properties(overview, system))]
    parts.extend(terminal.table(factors(overview)))
    if overview.left_out:
        rows = tuple((words.standard_name(key), reason) for key, reason in overview.left_out.items())
        parts.extend(terminal.pairs(Table("left-out", "Left out", (text("standard"), text("why")), rows)))
    every = [*overview.findings, *(finding for one in overview.corrections for finding in one.findings)]
    parts.extend(terminal.blocks(remarks.entries(every)))
    return terminal.draw(parts, width=width, colour=colour)
