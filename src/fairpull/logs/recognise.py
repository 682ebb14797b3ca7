"""Columns to channels: claims are settled, units found, double claims resolved, values converted."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

import numpy as np

from fairpull.logs import clock, guess
from fairpull.logs.channels_file import Names
from fairpull.logs.claims import Claim, stake
from fairpull.logs.names import SUMMED
from fairpull.logs.options import ReadOptions
from fairpull.logs.table import RawTable
from fairpull.terms import units
from fairpull.terms.arrays import FloatArray
from fairpull.terms.errors import Fault
from fairpull.terms.findings import Finding, Severity
from fairpull.terms.glossary import BY_NAME
from fairpull.terms.recording import Mapped

ESSENTIAL = ("time", "rpm", "torque", "power", "bmep")
DISAGREE = 0.005  # two columns of the same quantity may differ by this share


@dataclass(slots=True)
class Understood:
    """What became of a table's columns.

    Attributes:
        channels: channel name -> values in house units.
        claims: one for each column.
        units: channel name -> the unit its column was read in.
        clock: the clock column when it was text, else None.
        findings, faults, choices: gathered on the way.
    """

    channels: dict[str, FloatArray]
    claims: list[Claim]
    units: dict[str, units.Unit] = field(default_factory=dict)
    clock: clock.Clock | None = None
    findings: list[Finding] = field(default_factory=list)
    faults: list[Fault] = field(default_factory=list)
    choices: dict[str, str] = field(default_factory=dict)

    def mapped(self) -> tuple[Mapped, ...]:
        """The mapping as it is shown."""
        return tuple(
            Mapped(
                claim.column,
                claim.unit.symbol if claim.unit else claim.unit_text,
                claim.key or None,
                claim.how,
                claim.reason,
            )
            for claim in self.claims
        )

    def of_channel(self, key: str) -> Claim | None:
        """The claim that won a channel."""
        return next((claim for claim in self.claims if claim.key == key), None)


def recognise(table: RawTable, options: ReadOptions, names: Names, where: str) -> Understood:
    """Find the channels of a table and convert them to house units.

    Args:
        table: what the format read.
        options: what the person said by option.
        names: what the person said in channels.toml.
        where: file name for findings and faults.

    Returns:
        Channels, claims, findings, faults; nothing is raised.
    """
    claims, faults = stake(table, options, names)
    found = Understood({}, claims, faults=faults)
    _read_text_columns(table, found, where)
    _resolve_doubles(table, found, where)
    _torque_and_power(table, found)
    for claim in claims:
        if claim.channel and claim.unit is None and claim.column in table.values:
            _guess(table, claim, found, where)
    for claim in claims:
        if claim.channel and claim.unit is not None and claim.column in table.values:
            _convert(table, claim, found)
    _drop_empty(found)
    _add_meters(found, where)
    return found


def _read_text_columns(table: RawTable, found: Understood, where: str) -> None:
    for claim in found.claims:
        if claim.column not in table.texts:
            continue
        if claim.channel == "time" and found.clock is None:
            read = clock.from_text(table.texts[claim.column], f"{where}, {claim.column}")
            if read is not None:
                found.clock = read
                found.channels["time"] = read.seconds
                found.findings.extend(read.findings)
                found.choices["clock"] = read.note
                claim.unit_text, claim.reason = "", f"{claim.reason}; {read.note}"
                continue
        if claim.channel in ESSENTIAL:
            seen = f"{claim.column} holds words, e.g. {_example(table.texts[claim.column])!r}"
            found.faults.append(Fault("channel-is-words", where, seen, f"give {claim.channel} as numbers"))
        elif claim.channel and _has_digits(table.texts[claim.column]):
            _warn(found, "channel-is-words", where, f"{claim.column} holds words, not numbers; left aside", "")
        claim.aside("a column of words")


def _has_digits(cells: Iterable[str]) -> bool:
    """Words with digits in them may be numbers that could not be read; a column of fuel names is none."""
    return any(letter.isdigit() for cell in list(cells)[:50] for letter in cell)


def _example(cells: Iterable[str]) -> str:
    return next((cell for cell in cells if cell), "")


def _warn(found: Understood, code: str, where: str, text: str, remedy: str) -> None:
    remedy = remedy or "map or correct the column if the channel matters"
    found.findings.append(Finding(code, Severity.WARNING, where, text, remedy))


def _rank(claim: Claim, table: RawTable) -> tuple[bool, bool, bool, bool]:
    """Who wins a channel that several columns claim: the person, then one with a unit, then the exact name."""
    values = table.values.get(claim.column)
    empty = values is None or not np.any(np.isfinite(values))
    house = bool(claim.channel and claim.unit and claim.unit.symbol == BY_NAME[claim.channel].unit)
    return (
        claim.by_person,
        not empty,
        claim.unit is not None and (house or claim.channel != "rpm"),
        claim.how == "exact",
    )


def _resolve_doubles(table: RawTable, found: Understood, where: str) -> None:
    by_key: dict[str, list[Claim]] = {}
    for claim in found.claims:
        if claim.channel and claim.column in table.values:
            by_key.setdefault(claim.key, []).append(claim)
    if found.clock is not None and "time" in by_key:
        for claim in by_key.pop("time"):
            claim.aside("another column is the clock")
    for key, rivals in by_key.items():
        if len(rivals) > 1:
            best = max(rivals, key=lambda claim: _rank(claim, table))
            for loser in rivals:
                if loser is not best:
                    _compare_rivals(table, best, loser, key, found, where)


def _compare_rivals(table: RawTable, best: Claim, loser: Claim, key: str, found: Understood, where: str) -> None:
    note = f"{key} is taken from {best.column}"
    apart = _apart(table, best, loser)
    if apart is not None and apart > DISAGREE:
        text = f"{best.column} and {loser.column} are both {key} and differ by up to {100 * apart:.1f} %"
        _warn(found, "columns-disagree", where, f"{text}; {best.column} is used", "name the right one by option")
    loser.aside(f"{note}" + (", the same to within rounding" if apart is not None and apart <= DISAGREE else ""))


def _apart(table: RawTable, best: Claim, loser: Claim) -> float | None:
    """Largest relative difference of two columns of one quantity, None where their units are not known."""
    units_known = best.unit is not None and loser.unit is not None
    if not units_known and (best.unit is not None or loser.unit is not None):
        return None
    pair = []
    for claim in (best, loser):
        values = table.values[claim.column]
        pair.append(values * claim.unit.scale + claim.unit.offset if claim.unit else values)
    good = np.isfinite(pair[0]) & np.isfinite(pair[1])
    if not np.any(good):
        return None
    size = float(np.max(np.abs(pair[0][good])))
    return float(np.max(np.abs(pair[0][good] - pair[1][good]))) / size if size else 0.0


def _torque_and_power(table: RawTable, found: Understood) -> None:
    """Units of torque and power that are missing, found from torque x speed = power."""
    torque, power, rpm = (found.of_channel(key) for key in ("torque", "power", "rpm"))
    if not torque or not power or not rpm or (torque.unit and power.unit):
        return
    columns = [table.values.get(claim.column) for claim in (torque, rpm, power)]
    if any(column is None for column in columns):
        return
    speed = rpm.unit.scale if rpm.unit else 1.0
    first, second, third = (column for column in columns if column is not None)
    ratio = guess.torque_speed_over_power(first, second * speed, third)
    pairs = guess.torque_power_units(
        ratio, torque.unit.symbol if torque.unit else "", power.unit.symbol if power.unit else ""
    )
    if len(pairs) != 1:
        return
    reason = f"torque x speed / power is {ratio:.1f}, which fits {pairs[0][0].symbol} and {pairs[0][1].symbol} alone"
    for claim, unit in zip((torque, power), pairs[0], strict=True):
        if claim.unit is None:
            claim.unit = unit
            claim.how = claim.how if claim.by_person else "guessed"
            claim.reason += f"; unit guessed: {reason}"


def _guess(table: RawTable, claim: Claim, found: Understood, where: str) -> None:
    channel = BY_NAME[claim.channel]
    if claim.unit_text:
        reason = f"{claim.unit_text!r} is not a known unit"
        guessed = guess.Guess(None, reason)
    else:
        guessed = guess.guess_unit(claim.channel, channel.unit, table.values[claim.column])
    if guessed.unit is not None:
        claim.unit = guessed.unit
        if guessed.reason != "has no unit":
            claim.how = claim.how if claim.by_person else "guessed"
            claim.reason += f"; unit {guessed.unit.symbol} guessed: {guessed.reason}"
        return
    remedy = f"say it by option (unit of {claim.column}), or in channels.toml"
    if guessed.reason == "the column is empty":
        claim.aside(f"{claim.key}, but the column is empty", "empty")
        return
    text = f"the unit of {claim.column} ({claim.key}) is not known: {guessed.reason}"
    if claim.channel in ESSENTIAL:
        found.faults.append(Fault("unit-unknown", where, text, remedy))
    else:
        _warn(found, "unit-unknown", where, f"{text}; left aside", remedy)
    claim.aside(f"{claim.key}, but its unit is not known: {guessed.reason}")


def _convert(table: RawTable, claim: Claim, found: Understood) -> None:
    values = table.values[claim.column]
    assert claim.unit is not None  # asked only then
    scale = claim.sign * claim.unit.scale
    if scale != 1.0:
        values = values * scale
    if claim.unit.offset:
        values = values + claim.unit.offset
    found.channels[claim.key] = values
    found.units[claim.key] = claim.unit


def _drop_empty(found: Understood) -> None:
    for claim in found.claims:
        values = found.channels.get(claim.key) if claim.channel else None
        if values is not None and claim.column and not np.any(np.isfinite(values)):
            found.channels.pop(claim.key)
            claim.aside(f"{claim.key}, but the column is empty", "empty")


def _add_meters(found: Understood, where: str) -> None:
    for channel in SUMMED:
        parts = [claim for claim in found.claims if claim.channel == channel and claim.number]
        if not parts:
            continue
        names = " + ".join(claim.column for claim in parts)
        if channel in found.channels:
            for claim in parts:
                found.channels.pop(claim.key, None)
                claim.aside(f"a part of {channel}, which has its own column")
            continue
        arrays = [found.channels.pop(claim.key) for claim in parts if claim.key in found.channels]
        if len(arrays) < len(parts):
            _warn(found, "meter-missing", where, f"{channel} needs all of {names}; left aside", "")
            continue
        found.channels[channel] = sum(arrays[1:], arrays[0])
        found.choices[channel] = f"{names} added up" if len(parts) > 1 else names
        for claim in parts:
            claim.reason += f"; meter {claim.number}, {channel} = {names}"
            claim.number = 0
