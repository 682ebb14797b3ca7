"""Kept results as terminal text: the list, and one of them from its stored document."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from fairpull.show import terminal
from fairpull.show.facts import remarks, result_page
from fairpull.show.facts.result_page import Document, verdicts
from fairpull.terms.bench import StoredResult

if TYPE_CHECKING:
    from rich.console import RenderableType


def results_text(
    found: Sequence[tuple[StoredResult, Document]], *, width: int = terminal.WIDTH, colour: bool = False
) -> str:
    """Kept results, each with its verdict in short.

    Args:
        found: results with their documents, oldest first.
        width, colour: of the terminal.

    Returns:
        Lines, ending in a newline.
    """
    parts: list[RenderableType] = []
    for result, document in found:
        head = result_page.head(result)
        parts.append(terminal.Paragraph(head, hang=2, lead=((f"{result.name}: ", "bold"),)))
        parts += [terminal.Paragraph(said, indent=2, hang=2) for said in verdicts(document)]
    if not found:
        parts.append(terminal.sentence("No result is kept yet: fairpull compare BUILD... --keep NAME"))
    return terminal.draw(parts, width=width, colour=colour)


def result_text(result: StoredResult, document: Document, *, width: int = terminal.WIDTH, colour: bool = False) -> str:
    """One kept result, as it was when it was kept.

    Args:
        result: as stored.
        document: its JSON, read.
        width, colour: of the terminal.

    Returns:
        Lines, ending in a newline; the verdict first.
    """
    parts: list[RenderableType] = [terminal.sentence(said, style="bold") for said in verdicts(document)]
    parts.extend(terminal.pairs(result_page.about_table(result, document)))
    for one in result_page.decides_tables(result, document):
        parts.extend(terminal.listing(one))
    parts.extend(terminal.blocks(remarks.entries(result_page.findings(document))))
    return terminal.draw(parts, width=width, colour=colour)
