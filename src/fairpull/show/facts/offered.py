"""An offered file in words: what it was taken for, its columns, its air, the pulls found in it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from fairpull.show import digits, scale
from fairpull.show.facts import words
from fairpull.show.facts.table import Column, Table
from fairpull.show.facts.table import words as text
from fairpull.show.facts.words import plain
from fairpull.terms.errors import Fault
from fairpull.terms.findings import Finding
from fairpull.terms.glossary import CHANNELS
from fairpull.terms.offered import OfferedColumn, OfferedFile, OfferedPull, OfferedRecording
from fairpull.terms.units import house_unit_of

CYLINDERS = 8  # most numbers that the list of channels offers; another one is typed into channels.toml
AIR = (
    ("pressure", "barometer", "barometer", "Pa", 2),
    ("temperature", "inlet_temperature", "inlet air", "K", 1),
    ("relative_humidity", "relative_humidity", "relative humidity", "1", 0),
    ("dew_point", "dew_point", "dew point", "K", 1),
    ("wet_bulb", "wet_bulb", "wet bulb", "K", 1),
    ("vapour_pressure", "vapour_pressure", "vapour pressure", "Pa", 3),
)
ON_PAGE = {
    "no-build": ("build", "choose the build that it ran with"),
    "format-doubtful": ("", "choose its format"),
    "weather-word": ("", 'write pressure, temperature and humidity with their units: "29.62inHg 68degF 56%"'),
}
"""Faults whose words are a command line's -> where and what to do on a page; "" leaves where it is."""
IN_WORDS = (
    ("by option or in channels.toml", "in its row under Columns"),
    ("by option, or in channels.toml", "in its row under Columns"),
    ("say it by option (unit of", "overrule its unit under Columns (of"),
    ("), or in channels.toml", ")"),
    ("name the right one by option", "leave the wrong one aside under Columns"),
    ("name it with --format", "choose it under Format"),
    ("name one of them with the sheet option", "choose one of them under Sheet"),
    ("give it with --weather or a conditions.toml beside the logs", "write it under Weather"),
)
"""Remedies of a command line -> the same on a page."""


@dataclass(frozen=True, slots=True)
class ColumnRow:
    """One column for the eye.

    Attributes:
        column: name in the file, as it is; name: the same without control characters.
        channel: glossary name, "" where it is left aside.
        how, unit, reason: as recognised.
        low, high, shown: range in a shown unit, and that unit.
        missing: values that are not there, "" for none.
    """

    column: str
    name: str
    channel: str
    how: str
    unit: str
    reason: str
    low: str
    high: str
    shown: str
    missing: str


def column_rows(columns: Sequence[OfferedColumn], system: str) -> tuple[ColumnRow, ...]:
    """The columns of a file for the eye.

    Args:
        columns: as recognised.
        system: "us" or "metric".

    Returns:
        One for each.
    """
    return tuple(_row(one, system) for one in columns)


def _row(one: OfferedColumn, system: str) -> ColumnRow:
    low, high, shown = digits.DASH, digits.DASH, one.unit
    if one.low is not None and one.high is not None:
        ends = (one.low, one.high)
        if one.channel:
            house = house_unit_of(one.channel)
            shown = scale.label(house, system, one.channel)
            ends = (
                scale.scalar(one.low, house, system, one.channel),
                scale.scalar(one.high, house, system, one.channel),
            )
        places = digits.significant_decimals(max(map(abs, ends)))
        low, high = (digits.number(end, places) for end in ends)
    how = {"person": "your names", "option": "you"}.get(one.how, one.how) if one.channel or one.how != "exact" else ""
    missing = f"{one.missing:,}" if one.missing else ""
    return ColumnRow(
        one.column, plain(one.column), one.channel or "", how, one.unit, one.reason, low, high, shown, missing
    )


def channel_names() -> tuple[str, ...]:
    """Every channel that a column may be, numbered ones with their numbers."""
    names: list[str] = []
    for one in CHANNELS:
        names.append(one.name)
        if one.numbered or one.unit in ("kg/s", "m3/s"):
            names += [f"{one.name}_{n}" for n in range(1, CYLINDERS + 1)]
    return tuple(names)


def about(one: OfferedFile) -> Table:
    """What a file was taken for, and why."""
    rows = [("size", size(one.size))]
    if one.format:
        rows.append(("format", f"{one.format}: {plain(one.reason)}"))
    if one.detail and one.detail not in one.reason:
        rows.append(("detail", plain(one.detail)))
    rows += [("build", one.build)] if one.build else []
    rows += [("session", one.session)] if one.session else []
    for recording in one.recordings:
        label = f"{plain(recording.name)}: " if len(one.recordings) > 1 else ""
        clock = "with a clock" if recording.clocked else "without a clock"
        started = f", started {words.moment(recording.started_at)}" if recording.started_at is not None else ""
        rows.append(("rows", f"{label}{recording.rows:,}, {clock}{started}"))
    return Table("about", "What it is", (text("what"), text("value")), tuple(rows))


def rivals(one: OfferedFile) -> tuple[tuple[str, str], ...]:
    """Formats that did not take it, and why."""
    return tuple((name, plain(reason)) for name, reason in one.rivals.items())


def air(one: OfferedRecording, system: str) -> Table:
    """The air of a recording, and where each value comes from."""
    rows = []
    for given, channel, name, house, places in AIR:
        if given in one.given:
            value, source = one.given[given], one.choices.get(f"given {given}", "given by hand")
        elif channel in one.logged:
            value, source = one.logged[channel], "logged, mean of all rows"
        else:
            continue
        shown = digits.number(scale.scalar(value, house, system, channel), places)
        symbol = scale.label(house, system, channel)
        rows.append((name, f"{shown} {symbol}".strip(), plain(source).replace("by option", "by you")))
    note = "" if rows else "Nothing tells the air: the pull stays observed, without correction."
    return Table("air", "The air", (text("what"), text("value"), text("from")), tuple(rows), note)


def pulls(files: OfferedRecording, system: str) -> Table:
    """The pulls that were found in a recording."""
    torque = scale.label("N m", system, "torque")
    along = "time, s" if files.clocked else "rows"
    rows = tuple(
        (
            plain(one.name),
            "held steps" if one.kind == "steps" else "sweep",
            stretch(one, files.clocked),
            words.axis_range(*one.rpm),
            _torque(one, system),
            f"{one.rows:,}",
            f"{one.sweep_rate:,.0f}" if one.kind != "steps" and one.sweep_rate else digits.DASH,
        )
        for one in files.pulls
    )
    columns = (
        text("pull"),
        text("kind"),
        text(along),
        text("speed"),
        Column("torque", torque),
        Column("rows"),
        Column("rate", "rpm/s"),
    )
    return Table("found", "Pulls found", columns, rows)


def stretch(one: OfferedPull, clocked: bool) -> str:
    """Where a pull begins and ends: ``6.3 to 19.3 s``, or rows."""
    if clocked:
        return f"{digits.number(one.start, 1)} to {digits.number(one.end, 1)}"
    return f"{one.start:,.0f} to {one.end:,.0f}"


def _torque(one: OfferedPull, system: str) -> str:
    ends = [scale.scalar(end, "N m", system, "torque") for end in one.torque]
    return digits.interval(ends[0], ends[1], 0)


def choices(one: OfferedRecording) -> Table:
    """What was chosen or assumed on the way, of the reading and of each pull."""
    rows = [(plain(name), plain(said)) for name, said in one.choices.items()]
    rows += [
        (f"{plain(pull.name)}: {plain(name)}", plain(said)) for pull in one.pulls for name, said in pull.choices.items()
    ]
    return Table("choices", "What was chosen", (text("choice"), text("value")), tuple(rows))


def findings(one: OfferedFile) -> tuple[Finding, ...]:
    """Everything that was found about a file, each said once."""
    every = [finding for recording in one.recordings for finding in recording.findings]
    every += [finding for pull in one.pulls for finding in pull.findings]
    return tuple(dict.fromkeys(replace(one, remedy=_on_page(one.remedy)) for one in every))


def faults(given: Sequence[Fault]) -> tuple[Fault, ...]:
    """Faults in the words of a page."""
    said = []
    for one in given:
        where, remedy = ON_PAGE.get(one.code, ("", one.remedy))
        remedy = _on_page(remedy)
        said.append(Fault(one.code, plain(where or one.where), plain(one.seen), plain(remedy)))
    return tuple(said)


def _on_page(remedy: str) -> str:
    for typed, seen in IN_WORDS:
        remedy = remedy.replace(typed, seen)
    return remedy


def size(count: int) -> str:
    """Bytes as a person reads them."""
    return f"{count / 1e6:,.1f} MB" if count >= 100_000 else f"{count / 1e3:,.1f} kB"


def place(one: OfferedFile) -> str:
    """What stands about one file, in a few words."""
    count = len(one.pulls)
    if one.paper:
        return "no log: lies beside the logs"
    if one.faults:
        return "cannot be kept like this"
    if one.already:
        return "in the book already"
    if one.twin:
        return f"the same bytes as {one.twin}"
    return f"{count} pull{'s' if count != 1 else ''} found"


def said(one: OfferedRecording) -> str:
    """What the preview shows, for who cannot see it."""
    if not one.pulls:
        return f"Torque and speed of {plain(one.name)}: no pull was found in it."
    unit = " s" if one.clocked else ""
    found = "; ".join(f"{stretch(pull, one.clocked)}{unit}, {words.axis_range(*pull.rpm)}" for pull in one.pulls[:6])
    more = f" and {len(one.pulls) - 6} more" if len(one.pulls) > 6 else ""
    along = "Along time" if one.clocked else "Along the rows"
    count = "the pull that was found is" if len(one.pulls) == 1 else f"the {len(one.pulls)} pulls that were found are"
    return f"Torque and speed of {plain(one.name)}. {along}, {count} marked: {found}{more}."
