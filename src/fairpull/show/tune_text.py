"""Spark and mixture loops, and running in, as terminal text."""

from __future__ import annotations

from typing import TYPE_CHECKING

from fairpull.show import terminal
from fairpull.show.facts import remarks, tune_page
from fairpull.show.facts.tune_page import loops_table, worth_table
from fairpull.terms.tuning import RunningIn, TuneResult

if TYPE_CHECKING:
    from rich.console import RenderableType


def tune_text(result: TuneResult, system: str = "us", *, width: int = terminal.WIDTH, colour: bool = False) -> str:
    """Loops as text for a terminal: cautions first, then what to run next.

    Args:
        result: all loops.
        system: "us" or "metric".
        width, colour: of the terminal.

    Returns:
        Lines, ending in a newline.
    """
    parts: list[RenderableType] = [terminal.sentence(one, style="yellow") for one in result.cautions]
    parts.extend(terminal.table(loops_table(result)))
    worth = worth_table(result, system)
    parts.extend(terminal.table(worth) if worth.rows else [])
    parts.extend(terminal.listing(tune_page.next_table(result)))
    checks = tune_page.checks_table(result)
    if checks.rows:
        parts.extend(terminal.listing(checks))
    parts.extend(terminal.listing(tune_page.choices_table(result)))
    parts.extend(terminal.blocks(remarks.entries(tune_page.all_findings(result))))
    return terminal.draw(parts, width=width, colour=colour)


def running_in_text(result: RunningIn, system: str = "us", *, width: int = terminal.WIDTH, colour: bool = False) -> str:
    """Whether an engine has settled, as text for a terminal; arguments as for ``tune_text``."""
    parts: list[RenderableType] = [terminal.sentence(result.sentence, style="bold")]
    parts.extend(terminal.table(tune_page.pulls_table(result, system)))
    trends = tune_page.trends_table(result, system)
    if trends.rows:
        parts.extend(terminal.table(trends))
    come = tune_page.to_come(result, system)
    if come:
        parts.append(terminal.sentence(come))
    parts.extend(terminal.blocks(remarks.entries(result.findings)))
    return terminal.draw(parts, width=width, colour=colour)
