"""The bench book as terminal text: lists of pulls, what taking in did, one pull, sheets, a check of the book."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from fairpull.show import digits, health_text, scale, terminal
from fairpull.show.facts import remarks, words
from fairpull.show.facts.table import Column, Table
from fairpull.show.facts.table import words as text
from fairpull.show.long_list import MANY, long_list
from fairpull.terms.bench import COUNTS, Attachment, BookCheck, KeptPull, Remark, Sheet
from fairpull.terms.build import Build, Fact, Part
from fairpull.terms.findings import Finding

if TYPE_CHECKING:
    from rich.console import RenderableType

STATE_STYLE = {COUNTS: "green"}


def _figure(line: KeptPull, name: str, unit: str, system: str) -> str:
    value = line.summary.get(name)
    return digits.DASH if value is None else digits.number(scale.scalar(value, unit, system), 1)


def _at(line: KeptPull, name: str) -> str:
    value = line.summary.get(name)
    return digits.DASH if value is None else digits.number(value, -1)


def _told(line: KeptPull) -> str:
    """What a list has to say of a pull beside its numbers."""
    if line.state != COUNTS:
        return f"{line.state}: {line.reason.split(':', 1)[0]}"
    parts = [] if line.valid_to is None else [f"counts to {digits.number(line.valid_to, 0)} rpm"]
    if line.health is not None:
        parts += [sign.kind.replace("-", " ") for sign in line.health.signs]
    return "; ".join(parts)


def _when(lines: Sequence[KeptPull]) -> list[str]:
    """When each pull began: with its day where the list spans several."""
    days = [None if line.started_at is None else words.day(line.started_at) for line in lines]
    several = len({one for one in days if one}) > 1
    clocks = [words.clock(line.started_at) for line in lines]
    return [f"{one} {clock}" if several and one else clock for one, clock in zip(days, clocks, strict=True)]


def pull_table(lines: Sequence[KeptPull], system: str) -> Table:
    """One row a pull: when, what, whether it counts, peaks."""
    rows = tuple(
        (
            str(line.number),
            when,
            line.build,
            line.name,
            _figure(line, "peak_torque", "N m", system),
            _at(line, "peak_torque_rpm"),
            _figure(line, "peak_power", "W", system),
            _at(line, "peak_power_rpm"),
            _told(line),
        )
        for line, when in zip(lines, _when(lines), strict=True)
    )
    columns = (
        Column("#"),
        text("time"),
        text("build"),
        text("pull"),
        Column("torque", scale.label("N m", system)),
        Column("at", "rpm", spare=True),
        Column("power", scale.label("W", system)),
        Column("at", "rpm", spare=True),
        text("state, signs"),
    )
    note = "Peaks are corrected to the house standard where the weather is known; up to where a pull counts."
    return Table("pulls", "Pulls", columns, rows, note if rows else "No pull fits.")


def pulls_list_text(
    lines: Sequence[KeptPull], system: str = "us", *, width: int = terminal.WIDTH, colour: bool = False
) -> str:
    """Pulls of the book as a list for a terminal.

    Args:
        lines: of the catalogue.
        system: "us" or "metric".
        width: columns; no line is longer.
        colour: with ANSI styles.

    Returns:
        Lines, ending in a newline.
    """
    table = pull_table(lines, system)
    counted = sum(line.state == COUNTS for line in lines)
    said = f"{len(lines):,} pull{'s' if len(lines) != 1 else ''}, {counted:,} of them count."
    if len(lines) > MANY:
        return f"{long_list(table, width)}{said}\n"
    parts = [*terminal.table(table)]
    parts.extend([terminal.sentence(said, style="bold")] if lines else [])
    return terminal.draw(parts, width=width, colour=colour)


def headline(line: KeptPull, system: str) -> str:
    """State and peaks of a pull in one line."""
    power, torque = _figure(line, "peak_power", "W", system), _figure(line, "peak_torque", "N m", system)
    peaks = (
        f"{power} {scale.label('W', system)} at {_at(line, 'peak_power_rpm')} rpm, "
        f"{torque} {scale.label('N m', system)} at {_at(line, 'peak_torque_rpm')} rpm"
    )
    limit = "" if line.valid_to is None else f", up to {digits.number(line.valid_to, 0)} rpm"
    return f"{line.state}{limit}; {peaks}"


def taken_text(
    build: str,
    lines: Sequence[KeptPull],
    already: Mapping[str, Sequence[str]],
    findings: Sequence[Finding] = (),
    system: str = "us",
    *,
    width: int = terminal.WIDTH,
    colour: bool = False,
) -> str:
    """What taking in did, pull by pull.

    Args:
        build: that the pulls ran with.
        lines: new lines of the catalogue.
        already: file -> pulls that its bytes gave before.
        findings: about the files as such.
        system: "us" or "metric".
        width, colour: of the terminal.

    Returns:
        Lines, ending in a newline.
    """
    parts: list[RenderableType] = []
    for line in lines:
        parts.append(terminal.heading(f"{line.name} ({build})"))
        style = "bold green" if line.state == COUNTS else "bold red"
        parts.append(terminal.Paragraph(headline(line, system), style=style, indent=2, hang=2))
        if line.health is not None:
            parts.extend(health_text.signs(line.health))
            parts.extend(health_text.unseen(line.health))
    for path, names in already.items():
        parts.append(terminal.sentence(f"{path}: kept before as {', '.join(names)}.", above=True))
    if findings:
        parts.extend(terminal.blocks(remarks.entries(findings)))
    parts.append(terminal.sentence(f"Kept {len(lines)} of {len(lines) + len(already)}.", style="bold", above=True))
    return terminal.draw(parts, width=width, colour=colour)


def pull_text(line: KeptPull, system: str = "us", *, width: int = terminal.WIDTH, colour: bool = False) -> str:
    """One pull of the book: its state, signs, figures, choices, findings.

    Args:
        line: the whole line of the catalogue.
        system: "us" or "metric".
        width, colour: of the terminal.

    Returns:
        Lines, ending in a newline.
    """
    parts: list[RenderableType] = [terminal.sentence(f"{line.name}: {headline(line, system)}", style="bold")]
    if line.reason:
        parts.append(terminal.sentence(f"Reason: {line.reason}"))
    facts = (
        ("number in the book", str(line.number)),
        ("build", f"{line.build}, version {line.build_version} of its sheet"),
        ("session", line.session or digits.DASH),
        ("time", words.clock(line.started_at)),
        ("tested", words.axis_range(*line.tested)),
        ("factor", digits.number(line.summary.get("factor"), 4)),
        ("file", f"{line.original_name}, piece {line.piece + 1}"),
        ("sha256", line.original),
    )
    parts.extend(terminal.pairs(Table("pull", "The pull", (text("what"), text("value")), facts)))
    if line.health is not None:
        parts.append(terminal.heading("Health"))
        parts.extend(health_text.signs(line.health))
        parts.extend(health_text.unseen(line.health))
    rows = tuple((name, value) for name, value in line.choices.items())
    if rows:
        parts.extend(terminal.listing(Table("choices", "Choices", (text("choice"), text("value")), rows)))
    parts.extend(terminal.blocks(remarks.entries(line.findings, {line.name})))
    return terminal.draw(parts, width=width, colour=colour)


def sheet_list_text(sheets: Sequence[Sheet], *, width: int = terminal.WIDTH, colour: bool = False) -> str:
    """Sheets of the book as a list.

    Args:
        sheets: newest versions.
        width, colour: of the terminal.

    Returns:
        Lines, ending in a newline.
    """
    rows = tuple((one.kind, one.name, str(one.version), _about(one)) for one in sheets)
    columns = (text("kind"), text("name"), Column("version"), text("about"))
    note = "" if rows else "No sheet yet: fairpull sheets add FILE..."
    return terminal.draw(terminal.table(Table("sheets", "Sheets", columns, rows, note)), width=width, colour=colour)


def _about(sheet: Sheet) -> str:
    body = sheet.body
    if sheet.kind == "build":
        against = f", against {body['reference']}" if body.get("reference") else ""
        return f"{body.get('engine', '')}{against}"
    told = body.get("kind") or body.get("what") or body.get("date") or body.get("question") or body.get("text") or ""
    return str(told)


def build_text(build: Build, system: str = "us", *, width: int = terminal.WIDTH, colour: bool = False) -> str:
    """A build's spec sheet: parts with what was entered, and what was computed from it.

    Args:
        build: with its engine and parts.
        system: "us" or "metric".
        width, colour: of the terminal.

    Returns:
        Lines, ending in a newline.
    """
    parts: list[RenderableType] = [terminal.sentence(f"{build.name}: {build.engine_name}", style="bold")]
    rows = [(kind, part.name) for kind, part in build.parts.items()]
    rows += [(f"setting {name}", value) for name, value in build.settings.items()]
    rows += [("judged against", build.reference)] if build.reference else []
    parts.extend(terminal.pairs(Table("build", "Parts and settings", (text("what"), text("value")), tuple(rows))))
    parts.extend(_facts("Computed", build.facts, system))
    for part in build.parts.values():
        parts.extend(_part(part, system))
    return terminal.draw(parts, width=width, colour=colour)


def part_text(part: Part, system: str = "us", *, width: int = terminal.WIDTH, colour: bool = False) -> str:
    """A part's data sheet with what was computed from it; arguments as for ``build_text``."""
    return terminal.draw(_part(part, system), width=width, colour=colour)


def _part(part: Part, system: str) -> list[RenderableType]:
    rows = tuple((str(key), _entry(value)) for key, value in part.body.items() if key not in ("kind", "name"))
    table = Table("part", f"{part.kind.capitalize()} {part.name}", (text("entry"), text("value")), rows)
    return [*terminal.pairs(table), *_facts(f"{part.name}, computed", part.facts, system)]


def _entry(value: object) -> str:
    if isinstance(value, list):
        # rows of a table apart from the cells of a row
        return "; ".join(", ".join(map(_entry, one)) if isinstance(one, list) else _entry(one) for one in value)
    if isinstance(value, dict):
        return ", ".join(f"{key} {_entry(one)}" for key, one in value.items())
    return str(value)


def _facts(title: str, facts: Sequence[Fact], system: str) -> list[RenderableType]:
    rows = tuple(
        (fact.name, f"{_value(fact, system)}  [{fact.how}]" if fact.how else _value(fact, system)) for fact in facts
    )
    return [*terminal.listing(Table("facts", title, (text("what"), text("value")), rows))] if rows else []


def _value(fact: Fact, system: str) -> str:
    if isinstance(fact.value, str):
        return fact.value
    if fact.unit in ("", "1"):
        return digits.bare(fact.value, 3)
    # a volume flow on a data sheet is air through a port or a carburettor, but for injectors
    quantity = "air_volume_flow" if fact.unit == "m3/s" and "injector" not in fact.name else ""
    shown = scale.scalar(fact.value, fact.unit, system, quantity)
    places = digits.significant_decimals(shown, 4)
    return f"{digits.bare(shown, places)} {scale.label(fact.unit, system, quantity)}"


def check_text(check: BookCheck, *, width: int = terminal.WIDTH, colour: bool = False) -> str:
    """A check of the book as text.

    Args:
        check: what was found.
        width, colour: of the terminal.

    Returns:
        Lines, ending in a newline; the first says whether the book is sound.
    """
    faults = sum(finding.severity.value == "fault" for finding in check.findings)
    said = "The book is sound." if not faults else f"The book is damaged: {faults} fault{'s' if faults != 1 else ''}."
    parts: list[RenderableType] = [terminal.sentence(said, style="bold green" if not faults else "bold red")]
    rows = tuple((name, f"{count:,}") for name, count in check.looked_at.items())
    parts.extend(terminal.pairs(Table("looked", "Looked at", (text("what"), Column("count")), rows)))
    parts.extend(terminal.blocks(remarks.entries(check.findings)))
    return terminal.draw(parts, width=width, colour=colour)


def findings_text(findings: Sequence[Finding], *, width: int = terminal.WIDTH, colour: bool = False) -> str:
    """Findings alone.

    Args:
        findings: in any order.
        width, colour: of the terminal.

    Returns:
        Lines, ending in a newline.
    """
    return terminal.draw(terminal.blocks(remarks.entries(findings)), width=width, colour=colour)


def papers_text(
    notes: Sequence[Remark], laid: Sequence[Attachment], *, width: int = terminal.WIDTH, colour: bool = False
) -> str:
    """Remarks and attachments.

    Args:
        notes: in somebody's words.
        laid: photographs and other files.
        width, colour: of the terminal.

    Returns:
        Lines, ending in a newline.
    """
    parts: list[RenderableType] = [terminal.heading("Remarks and attachments")]
    parts += [terminal.Paragraph(one.text, hang=2, lead=((f"{one.by or 'remark'}: ", "dim"),)) for one in notes]
    parts += [terminal.Paragraph(one.note, hang=2, lead=((f"{one.file_name} ", "bold"),)) for one in laid]
    return terminal.draw(parts, width=width, colour=colour)
