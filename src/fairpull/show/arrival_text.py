"""A log that has just come in, at arm's length: does it count, what is wrong, what the verdict says now."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from fairpull.show import bench_text, comparison_text, digits, health_text, terminal
from fairpull.show.facts import words
from fairpull.terms.bench import COUNTS, KeptPull
from fairpull.terms.ledger import FairComparison

if TYPE_CHECKING:
    from rich.console import RenderableType


def arrival_text(
    name: str,
    lines: Sequence[KeptPull],
    made: FairComparison | None,
    *,
    why_not: str = "",
    look: int = 0,
    system: str = "us",
    width: int = terminal.WIDTH,
    colour: bool = False,
) -> str:
    """What came of one log.

    Args:
        name: of the file.
        lines: its pulls as kept; empty where it was refused or kept before.
        made: the comparison of its build with the reference; None where there is none.
        why_not: why there is nothing, or no comparison.
        look: number of this look at the build.
        system: "us" or "metric".
        width, colour: of the terminal.

    Returns:
        Lines, ending in a newline: findings first, then the verdict.
    """
    parts: list[RenderableType] = [terminal.heading(name)]
    for line in lines:
        style = "bold green" if line.state == COUNTS else "bold red"
        said = f"{line.name} ({line.build}): {bench_text.headline(line, system)}"
        parts.append(terminal.sentence(said, style=style))
        if line.health is not None:
            parts.extend(health_text.signs(line.health))
    if made is not None:
        for ledger, difference in zip(made.ledgers, made.comparison.differences, strict=True):
            said = words.sentence(difference, made.comparison.quantity)
            style = comparison_text.STYLE.get(difference.verdict.kind, "bold")
            parts.append(terminal.sentence(said, style=style, above=True))
            level = digits.bare(100.0 * difference.verdict.level, 2)
            counted = f"Look {look} at this build; bands hold at {level} % because of the looks. " if look else ""
            parts.append(terminal.sentence(counted + ledger.summary, style="dim"))
            needed = words.settle(difference.verdict)
            parts.extend([terminal.sentence(needed)] if needed else [])
    if why_not:
        parts.append(terminal.sentence(why_not, style="yellow"))
    return terminal.draw(parts, width=width, colour=colour)
