"""Sheets as terminal text: what adding them did, and a sheet that has no page of its own, entry by entry."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

from fairpull.show import terminal
from fairpull.show.facts import remarks
from fairpull.show.facts.table import Column, Table
from fairpull.show.facts.table import words as text
from fairpull.terms.bench import Sheet
from fairpull.terms.findings import Finding

if TYPE_CHECKING:
    from rich.console import RenderableType

Row = tuple[Sheet, str, str]
"""A sheet as kept; "new", "changed" or "unchanged"; what changed."""


def added_text(
    rows: Sequence[Row],
    findings: Sequence[Finding] = (),
    *,
    width: int = terminal.WIDTH,
    colour: bool = False,
) -> str:
    """What adding did, sheet by sheet.

    Args:
        rows: in order.
        findings: about them.
        width, colour: of the terminal.

    Returns:
        Lines, ending in a newline.
    """
    cells = tuple((sheet.kind, sheet.name, str(sheet.version), _did(sheet, what)) for sheet, what, _ in rows)
    columns = (text("kind"), text("name"), Column("version"), text("what"))
    parts: list[RenderableType] = [*terminal.table(Table("sheets", "Sheets", columns, cells, ""))]
    for sheet, _, said in rows:
        if said:
            parts.append(terminal.Paragraph(said, hang=2, lead=((f"{sheet.kind} {sheet.name}: ", "bold"),)))
    if findings:
        parts.extend(terminal.blocks(remarks.entries(findings)))
    return terminal.draw(parts, width=width, colour=colour)


def _did(sheet: Sheet, what: str) -> str:
    return f"changed, was version {sheet.version - 1}" if what == "changed" else what


def sheet_text(
    sheet: Sheet,
    computed: Sequence[tuple[str, str]] = (),
    findings: Sequence[Finding] | None = None,
    *,
    width: int = terminal.WIDTH,
    colour: bool = False,
) -> str:
    """A sheet entry by entry, in the order in which it was written.

    Args:
        sheet: as kept.
        computed: what follows from it, name and value with unit.
        findings: what it means; None where it means nothing by itself.
        width, colour: of the terminal.

    Returns:
        Lines, ending in a newline.
    """
    version = f", version {sheet.version}" if sheet.version else ""
    parts: list[RenderableType] = [terminal.sentence(f"{sheet.kind} {sheet.name}{version}", style="bold")]
    parts.extend(_section("Entries", sheet.body))
    if computed:
        parts.extend(terminal.pairs(Table("computed", "Computed", (text("what"), text("value")), tuple(computed))))
    if findings is not None:
        parts.extend(terminal.blocks(remarks.entries(findings)))
    return terminal.draw(parts, width=width, colour=colour)


def _section(title: str, body: Mapping[str, Any]) -> list[RenderableType]:
    """Plain entries first, then each table and each row of tables under its own heading."""
    plain = tuple((str(key), _value(value)) for key, value in body.items() if not _is_table(value))
    parts: list[RenderableType] = []
    if plain:
        parts.extend(terminal.listing(Table("entries", title, (text("entry"), text("value")), plain)))
    for key, value in body.items():
        if isinstance(value, Mapping):
            parts.extend(_section(str(key), value))
        elif _is_table(value):
            for number, row in enumerate(value, start=1):
                parts.extend(_section(f"{key} {number}", row))
    return parts


def _is_table(value: object) -> bool:
    rows = isinstance(value, list) and bool(value) and all(isinstance(one, Mapping) for one in value)
    return isinstance(value, Mapping) or rows


def _value(value: object) -> str:
    if isinstance(value, list):
        return "; ".join(", ".join(map(str, one)) if isinstance(one, list) else str(one) for one in value)
    if isinstance(value, bool):
        return "true" if value else "false"
    return str(value)
