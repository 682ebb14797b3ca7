"""A comparison as terminal text: the verdict first, then what it stands on."""

from __future__ import annotations

from typing import TYPE_CHECKING

from fairpull.show import terminal
from fairpull.show.facts import builds, day, derived, made, views, words
from fairpull.show.facts import difference as one_difference
from fairpull.terms.comparison import CANNOT_TELL, DIFFERS, Comparison, Difference

if TYPE_CHECKING:
    from rich.console import RenderableType

STYLE = {DIFFERS: "bold green", CANNOT_TELL: "bold yellow"}


def _verdicts(comparison: Comparison, system: str) -> list[RenderableType]:
    parts: list[RenderableType] = []
    for difference in comparison.differences:
        verdict = difference.verdict
        said = words.sentence(difference, comparison.quantity)
        parts.append(terminal.sentence(said, style=STYLE.get(verdict.kind, "bold")))
        more = [words.settle(verdict)]
        if difference.depends_on_standard:
            more.append("The verdict depends on the correction standard; see below.")
        more += [
            views.glance(view, one, system)
            for view in comparison.views
            for one in view.differences
            if one.other == difference.other
        ]
        parts.extend(terminal.sentence(one) for one in more if one)
    found = day.weights(comparison)
    if found:
        parts.append(terminal.sentence(f"Findings: {found}; see below.", style="dim"))
    return parts


def _difference(comparison: Comparison, difference: Difference, system: str) -> list[RenderableType]:
    return [
        *terminal.table(one_difference.by_rpm(comparison, difference, system)),
        *terminal.pairs(one_difference.averages(comparison, difference, system)),
        *terminal.pairs(one_difference.crossovers(comparison, difference, system)),
        *terminal.pairs(one_difference.shape(comparison, difference, system)),
        *terminal.table(one_difference.by_standard(comparison, difference)),
    ]


def _views(comparison: Comparison, system: str) -> list[RenderableType]:
    parts: list[RenderableType] = []
    seen = views.lenses(comparison)
    for view in comparison.views:
        parts.append(terminal.heading(views.title(view)))
        parts.extend(terminal.sentence(words.sentence(one, "bmep")) for one in view.differences)
        about = views.remark(comparison, view)
        parts.extend([terminal.sentence(about, style="dim")] if about else [])
        parts.extend(terminal.table(views.averages(comparison, view, system)))
        lens = seen.get(views.key(view))
        for difference in lens.differences if lens else ():
            parts.extend(terminal.table(one_difference.by_rpm(lens or comparison, difference, system)))
            parts.extend(terminal.pairs(one_difference.averages(lens or comparison, difference, system)))
            parts.extend(terminal.pairs(one_difference.crossovers(lens or comparison, difference, system)))
    return parts


def _making(comparison: Comparison) -> list[RenderableType]:
    """How numbers were made, then the works that are named, each in a line."""
    explained, sources = made.explained(comparison), made.sources(comparison)
    parts = [*terminal.listing(explained)] if explained.rows else []
    if sources.rows:
        parts.extend(terminal.listing(made.in_lines(sources.rows)))
    return parts


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
    parts = _verdicts(comparison, system)
    parts.extend(terminal.pairs(day.question(comparison, system)))
    for difference in comparison.differences:
        parts.extend(_difference(comparison, difference, system))
    parts.extend(_views(comparison, system))
    parts.extend(terminal.table(builds.averages(comparison, system)))
    parts.extend(terminal.table(builds.peaks(comparison, system)))
    if comparison.declared:
        parts.extend(terminal.table(builds.declared(comparison, system)))
    engine = derived.by_rpm(comparison, system)
    if engine.rows:
        parts.extend(terminal.table(engine))
    parts.extend(terminal.table(day.pulls(comparison, system)))
    odd = day.odd_pulls(comparison)
    parts.append(terminal.heading(odd.title))
    parts.extend(terminal.sentence(row[3]) for row in odd.rows)
    parts.append(terminal.sentence(odd.note, style="dim"))
    parts.extend(terminal.pairs(day.noise(comparison)))
    if comparison.choices:
        parts.extend(terminal.listing(day.choices(comparison)))
    parts.extend(_making(comparison))
    parts.extend(terminal.blocks(day.findings(comparison)))
    parts.append(terminal.sentence(words.CAUTIONS[1], style="dim", above=True))
    return terminal.draw(parts, width=width, colour=colour)
