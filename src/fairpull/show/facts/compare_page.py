"""What stands at the head of a comparison, for the report and the page alike: title, verdicts, what is around them."""

from __future__ import annotations

from dataclasses import dataclass

from fairpull.show.facts import day, how_made, views, words
from fairpull.show.facts.how_made import HowMade
from fairpull.show.facts.words import plain
from fairpull.terms.comparison import CANNOT_TELL, DIFFERS, Comparison, Difference
from fairpull.terms.findings import Finding, Severity

_KIND = {DIFFERS: "differs", CANNOT_TELL: "cannot-tell"}


@dataclass(frozen=True, slots=True)
class Fact:
    """One number or word under a verdict.

    Attributes:
        name: what it is; value: finished; more: its interval or what it counts, may be empty.
        made: how the number was made; None where it is not a computed number.
    """

    name: str
    value: str
    more: str = ""
    made: HowMade | None = None


@dataclass(frozen=True, slots=True)
class Head:
    """One verdict with what belongs to it.

    Attributes:
        reference, other: names of the builds.
        kind: the verdict's kind in words; tone: the same as a word for style sheets.
        sentence: the whole verdict.
        more: what would settle it, whether it hangs on the standard, unlike engines at a glance.
        facts: the numbers.
    """

    reference: str
    other: str
    kind: str
    tone: str
    sentence: str
    more: tuple[str, ...]
    facts: tuple[Fact, ...]


def title(comparison: Comparison) -> str:
    """``B and C against A``."""
    names = [plain(group.name) for group in comparison.groups]
    return f"{words.listed(names[1:])} against {names[0]}" if len(names) > 1 else "".join(names)


def _facts(comparison: Comparison, difference: Difference, system: str) -> tuple[Fact, ...]:
    counts = {group.name: len(group.curves) for group in comparison.groups}
    quantity = comparison.quantity
    made = how_made.of_difference(comparison, difference, system)
    ratio = words.apart(difference.mean_ratio, system, signed=True)
    main = words.apart(difference.mean_torque, system, signed=True, quantity=quantity)
    power = words.apart(difference.mean_power, system, signed=True)
    pulls = f"{counts[difference.other]} + {counts[difference.reference]}"
    return (
        Fact("average difference", *ratio, made.get("ratio")),
        Fact(f"in {words.quantity(comparison)}", *main, made.get("main")),
        Fact("in power", *power, made.get("power")),
        Fact("over", words.tested(comparison, *comparison.band, system)),
        Fact("pulls", pulls, f"{difference.other} + {difference.reference}"),
        Fact("air", words.standard_name(comparison.standard)),
    )


def verdict(comparison: Comparison, difference: Difference, system: str) -> Head:
    """A verdict as every page shows it.

    Args:
        comparison: the result.
        difference: one of its differences.
        system: "us" or "metric".

    Returns:
        Sentence, what would settle it, and the numbers, each with its making.
    """
    found = difference.verdict
    more = [words.settle(found)]
    if difference.depends_on_standard:
        more.append("The verdict depends on the correction standard.")
    more += [
        views.glance(view, one, system)
        for view in comparison.views
        for one in view.differences
        if one.other == difference.other
    ]
    return Head(
        reference=difference.reference,
        other=difference.other,
        kind=found.kind,
        tone=_KIND.get(found.kind, "no-difference"),
        sentence=words.sentence(difference, comparison.quantity),
        more=tuple(one for one in more if one),
        facts=_facts(comparison, difference, system),
    )


def heads(comparison: Comparison, system: str) -> tuple[Head, ...]:
    """Every verdict of a comparison."""
    return tuple(verdict(comparison, one, system) for one in comparison.differences)


def weights(comparison: Comparison) -> str:
    """``2 warnings, 1 note``; empty where there are no findings."""
    return day.weights(comparison)


def spoken(comparison: Comparison) -> str:
    """What the charts show, in words, for those who do not see them."""
    sentences = " ".join(difference.verdict.sentence for difference in comparison.differences)
    return f"Chart. {sentences} The numbers stand in the tables on this page."


def spoken_day(comparison: Comparison, system: str) -> str:
    """What the timeline shows, in words."""
    return "Timeline. " + "; ".join(
        f"pull {row[0]}, {row[2]} of {row[1]}: mean {row[9]}" for row in day.pulls(comparison, system).rows
    )


def chart_names(comparison: Comparison) -> tuple[str, ...]:
    """The charts that a comparison allows, as ``charts.names`` has them, without loading what draws them."""
    power = ("power",) if comparison.axis == "rpm" and comparison.quantity == "torque" else ()
    return ("torque", *power, "timeline", *views.lenses(comparison))


def chosen_band(
    comparison: Comparison, asked: bool, declared: tuple[float, float] | None, system: str
) -> list[Finding]:
    """What is to be said of a band that somebody chose on the page.

    Args:
        comparison: the result.
        asked: whether the address named a band.
        declared: the band that was declared before, None where none was.
        system: "us" or "metric".

    Returns:
        One finding where the band was chosen with the pulls on the screen; none where it is the declared one.
    """
    if not asked or comparison.band == declared:
        return []
    band = words.tested(comparison, *comparison.band, system)
    before = f"{words.tested(comparison, *declared, system)} was" if declared else "None was"
    said = f"The band of {band} was chosen on this page, with the pulls already seen. {before} declared before."
    remedy = (
        "A band chosen after seeing the data proves less than one declared before. Say so where the result is told."
    )
    return [Finding("band-chosen-after", Severity.WARNING, "band of interest", said, remedy)]
