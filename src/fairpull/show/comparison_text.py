"""A comparison as terminal text: the verdict first, then what it stands on."""

from __future__ import annotations

from typing import TYPE_CHECKING

from fairpull.show import terminal
from fairpull.show.facts import builds, day, words
from fairpull.show.facts import difference as one_difference
from fairpull.terms.comparison import CANNOT_TELL, DIFFERS, Comparison, Difference

if TYPE_CHECKING:
    from rich.console import RenderableType

STYLE = {DIFFERS: "bold green", CANNOT_TELL: "bold yellow"}


def _verdict(difference: Difference) -> list[RenderableType]:
    verdict = difference.verdict
    parts = [terminal.sentence(verdict.sentence, style=STYLE.get(verdict.kind, "bold"))]
    more = [words.settle(verdict)]
    if difference.depends_on_standard:
        more.append("The verdict depends on the correction standard; see below.")
    parts.extend(terminal.sentence(one) for one in more if one)
    return parts


def _difference(comparison: Comparison, difference: Difference, system: str) -> list[RenderableType]:
    return [
        *terminal.table(one_difference.by_rpm(comparison, difference, system)),
        *terminal.pairs(one_difference.averages(comparison, difference, system)),
        *terminal.pairs(one_difference.crossovers(comparison, difference, system)),
        *terminal.pairs(one_difference.shape(comparison, difference, system)),
        *terminal.table(one_difference.by_standard(comparison, difference)),
    ]


def comparison_text(
    comparison: Comparison, system: str = "us", *, width: int = terminal.WIDTH, colour: bool = False
) -> str:
    """A comparison as text for a terminal.

    Args:
        comparison: the result.
        system: "us" or "metric".
        width: columns; no line is longer.
        colour: with ANSI styles.

    Returns:
        Lines, ending in a newline. The first is the verdict.
    """
    parts: list[RenderableType] = []
    for difference in comparison.differences:
        parts.extend(_verdict(difference))
    parts.extend(terminal.pairs(day.question(comparison, system)))
    for difference in comparison.differences:
        parts.extend(_difference(comparison, difference, system))
    parts.extend(terminal.table(builds.averages(comparison, system)))
    parts.extend(terminal.table(builds.peaks(comparison, system)))
    if comparison.declared:
        parts.extend(terminal.table(builds.declared(comparison, system)))
    parts.extend(terminal.table(day.pulls(comparison, system)))
    odd = day.odd_pulls(comparison)
    parts.append(terminal.heading(odd.title))
    parts.extend(terminal.sentence(row[3]) for row in odd.rows)
    parts.append(terminal.sentence(odd.note, style="dim"))
    parts.extend(terminal.pairs(day.noise(comparison)))
    if comparison.choices:
        parts.extend(terminal.pairs(day.choices(comparison)))
    parts.extend(terminal.blocks(day.findings(comparison)))
    parts.append(terminal.sentence(words.CAUTIONS[1], style="dim", above=True))
    return terminal.draw(parts, width=width, colour=colour)
