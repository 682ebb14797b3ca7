"""One sheet as a page: what was entered, and what is computed from it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from fairpull.show import bench_text
from fairpull.tasks.bench.builds import Shelf
from fairpull.tasks.bench.check_file import check_findings, check_from_table
from fairpull.tasks.bench.sheet_files import sheet_text

if TYPE_CHECKING:
    from fairpull.book import Book
    from fairpull.terms.bench import Sheet


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
    if sheet.kind == "check":
        where = f"check {sheet.name}"
        found = check_findings(check_from_table(sheet.body, where=where), where)
        return sheet_text(sheet) + "\n" + bench_text.findings_text(found, width=width, colour=colour)
    return sheet_text(sheet)
