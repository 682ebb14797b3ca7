"""One sheet as a page: what was entered, and what is computed from it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from fairpull import engine
from fairpull.show import bench_text, digits, scale, sheets_text
from fairpull.tasks.bench.builds import Shelf
from fairpull.tasks.bench.check_file import check_findings, check_from_table

if TYPE_CHECKING:
    from fairpull.book import Book
    from fairpull.terms.bench import Sheet
    from fairpull.terms.findings import Finding


def sheet_page(kept: Book, sheet: Sheet, system: str, *, width: int, colour: bool) -> str:
    """A sheet as text for a terminal.

    Args:
        kept: the book it is from.
        sheet: one of its sheets.
        system: "us" or "metric".
        width, colour: of the terminal.

    Returns:
        Lines, ending in a newline.
    """
    shelf = Shelf(kept, [sheet])
    if sheet.kind == "build":
        return bench_text.build_text(shelf.build(sheet.name), system, width=width, colour=colour)
    if sheet.kind == "part":
        return bench_text.part_text(shelf.part(sheet.name), system, width=width, colour=colour)
    if sheet.kind == "engine":
        return sheets_text.sheet_text(sheet, _computed(shelf, sheet.name, system), width=width, colour=colour)
    found = sheet_findings_of(sheet) if sheet.kind == "check" else None
    return sheets_text.sheet_text(sheet, (), found, width=width, colour=colour)


def sheet_findings_of(sheet: Sheet) -> tuple[Finding, ...]:
    """What a sheet says about the engine or the brake; nothing unless it is a check.

    Args:
        sheet: as kept.

    Returns:
        Findings.
    """
    if sheet.kind != "check":
        return ()
    where = f"check {sheet.name}"
    return check_findings(check_from_table(sheet.body, where=where), where)


def _computed(shelf: Shelf, name: str, system: str) -> tuple[tuple[str, str], ...]:
    """What follows from an engine's sheet alone."""
    machine = shelf.engine(name)
    swept = machine.displacement
    if swept is None:
        swept = float(engine.displacement(machine.bore, machine.stroke, machine.cylinders))
    rows = [("displacement", f"{digits.number(scale.scalar(swept, 'm3', system), 3)} {scale.label('m3', system)}")]
    rows += [("displacement of one cylinder", f"{digits.number(1e6 * swept / machine.cylinders, 1)} cc")] * (
        machine.cylinders > 0
    )
    if machine.compression_ratio is not None:
        rows.append(("compression ratio", f"{digits.bare(machine.compression_ratio, 2)}:1"))
    if machine.bore > 0.0 and machine.stroke > 0.0:
        rows.append(("stroke over bore", digits.bare(machine.stroke / machine.bore, 3)))
    return tuple(rows)
