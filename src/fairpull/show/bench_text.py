"""The bench book as terminal text: lists of pulls, what taking in did, one pull, sheets, a check of the book."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from functools import lru_cache
from typing import TYPE_CHECKING

from fairpull.show import digits, health_text, scale, terminal
from fairpull.show.facts import remarks, settings, words
from fairpull.show.facts.state import observed, state_text
from fairpull.show.facts.table import Column, Table
from fairpull.show.facts.table import words as text
from fairpull.show.long_list import MANY, long_list
from fairpull.terms.bench import COUNTS, Attachment, BookCheck, KeptPull, Mark, Remark, Sheet
from fairpull.terms.build import Build, Fact, Part
from fairpull.terms.findings import Finding, Severity
from fairpull.terms.health import SIGN_CODES

if TYPE_CHECKING:
    from rich.console import RenderableType

STATE_STYLE = {COUNTS: "green"}


def _figure(line: KeptPull, name: str, unit: str, system: str) -> str:
    value = line.summary.get(name)
    return digits.DASH if value is None else digits.number(value * _per(unit, system), 1)


@lru_cache(maxsize=16)
def _per(unit: str, system: str) -> float:
    """Shown units in one house unit; torque and power have no offset."""
    return scale.scalar(1.0, unit, system)


def _power(line: KeptPull, system: str, mark: bool) -> str:
    """Peak power; with a star where it is as observed, and with a blank for the star elsewhere in such a list."""
    return _figure(line, "peak_power", "W", system) + ("" if not mark else "*" if observed(line) else "\u00a0")


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


def corrected_to(lines: Sequence[KeptPull], standard: str = "") -> str:
    """Which standard the peaks of a list are corrected to, as their own choices say, else as the house prefers."""
    own = {line.choices.get("correction", "").partition(",")[0] for line in lines} - {"", "none"}
    names = [words.standard_name(key) for key in sorted(own or ({standard} - {""}))]
    return " and ".join(names) or "the standard that fits each engine"


def pull_table(lines: Sequence[KeptPull], system: str, standard: str = "") -> Table:
    """One row a pull: when, what, whether it counts, peaks; the house's standard stands below."""
    mark = any(map(observed, lines))
    rows = tuple(
        (
            str(line.number),
            when,
            line.build,
            line.name,
            _figure(line, "peak_torque", "N m", system),
            _at(line, "peak_torque_rpm"),
            _power(line, system, mark),
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
    basis = corrected_to(lines, standard)
    note = f"Peaks are corrected to {basis} where the weather is known; up to where a pull counts."
    note += " *: as observed, for the weather is not known." if mark else ""
    return Table("pulls", "Pulls", columns, rows, note if rows else "No pull fits.")


def pulls_list_text(
    lines: Sequence[KeptPull],
    system: str = "us",
    standard: str = "",
    *,
    width: int = terminal.WIDTH,
    colour: bool = False,
) -> str:
    """Pulls of the book as a list for a terminal.

    Args:
        lines: of the catalogue.
        system: "us" or "metric".
        standard: of the house; "" where it prefers none.
        width: columns; no line is longer.
        colour: with ANSI styles.

    Returns:
        Lines, ending in a newline.
    """
    table = pull_table(lines, system, standard)
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
    return f"{line.state}{limit}; {peaks}{', as observed, no correction' if observed(line) else ''}"


def why_aside(line: KeptPull) -> list[RenderableType]:
    """Why a pull does not count, where its signs do not say it already."""
    signs = () if line.health is None else line.health.signs
    told = "; ".join(f"{one.kind}: {one.evidence}" for one in signs if one.severity is Severity.FAULT)
    shown = line.state == COUNTS or (bool(line.reason) and line.reason in told)
    return [] if shown else [terminal.Paragraph(line.reason, indent=2, hang=2)]


def health_of(line: KeptPull) -> list[RenderableType]:
    """Signs of a pull; nothing where no detector could look, for silence is no clean bill of health then."""
    if line.health is None or (line.health.unseen and not line.health.signs and not line.health.looked):
        return []
    return health_text.signs(line.health)


def warned(findings: Iterable[Finding]) -> list[RenderableType]:
    """Warnings and faults in full, notes as a count; nothing where there is nothing."""
    every = remarks.entries(findings)
    parts: list[RenderableType] = []
    for one in every:
        if one.severity is not Severity.NOTE:
            weight = one.severity.value
            lead = ((f"{weight} ", health_text.STYLES[weight]), (f"{one.code}: ", "bold"))
            parts.append(terminal.Paragraph(one.first, indent=2, hang=2, lead=lead))
            parts.append(terminal.Paragraph(f"-> {one.remedy}", indent=4))
    return parts


def warnings_of(line: KeptPull) -> list[RenderableType]:
    """What reading and cleaning warned of, without the signs, which are told by themselves."""
    told = [finding for finding in line.findings if finding.code not in SIGN_CODES.values()]
    parts = warned(told)
    notes = sum(one.severity is Severity.NOTE for one in remarks.entries(told))
    if notes:
        said = f"{notes} note{'s' if notes != 1 else ''} more: fairpull pull {line.name}"
        parts.append(terminal.Paragraph(said, style="dim", indent=2, hang=2))
    return parts


def taken_text(
    build: str,
    lines: Sequence[KeptPull],
    already: Mapping[str, Sequence[str]],
    findings: Sequence[Finding] = (),
    system: str = "us",
    *,
    again: bool = False,
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
        again: the pulls were kept before, and read again.
        width, colour: of the terminal.

    Returns:
        Lines, ending in a newline.
    """
    parts: list[RenderableType] = []
    for line in lines:
        parts.append(terminal.heading(f"{line.name} ({build})"))
        style = "bold green" if line.state == COUNTS else "bold red"
        parts.append(terminal.Paragraph(headline(line, system), style=style, indent=2, hang=2))
        parts.extend(why_aside(line))
        parts.extend(health_of(line))
        parts.extend([] if line.health is None else health_text.unseen(line.health))
        parts.extend(warnings_of(line))
    for path, names in already.items():
        parts.append(terminal.sentence(f"{path}: kept before as {', '.join(names)}.", above=True))
    if findings:
        parts.extend(terminal.blocks(remarks.entries(findings)))
    said = f"Read again: {len(lines)}." if again else f"Kept {len(lines)} of {len(lines) + len(already)}."
    parts.append(terminal.sentence(said, style="bold", above=True))
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
    said = settings.soundness(check)
    style = "bold green" if said == settings.SOUND else "bold red"
    parts: list[RenderableType] = [terminal.sentence(said, style=style)]
    parts.extend(terminal.pairs(settings.looked_at(check.looked_at)))
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
    notes: Sequence[Remark],
    laid: Sequence[Attachment],
    places: Mapping[str, str] | None = None,
    *,
    width: int = terminal.WIDTH,
    colour: bool = False,
) -> str:
    """Remarks and attachments.

    Args:
        notes: in somebody's words.
        laid: photographs and other files.
        places: content hash -> the file's place below the book's folder.
        width, colour: of the terminal.

    Returns:
        Lines, ending in a newline.
    """
    parts: list[RenderableType] = [terminal.heading("Remarks and attachments")]
    parts += [terminal.Paragraph(one.text, hang=2, lead=((f"{one.by or 'remark'}: ", "dim"),)) for one in notes]
    for one in laid:
        parts.append(terminal.Paragraph(one.note, hang=2, lead=((f"{one.file_name} ", "bold"),)))
        place = (places or {}).get(one.sha256, "")
        # a place of its own line: it is long, and has to be copied whole
        parts += [terminal.Paragraph(place, style="dim", indent=2)] if place else []
    return terminal.draw(parts, width=width, colour=colour)


def marks_text(marks: Sequence[Mark], *, width: int = terminal.WIDTH, colour: bool = False) -> str:
    """Every judgement of a pull.

    Args:
        marks: oldest first.
        width, colour: of the terminal.

    Returns:
        Lines, ending in a newline.
    """
    parts: list[RenderableType] = [terminal.heading("Judgements, oldest first")]
    for one in marks:
        limit = "" if one.valid_to is None else f" up to {digits.number(one.valid_to, 0)} rpm"
        said = f"{one.state}{limit}" + (f", {one.reason}" if one.reason else "") + (f" ({one.by})" if one.by else "")
        parts.append(terminal.Paragraph(said, hang=2, lead=((f"{words.moment(one.at)}: ", "dim"),)))
    return terminal.draw(parts, width=width, colour=colour)


def changed_text(before: KeptPull, after: KeptPull, *, width: int = terminal.WIDTH, colour: bool = False) -> str:
    """What a person's word did to a pull: its whole state now, and where it came from.

    Args:
        before, after: its lines of the catalogue.
        width, colour: of the terminal.

    Returns:
        Lines, ending in a newline.
    """
    moved = before.build != after.build
    here = f"{after.build}, " if moved else ""
    was = f"{before.build}, {state_text(before)}" if moved else state_text(before)
    same = not moved and state_text(before) == state_text(after)
    parts: list[RenderableType] = [terminal.sentence(f"{after.name}: {here}{state_text(after)}")]
    parts.append(terminal.Paragraph("as before" if same else f"before: {was}", style="dim", indent=2, hang=2))
    return terminal.draw(parts, width=width, colour=colour)
