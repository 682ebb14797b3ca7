"""A day out of the book as terminal text: every pull with its signs, then the main verdicts, then the purpose."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from fairpull.show import bench_text, comparison_text, health_text, terminal
from fairpull.show.facts import words
from fairpull.terms.bench import COUNTS, KeptPull
from fairpull.terms.ledger import FairComparison
from fairpull.terms.purpose import Scores

if TYPE_CHECKING:
    from rich.console import RenderableType


def _pull(line: KeptPull) -> list[RenderableType]:
    """A pull that has something to be said of it."""
    style = "bold" if line.state == COUNTS else "bold red"
    said = line.state if line.reason == "" else f"{line.state}: {line.reason.split(':', 1)[0]}"
    parts: list[RenderableType] = [terminal.Paragraph(f"{line.name}: {said}", style=style, hang=2)]
    if line.health is not None:
        parts.extend(health_text.signs(line.health))
    return parts


def _verdict(made: FairComparison) -> list[RenderableType]:
    """One verdict: its sentence, the ledger's summary, the fair sentences."""
    parts: list[RenderableType] = []
    for ledger, difference in zip(made.ledgers, made.comparison.differences, strict=True):
        style = comparison_text.STYLE.get(difference.verdict.kind, "bold")
        said = words.sentence(difference, made.comparison.quantity)
        parts.append(terminal.Paragraph(said, style=style, hang=2))
        needed = words.settle(difference.verdict)
        more = [ledger.summary, needed, *(look.sentence for look in made.looks.get(difference.other, ()))]
        parts += [terminal.Paragraph(one, indent=2, hang=2) for one in more if one]
    parts += [terminal.Paragraph(facts.text, indent=2, hang=2) for facts in made.boost if facts.text]
    return parts


def day_text(
    lines: Sequence[KeptPull],
    verdicts: Sequence[FairComparison],
    scores: Scores | None = None,
    system: str = "us",
    *,
    width: int = terminal.WIDTH,
    colour: bool = False,
) -> str:
    """A day as text.

    Args:
        lines: pulls with their health, in running order.
        verdicts: comparisons, the main one first.
        scores: of the builds on a duty; None where there is none.
        system: "us" or "metric".
        width, colour: of the terminal.

    Returns:
        Lines, ending in a newline.
    """
    parts: list[RenderableType] = [*terminal.table(bench_text.pull_table(lines, system))]
    parts.append(terminal.heading("What the pulls showed"))
    told = [line for line in lines if line.state != COUNTS or (line.health is not None and line.health.signs)]
    for line in told:
        parts.extend(_pull(line))
    parts.append(terminal.heading("Verdicts"))
    for made in verdicts:
        parts.extend(_verdict(made))
    if scores is not None:
        parts.append(terminal.heading(f"Purpose: {scores.duty.name}"))
        parts.append(terminal.sentence(scores.sentence))
    parts.append(terminal.sentence(words.CAUTIONS[1], style="dim", above=True))
    return terminal.draw(parts, width=width, colour=colour)
