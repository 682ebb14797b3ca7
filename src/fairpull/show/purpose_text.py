"""Builds scored on a declared duty, as terminal text: who is ahead first, then what it stands on."""

from __future__ import annotations

from typing import TYPE_CHECKING

from fairpull.show import terminal
from fairpull.show.facts import remarks, words
from fairpull.show.facts.purpose_page import (
    choices_table,
    differences_table,
    duty_table,
    made_table,
    met,
    own_findings,
    parts_table,
    scores_table,
)
from fairpull.terms.purpose import Scores

if TYPE_CHECKING:
    from rich.console import RenderableType


def purpose_text(scores: Scores, system: str = "us", *, width: int = terminal.WIDTH, colour: bool = False) -> str:
    """Scores as text for a terminal.

    Args:
        scores: the result.
        system: "us" or "metric".
        width: columns; no line is longer.
        colour: with ANSI styles.

    Returns:
        Lines, ending in a newline. The first is who is ahead.
    """
    alone = bool(scores.ties) and len(scores.ties[0]) == 1 and met(scores)
    parts: list[RenderableType] = [terminal.sentence(scores.sentence, style="bold green" if alone else "bold yellow")]
    parts.extend(terminal.pairs(duty_table(scores.duty, system)))
    parts.extend(terminal.table(scores_table(scores, system)))
    made = parts_table(scores, system)
    if made.rows:
        parts.extend(terminal.table(made))
    if scores.differences:
        parts.extend(terminal.table(differences_table(scores, system)))
    if scores.choices:
        parts.extend(terminal.listing(choices_table(scores)))
    how = made_table(scores)
    if how.rows:
        parts.extend(terminal.listing(how))
    own, reading = own_findings(scores.findings)
    parts.extend(terminal.blocks(remarks.entries(own)))
    parts.extend([terminal.sentence(reading, style="dim", above=True)] if reading else [])
    parts.append(terminal.sentence(words.CAUTIONS[1], style="dim", above=True))
    return terminal.draw(parts, width=width, colour=colour)
