"""What each column claims to be: option first, then channels.toml, then the glossary."""

from __future__ import annotations

from dataclasses import dataclass

from fairpull.logs.channels_file import Names, channel_fault, split_channel
from fairpull.logs.names import BY_UNIT, Match, match
from fairpull.logs.options import ReadOptions
from fairpull.logs.table import RawTable
from fairpull.terms import units
from fairpull.terms.errors import Fault
from fairpull.terms.glossary import BY_NAME
from fairpull.terms.units import Unit


@dataclass(slots=True)
class Claim:
    """One column on its way to a channel.

    Attributes:
        column: name in the file.
        channel: glossary name, "" when it is left aside.
        number: cylinder, bank or meter; 0 for none.
        unit_text: unit as it stood or was said, "" when unknown.
        unit: the unit once settled, None before.
        sign: -1 where the person wrote the unit with a minus sign.
        how: "exact", "guessed", "person" or "option".
        reason: readable.
        meant: the channel it was before it was left aside.
        problem: why it was left aside, where a refusal may have to say so: "unit" or "empty".
    """

    column: str
    channel: str
    number: int
    unit_text: str
    unit: Unit | None
    sign: float
    how: str
    reason: str
    meant: str = ""
    problem: str = ""

    @property
    def key(self) -> str:
        """Name in ``Recording.channels``."""
        return f"{self.channel}_{self.number}" if self.number else self.channel

    @property
    def by_person(self) -> bool:
        """True when a person said so."""
        return self.how in ("person", "option")

    def aside(self, reason: str, problem: str = "") -> None:
        """Leave the column aside."""
        self.meant, self.problem = self.channel, problem
        self.channel = ""
        self.number = 0
        self.reason = reason


def stake(table: RawTable, options: ReadOptions, names: Names) -> tuple[list[Claim], list[Fault]]:
    """A claim for every column of a table.

    Args:
        table: what the format read.
        options: columns and units said by option.
        names: columns and units said in channels.toml.

    Returns:
        One claim for each column, in order; faults of the options.
    """
    faults = _option_faults(table, options)
    claims = [_claim(column, table, options, names) for column in table.columns]
    for claim in claims:
        _settle_unit(claim)
    return claims, faults


def _option_faults(table: RawTable, options: ReadOptions) -> list[Fault]:
    faults = []
    for column, channel in options.columns.items():
        if column not in table.columns:
            listed = ", ".join(table.columns[:40])
            faults.append(Fault("column-unknown", "option column", repr(column), f"columns of this file: {listed}"))
        elif channel and not split_channel(channel)[0]:
            faults.append(channel_fault(f"option column {column!r}", channel))
    return faults


def _claim(column: str, table: RawTable, options: ReadOptions, names: Names) -> Claim:
    header_unit = table.units.get(column, "").strip()
    said = _said(column, options, names)
    if said:
        channel, unit, how = said
        base, number = split_channel(channel)
        matched = match(column)
        unit = unit or header_unit or (matched.unit if matched and matched.channel == base else "")
        reason = f"named by {'option' if how == 'option' else names.source}"
        claim = Claim(column, base, number, unit, None, 1.0, how, reason if base else f"left aside, {reason}")
    else:
        claim = _by_glossary(column, header_unit, match(column))
    told = options.units.get(column) or (options.units.get(claim.key) if claim.channel else None)
    if told:
        claim.unit_text = told
        claim.reason += f"; unit {told} by option"
    if claim.unit_text.startswith("-") and len(claim.unit_text) > 2:
        claim.unit_text, claim.sign = claim.unit_text[1:].strip(), -1.0
    return claim


def _said(column: str, options: ReadOptions, names: Names) -> tuple[str, str, str] | None:
    if column in options.columns:
        return options.columns[column], "", "option"
    named = names.columns.get(column)
    return (named.channel, named.unit, "person") if named else None


def _by_glossary(column: str, header_unit: str, matched: Match | None) -> Claim:
    if matched is None:
        return Claim(column, "", 0, header_unit, None, 1.0, "exact", "not in the glossary")
    unit = header_unit or matched.unit or (_implied(column, matched.channel) if matched.channel else "")
    how = "exact" if matched.exact else "guessed"
    return Claim(column, matched.channel, matched.number, unit, None, 1.0, how, matched.reason)


def _implied(column: str, channel: str) -> str:
    """A unit that is a word of the name: "rpm", "bhp", "air cfm"."""
    for word in column.replace("_", " ").split():
        unit = units.lookup(word) if len(word) > 1 else None
        if unit is not None and unit.house == BY_NAME[channel].unit and unit.house != "1":
            return word
        if unit is not None and word.lower() == "ppm" and channel == "carbon_monoxide":
            return word
    return ""


def _settle_unit(claim: Claim) -> None:
    """Turn the unit text into a unit; a unit of another quantity changes the channel or leaves it aside."""
    if not claim.channel or not claim.unit_text:
        return
    house = BY_NAME[claim.channel].unit
    found = units.lookup(claim.unit_text)
    if house == "K" and found is not None and found.symbol == "°":
        claim.unit_text = ""  # "deg" says nothing of which degrees
        return
    if house == "rad" and found is not None and found.symbol == "°C" and claim.unit_text.strip().lower() == "c":
        return
    if found is None and units.same_dimension(claim.unit_text, house):
        found = units.unit(claim.unit_text, house)
    if found is None:
        return
    if found.house == house:
        claim.unit = found
        return
    other = BY_UNIT.get((claim.channel, found.house), "")
    if other and not claim.by_person:
        claim.channel, claim.unit = other, found
        claim.reason += f"; in {found.symbol} it is {other}"
        return
    claim.aside(f"{claim.channel} by its name, but {found.symbol} is not a unit of it", "unit")
