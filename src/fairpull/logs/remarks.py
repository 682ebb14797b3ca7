"""Remarks on a reading as a whole: no clock, no weather, columns left aside, guesses, rows not measured."""

from __future__ import annotations

from dataclasses import fields
from pathlib import Path

import numpy as np

from fairpull.logs.conditions import WEATHER, Handed
from fairpull.logs.recognise import Understood
from fairpull.logs.sniff import ENDINGS
from fairpull.logs.table import RawTable
from fairpull.terms.errors import Fault
from fairpull.terms.findings import Finding, Severity

NOT_MEASURED = ("extension", "extrapolat", "estimated", "not measured", "interpolat", "invalid")
MOST_LISTED = 12


def remarks(
    table: RawTable, found: Understood, handed: Handed, kind: str, path: Path, format_name: str
) -> list[Finding]:
    """All remarks on a reading.

    Args:
        table: what the format read.
        found: what became of its columns.
        handed: what was said by hand.
        kind: "trace" or "table".
        path: the file.
        format_name: the format it was read as.

    Returns:
        Findings.
    """
    where = path.name
    return [
        *_name_misleads(path, format_name),
        *_clock_and_air(table, found, handed, kind, where),
        *_weather_twice(found, handed, where),
        *_not_measured(table, where),
        *_several_curves(table, found, kind, where),
        *_columns(table, found, where),
    ]


def _name_misleads(path: Path, format_name: str) -> list[Finding]:
    ending = path.suffix.lower().lstrip(".")
    meant = next((name for name, endings in ENDINGS.items() if ending in endings or ending == name), "")
    if not meant or meant == format_name:
        return []
    text = f"the file is called .{ending}, but its content is {format_name}; the content counts"
    return [Finding("name-misleads", Severity.NOTE, path.name, text, "nothing; rename it if that helps")]


def _clock_and_air(table: RawTable, found: Understood, handed: Handed, kind: str, where: str) -> list[Finding]:
    said = []
    if kind == "table":
        text = f"no clock: {table.rows} rows are read as a step test"
        said.append(Finding("no-clock", Severity.NOTE, where, text, "drift over the day cannot be seen"))
    given = handed.given
    pressure = "barometer" in found.channels or given.pressure is not None
    temperature = "inlet_temperature" in found.channels or given.temperature is not None
    if not pressure or not temperature:
        missing = " and ".join(
            name for name, there in (("pressure", pressure), ("temperature", temperature)) if not there
        )
        text = f"the weather is not known ({missing}), so nothing can be corrected for air"
        remedy = "give it by option or in conditions.toml"
        said.append(Finding("no-weather", Severity.WARNING, where, text, remedy))
    if "torque" not in found.channels:
        text = "no torque: this log can only be joined to a brake's log of the same pull"
        said.append(Finding("torque-missing", Severity.FAULT, where, text, "join it, or map the torque column"))
    for source in ("power", "bmep"):
        if found.choices.get("torque", "").startswith(f"computed from {source}"):
            text = f"torque is {found.choices['torque']}"
            said.append(Finding(f"torque-from-{source}", Severity.NOTE, where, text, "log torque, if the brake can"))
    return said


def _weather_twice(found: Understood, handed: Handed, where: str) -> list[Finding]:
    """Weather that was logged and given by hand as well, and not alike."""
    channels = {spec[0]: channel for spec in WEATHER.values() for channel in (spec[1],)}
    apart = []
    for item in fields(handed.given):
        value = getattr(handed.given, item.name)
        logged = found.channels.get(channels[item.name])
        if value is None or logged is None or not np.any(np.isfinite(logged)):
            continue
        if handed.choices.get(f"given {item.name}", "").endswith("before the header"):
            continue
        middle = float(np.nanmedian(logged))
        if abs(middle - value) > 0.005 * abs(value):
            apart.append(f"{item.name} {value:.5g} by hand, {middle:.5g} logged")
    if not apart:
        return []
    text = f"weather is known twice and differs: {'; '.join(apart)}"
    return [Finding("weather-twice", Severity.WARNING, where, text, "leave out the one that is wrong")]


def _not_measured(table: RawTable, where: str) -> list[Finding]:
    """Rows that a text column marks as not measured."""
    said = []
    for name, cells in table.texts.items():
        marked = [place for place, cell in enumerate(cells) if any(word in cell.lower() for word in NOT_MEASURED)]
        if marked and len(marked) < len(cells):
            rows = ", ".join(str(place + table.first_data_row) for place in marked[:8])
            text = f"{len(marked)} rows are marked as not measured in {name} ({cells[marked[0]]!r}; rows {rows})"
            remedy = "count the pull only up to the last measured rpm"
            said.append(Finding("points-not-measured", Severity.WARNING, where, text, remedy))
    return said


def map_fault(found: Understood, kind: str, where: str) -> Fault | None:
    """The fault of a table that holds a part-load map: many loads at each speed.

    Args:
        found: what became of the columns.
        kind: "trace" or "table".
        where: file name.

    Returns:
        The fault, or None.
    """
    rpm, torque = found.channels.get("rpm"), found.channels.get("torque")
    if kind != "table" or rpm is None or torque is None or len(rpm) < 12:
        return None
    order = np.lexsort((torque, np.round(rpm)))
    speeds, starts, counts = np.unique(np.round(rpm[order]), return_index=True, return_counts=True)
    if len(speeds) < 3 or np.median(counts) < 4:
        return None
    lowest, highest = torque[order][starts], torque[order][starts + counts - 1]
    if np.nanmedian(lowest) > 0.5 * np.nanmedian(highest):
        return None  # held steps: many samples of one load at each speed
    seen = f"{int(np.median(counts))} loads at each of {len(speeds)} speeds: a part load map, not a full-load pull"
    return Fault("part-load-map", where, seen, "give the full-load rows only")


def _several_curves(table: RawTable, found: Understood, kind: str, where: str) -> list[Finding]:
    """A table whose speed starts again and again holds several curves."""
    rpm = found.channels.get("rpm")
    if kind != "table" or rpm is None or len(rpm) < 6:
        return []
    falls = int(np.sum(np.diff(rpm) < -0.2 * (np.nanmax(rpm) - np.nanmin(rpm))))
    if not falls or falls > len(rpm) // 3:
        return []
    texts = [name for name, cells in table.texts.items() if 1 < len(set(cells)) <= len(cells) // 3]
    counters = [name for name, values in table.values.items() if _is_label(values, falls + 1)]
    hint = (texts + counters or ["COLUMN"])[0]
    text = f"the speed starts again {falls} time(s): the table seems to hold {falls + 1} curves"
    return [Finding("several-curves", Severity.WARNING, where, text, f"split it, e.g. --by {hint}")]


def _is_label(values: np.ndarray[tuple[int, ...], np.dtype[np.float64]], curves: int) -> bool:
    whole = bool(np.all(np.isfinite(values))) and bool(np.all(values == np.round(values)))
    return whole and len(np.unique(values)) == curves


def _columns(table: RawTable, found: Understood, where: str) -> list[Finding]:
    said = []
    aside = [claim.column for claim in found.claims if not claim.channel and claim.column in table.values]
    if aside:
        text = f"{len(aside)} of {len(found.claims)} columns are left aside: {_listed(aside)}"
        said.append(Finding("columns-unknown", Severity.NOTE, where, text, "map them in channels.toml if they matter"))
    won = [claim for claim in found.claims if claim.channel and claim.how == "guessed"]
    units = [f"{claim.column} in {claim.unit.symbol}" for claim in won if claim.unit and "guessed:" in claim.reason]
    names = [f"{claim.column} = {claim.key}" for claim in won if "guessed:" not in claim.reason]
    if units:
        text = f"units that nobody wrote were assumed: {_listed(units)}"
        said.append(Finding("unit-assumed", Severity.NOTE, where, text, "overrule by option or in channels.toml"))
    if names:
        text = f"guessed by name: {_listed(names)}"
        said.append(Finding("columns-guessed", Severity.NOTE, where, text, "overrule by option or in channels.toml"))
    return said


def _listed(names: list[str]) -> str:
    more = f" and {len(names) - MOST_LISTED} more" if len(names) > MOST_LISTED else ""
    return ", ".join(names[:MOST_LISTED]) + more
