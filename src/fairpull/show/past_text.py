"""What past comparisons of one kind of change say, as terminal text: the expectation first."""

from __future__ import annotations

from typing import TYPE_CHECKING

from fairpull.show import terminal
from fairpull.show.facts import remarks
from fairpull.show.facts.past_page import effects_table, past_sentence, summary_table
from fairpull.terms.tuning import PastWork

if TYPE_CHECKING:
    from rich.console import RenderableType


def past_text(past: PastWork, system: str = "us", *, width: int = terminal.WIDTH, colour: bool = False) -> str:
    """Past work as text for a terminal.

    Args:
        past: the summary.
        system: "us" or "metric".
        width: columns; no line is longer.
        colour: with ANSI styles.

    Returns:
        Lines, ending in a newline. The first is the expectation.
    """
    parts: list[RenderableType] = [terminal.sentence(past_sentence(past, system), style="bold")]
    if past.effects:
        parts.extend(terminal.pairs(summary_table(past, system)))
        parts.extend(terminal.table(effects_table(past, system)))
    parts.extend(terminal.blocks(remarks.entries(past.findings)))
    return terminal.draw(parts, width=width, colour=colour)
