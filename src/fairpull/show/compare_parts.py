"""The body of a comparison's page: every table with the making of its numbers, every chart with its words."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from fairpull.show import fairness_text, ledger_text
from fairpull.show.chart_words import CAPTIONS, VIEW
from fairpull.show.facts import builds, compare_page, day, derived, how_made, made, views, words
from fairpull.show.facts import difference as one_difference
from fairpull.show.facts.compare_page import Head
from fairpull.show.facts.how_made import HowMade, Opened
from fairpull.show.facts.past_page import past_sentence
from fairpull.show.facts.table import Column, Table
from fairpull.show.facts.table import words as text
from fairpull.terms.comparison import Comparison, Difference, FairView
from fairpull.terms.findings import Finding
from fairpull.terms.ledger import EQUAL, INTENDED, UNKNOWN, FairComparison, Ledger, LedgerRow

ROLES = {INTENDED: "under test", EQUAL: "held", UNKNOWN: "not known"}
PLAIN_BESIDE = "The line with the band: on fair ground. Dotted: the plain difference in torque at equal rpm."
BOOST_BESIDE = "The line with the band: the gain that was measured. Dotted: what the pressure ratio alone would give."


@dataclass(frozen=True, slots=True)
class Picture:
    """One chart: its name in addresses, its caption, and what it shows in words."""

    name: str
    caption: str
    alt: str


@dataclass(frozen=True, slots=True)
class LedgerPart:
    """One ledger: its sentence, everything in it, what it is worth together, past work."""

    other: str
    summary: str
    table: Table
    together: str
    before: str
    findings: tuple[Finding, ...]


@dataclass(frozen=True, slots=True)
class DifferencePart:
    """One difference: by rpm with every row opened, its small tables, and the making of their numbers."""

    key: str
    other: str
    by_rpm: Table
    opened: tuple[Opened, ...]
    small: tuple[Table, ...]
    standards: Table
    made: tuple[HowMade, ...]


@dataclass(frozen=True, slots=True)
class LookPart:
    """A fair view or what boost gave: what it says, what it takes for granted, table and chart."""

    key: str
    title: str
    sentence: str
    notes: tuple[str, ...]
    table: Table
    picture: Picture


@dataclass(frozen=True, slots=True)
class ViewPart:
    """Unlike engines on common ground: sentences, averages, chart, tables of each difference."""

    key: str
    title: str
    sentences: tuple[str, ...]
    remark: str
    averages: Table
    picture: Picture | None
    differences: tuple[DifferencePart, ...]


@dataclass(frozen=True, slots=True)
class Parts:
    """The page's body, in the order of reading."""

    question: str
    opening: tuple[str, ...]
    before: tuple[str, ...]
    heads: tuple[Head, ...]
    weights: str
    torque: Picture
    power: Picture | None
    timeline: Picture
    ledgers: tuple[LedgerPart, ...]
    differences: tuple[DifferencePart, ...]
    looks: tuple[LookPart, ...]
    views: tuple[ViewPart, ...]
    averages: Table
    peaks: Table
    builds_made: tuple[HowMade, ...]
    derived: Table
    declared: Table | None
    pulls: Table
    noise: Table
    odd: Table
    asked: Table
    choices: Table
    findings: tuple[Finding, ...]
    explained: Table
    sources: Table
    files: Table


def parts(fair: FairComparison, system: str, more: Sequence[Finding] = ()) -> Parts:
    """Everything on the page of a comparison, as finished strings.

    Args:
        fair: the comparison with its ledgers and views.
        system: "us" or "metric".
        more: findings of the page itself.

    Returns:
        The body.
    """
    comparison = fair.comparison
    names = compare_page.chart_names(comparison)
    spoken = compare_page.spoken(comparison)
    return Parts(
        question=comparison.question.text,
        opening=tuple(ledger.summary for ledger in fair.ledgers),
        before=tuple(ledger_text.BEFORE + past_sentence(one, system) for one in fair.past.values()),
        heads=compare_page.heads(comparison, system),
        weights=compare_page.weights(comparison),
        torque=Picture("torque", CAPTIONS["torque"], spoken),
        power=Picture("power", CAPTIONS["power"], spoken) if "power" in names else None,
        timeline=Picture("timeline", CAPTIONS["timeline"], compare_page.spoken_day(comparison, system)),
        ledgers=tuple(_ledger(fair, ledger, system) for ledger in fair.ledgers),
        differences=tuple(
            _difference(comparison, one, system, "" if place == 0 else f"-{place + 1}")
            for place, one in enumerate(comparison.differences)
        ),
        looks=tuple(_looks(fair, system)),
        views=_views(comparison, system),
        averages=builds.averages(comparison, system),
        peaks=builds.peaks(comparison, system),
        builds_made=tuple(one for group in comparison.groups for one in how_made.of_group(comparison, group, system)),
        derived=derived.by_rpm(comparison, system),
        declared=builds.declared(comparison, system) if comparison.declared else None,
        pulls=day.pulls(comparison, system),
        noise=day.noise(comparison),
        odd=day.odd_pulls(comparison),
        asked=day.question(comparison, system),
        choices=day.choices(comparison),
        findings=tuple(dict.fromkeys([*more, *words.all_findings(comparison), *fair.findings])),
        explained=made.numbers(comparison, system),
        sources=made.sources(comparison),
        files=day.files(comparison),
    )


def _cells(row: LedgerRow, system: str) -> tuple[str, ...]:
    rule = row.rule or "none known"
    return (ROLES.get(row.role, "differs too"), row.name, *ledger_text.shown(row, system), ledger_text.worth(row), rule)


def _ledger(fair: FairComparison, ledger: Ledger, system: str) -> LedgerPart:
    rows = tuple((*_cells(row, system), row.text) for row in ledger.rows)
    columns = (
        text("role"),
        text("what"),
        text(ledger.reference),
        text(ledger.other),
        Column("worth on torque, %"),
        text("rule and source"),
        text("in words"),
    )
    key = "ledger" if ledger is fair.ledgers[0] else f"ledger-{fair.ledgers.index(ledger) + 1}"
    title = f"{ledger.other} against {ledger.reference}: what differs, what was held"
    together = ""
    if ledger.together is not None:
        said = words.with_interval(ledger.together, system, signed=True)
        together = f"All that else differs together: {said} of torque, as if independent."
    past = fair.past.get(ledger.other)
    return LedgerPart(
        ledger.other,
        ledger.summary,
        Table(key, title, columns, rows, ledger_text.SIZES),
        together,
        "" if past is None else ledger_text.BEFORE + past_sentence(past, system),
        ledger.findings,
    )


def _difference(comparison: Comparison, one: Difference, system: str, suffix: str) -> DifferencePart:
    by_rpm = one_difference.by_rpm(comparison, one, system)
    small = (
        one_difference.averages(comparison, one, system),
        one_difference.crossovers(comparison, one, system),
        one_difference.shape(comparison, one, system),
    )
    standards = one_difference.by_standard(comparison, one)
    return DifferencePart(
        key=suffix,
        other=one.other,
        by_rpm=replace(by_rpm, key=f"by-rpm{suffix}"),
        opened=how_made.by_rpm(comparison, one, by_rpm, system),
        small=tuple(replace(table, key=f"{table.key}{suffix}") for table in small),
        standards=replace(standards, key=f"standards{suffix}"),
        made=tuple(how_made.of_difference(comparison, one, system).values()),
    )


def _looks(fair: FairComparison, system: str) -> list[LookPart]:
    reference = fair.comparison.groups[0].name
    found: list[LookPart] = []
    for at, (other, looks) in enumerate(fair.looks.items(), start=1):
        for place, look in enumerate(looks, start=1):
            key = f"fair-{at}-{place}"
            table = fairness_text.look_table(look, (reference, other), system)
            notes = [f"Takes for granted: {look.assumption}"]
            notes += [f"Held equal: {fairness_text.held(look.held, system)}."] if look.held is not None else []
            notes += [f"Band: {look.band}."] if look.band else []
            source = fairness_text.PRACTICE if look.source == "practice" else look.source
            notes.append(f"Source: {source}.")
            title = f"{other} against {reference}, {look.name}"
            picture = Picture(key, f"{words.capital(look.name)}. {PLAIN_BESIDE}", f"Chart. {look.sentence}")
            shown = replace(table, key=f"{key}-table", title=f"{title}, by {look.axis}")
            found.append(LookPart(key, title, look.sentence, tuple(notes), shown, picture))
    for at, facts in enumerate(fair.boost, start=1):
        table = fairness_text.boost_table(facts, system)
        shown = replace(table, key=f"boost-{at}-table", title=f"{table.title}, by rpm")
        notes = [f"{one.text} {one.remedy}" for one in facts.findings]
        picture = Picture(f"boost-{at}", f"What boost gave. {BOOST_BESIDE}", f"Chart. {facts.text}")
        found.append(LookPart(f"boost-{at}", table.title, facts.text, tuple(notes), shown, picture))
    return found


def _views(comparison: Comparison, system: str) -> tuple[ViewPart, ...]:
    seen = views.lenses(comparison)
    return tuple(_view(comparison, view, seen.get(views.key(view)), system) for view in comparison.views)


def _view(comparison: Comparison, view: FairView, lens: Comparison | None, system: str) -> ViewPart:
    key = views.key(view)
    spoken = " ".join(one.verdict.sentence for one in (lens.differences if lens else ()))
    return ViewPart(
        key=key,
        title=views.title(view),
        sentences=tuple(words.sentence(one, "bmep") for one in view.differences),
        remark=views.remark(comparison, view),
        averages=views.averages(comparison, view, system),
        picture=Picture(key, VIEW, f"Chart. {spoken}") if lens is not None else None,
        differences=tuple(
            _difference(lens, one, system, f"-{key}-{place}") for place, one in enumerate(lens.differences, start=1)
        )
        if lens is not None
        else (),
    )
