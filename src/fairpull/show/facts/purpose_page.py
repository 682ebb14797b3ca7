"""Builds scored on a declared duty, as finished strings: the common ground of terminal and page."""

from __future__ import annotations

import math
from collections.abc import Sequence

from fairpull.show import digits, scale
from fairpull.show.facts import words
from fairpull.show.facts.made import STATUS
from fairpull.show.facts.table import Column, Table
from fairpull.show.facts.table import words as text
from fairpull.terms.errors import UnitRefused
from fairpull.terms.findings import Finding, Severity
from fairpull.terms.purpose import Duty, Score, Scores, Veto
from fairpull.terms.sources import SOURCES

KIND_WORDS = {
    "bands": "weighted average over bands of output speed",
    "load line": "least margin of power along a load line",
    "histogram": "power weighted by time at each speed",
    "gears": "power between shift recovery and shift speed",
    "cycle": "least margin of power over a published cycle's loaded points",
}
ASKS_POWER = ("load line", "cycle")
"""Kinds of duty that ask for a certain power; their scores are margins."""
OWN = (
    "build-not-known",
    "demand-not-met",
    "duty-untested",
    "limit-broken",
    "limit-not-known",
    "scores-across-days",
    "scores-not-paired",
    "site-air-assumed",
    "site-air-held",
    "site-air-turbo",
    "ties-overlap",
)
"""Codes of what is said about the duty itself (``fairpull.compare.purpose``)."""
FULL_LOAD = (
    "From full-load curves only: the power there is over each point's load. Nothing is said of fuel or emissions, "
    "which the cycle was made for."
)


def limit_text(veto: Veto, system: str) -> str:
    """``exhaust temperature at most 1,400 °F``."""
    ends = []
    for word, value in (("at least", veto.least), ("at most", veto.most)):
        if value is not None:
            ends.append(f"{word} {_amount(value, veto, system)}")
    why = f" ({veto.text})" if veto.text else ""
    return f"{veto.name.replace('_', ' ')} {' and '.join(ends)}{why}"


def _amount(value: float, veto: Veto, system: str) -> str:
    """A limit in the unit that its channel is read in; in its own where nothing is known of that."""
    if veto.unit == "1":
        return digits.bare(value, 2)
    for quantity in (veto.name, ""):
        try:
            shown, unit = scale.scalar(value, veto.unit, system, quantity), scale.label(veto.unit, system, quantity)
        except UnitRefused:
            continue
        return f"{digits.bare(shown, 2)} {unit}"
    return f"{digits.bare(value, 2)} {veto.unit}"


def _air(duty: Duty, system: str) -> str:
    if duty.air is None:
        return "as in the comparison"
    pressure = digits.number(scale.scalar(duty.air.pressure, "Pa", system, "barometer"), 2)
    temperature = digits.number(scale.scalar(duty.air.temperature, "K", system), 0)
    return f"{pressure} {scale.label('Pa', system, 'barometer')}, {temperature} {scale.label('K', system)}"


def duty_table(duty: Duty, system: str) -> Table:
    """What was declared."""
    rows = [("duty", duty.name), ("what for", duty.text or "not written down"), ("scored on", KIND_WORDS[duty.kind])]
    rows.append(("air", _air(duty, system)))
    rows += [("limit", limit_text(veto, system)) for veto in duty.vetoes]
    rows.append(("closer than this is a tie", f"{digits.bare(100.0 * duty.smallest, 2)} %"))
    if duty.source in SOURCES:
        source = SOURCES[duty.source]
        rows.append(("source", f"{source.title} ({STATUS[source.status]})"))
    note = FULL_LOAD if duty.kind == "cycle" else ""
    return Table("duty", "The duty", (text("what"), text("declared")), tuple(rows), note)


def remark(one: Score) -> str:
    """Why a build has no rank; "" where it has one."""
    kinds = (("struck out", one.struck), ("not passed", one.not_known), ("not tested", one.untested))
    return "; ".join(f"{word}: {', '.join(said)}" for word, said in kinds if said)


def places(scores: Scores) -> dict[str, str]:
    """Rank of each build, ties on one rank with an equal sign: 1=, 1=, 3."""
    ranks: dict[str, str] = {}
    for group in scores.ties:
        first = len(ranks) + 1
        ranks |= {name: f"{first}=" if len(group) > 1 else str(first) for name in group}
    return ranks


def scores_table(scores: Scores, system: str) -> Table:
    """All builds, best first."""
    ranks = places(scores)
    order = {name: place for place, name in enumerate(ranks)}
    ordered = sorted(scores.scores, key=lambda one: order.get(one.build, len(order)))
    cells = words.column_of([one.value for one in ordered], system)
    rows = tuple(
        (ranks.get(one.build, digits.DASH), one.build, *cell, remark(one))
        for one, cell in zip(ordered, cells, strict=True)
    )
    unit = scale.label(scores.scores[0].value.unit, system) if scores.scores else ""
    columns = (
        Column("rank"),
        text("build"),
        Column("score", unit),
        Column("low", unit),
        Column("high", unit),
        text("remark"),
    )
    note = (
        "Low and high: 95 % interval. Builds on one rank cannot be told apart from the best of that rank. Without a "
        "rank: struck out, not passed for want of a measurement, or not tested throughout."
    )
    return Table("scores", "Scores", columns, rows, note)


def parts_table(scores: Scores, system: str) -> Table:
    """Bands, points or gears of every build, one after the other."""
    names = dict.fromkeys(name for one in scores.scores for name in one.parts)
    rows: list[tuple[str, ...]] = []
    for name in names:
        holders = [one for one in scores.scores if name in one.parts]
        for place, one in enumerate(holders):
            rows.append((name if place == 0 else "", one.build, *words.apart(one.parts[name], system)))
    columns = (text("part of the duty"), text("build"), Column("value"), Column("95 % interval"))
    return Table("parts", "Part by part", columns, tuple(rows))


def differences_table(scores: Scores, system: str) -> Table:
    """Every pair, with the interval of its own."""
    rows = []
    for one in scores.differences:
        value, ends = words.apart(one.value, system, signed=True)
        share = words.fraction(one.share.value, signed=True)
        rows.append((one.build, one.other, value, ends, share, "tie" if one.tie else ""))
    columns = (
        text("build"),
        text("against"),
        Column("difference"),
        Column("95 % interval"),
        Column("share", spare=True),
        text(""),
    )
    note = "Drawn together, so that what two builds share falls out: not the difference of the two intervals above."
    return Table("differences", "Differences of scores", columns, tuple(rows), note)


def met(scores: Scores) -> bool:
    """Whether the best build has the power that the duty asks for, where it asks for any."""
    asks = scores.duty.kind in ASKS_POWER
    return not asks or any(one.ranked and one.value.value >= scores.duty.margin for one in scores.scores)


def own_findings(findings: Sequence[Finding]) -> tuple[tuple[Finding, ...], str]:
    """Findings about the duty, and warnings and faults of any kind; notes about how pulls were read in one line.

    Args:
        findings: of the scores.

    Returns:
        Those to be shown in full, and the line; "" where there is nothing to fold.
    """
    own = tuple(one for one in findings if one.severity is not Severity.NOTE or one.code in OWN)
    codes = [one.code for one in findings if one not in own]
    if not codes:
        return own, ""
    times = {code: codes.count(code) for code in codes}
    counted = ", ".join(code if count == 1 else f"{code} ({count})" for code, count in times.items())
    return own, f"Notes about reading the pulls: {counted}. fairpull pull NAME says each in full."


def choices_table(scores: Scores) -> Table:
    """What was chosen, by whom or by default."""
    return Table("choices", "Choices", (text("what"), text("choice")), tuple(scores.choices.items()))


def made_table(scores: Scores) -> Table:
    """How the scores were made, each way once."""
    hows = dict.fromkeys(one.value.how for one in scores.scores if not math.isnan(one.value.value))
    rows = tuple(("score", how) for how in hows if how)
    return Table("made", "How it was made", (text("what"), text("how")), rows)


def tone(scores: Scores) -> str:
    """The result as a word for style sheets: "differs" where one build is ahead and meets the demand."""
    alone = bool(scores.ties) and len(scores.ties[0]) == 1 and met(scores)
    return "differs" if alone else "cannot-tell"


def kind(scores: Scores) -> str:
    """The result's kind in a few words; "" where its sentence begins with it."""
    if not scores.ties:
        return "no rank"
    if not met(scores):
        return "not shown to be met"
    return "" if len(scores.ties[0]) > 1 else "ahead"


def ranking_alt(scores: Scores, system: str) -> str:
    """The ranking in words, for those who do not see it."""
    table = scores_table(scores, system)
    unit = table.columns[2].unit
    said = [
        f"{row[0]} {row[1]} {row[2]} {unit}" if row[0] != digits.DASH else f"{row[1]}, {row[5] or 'no rank'}"
        for row in table.rows
    ]
    return f"Scores on {scores.duty.name}, best first: {'; '.join(said)}."


def curves_alt(scores: Scores) -> str:
    """What the curves show, for those who do not see them."""
    names = ", ".join(one.build for one in scores.scores)
    return f"Full-load curves of {names} at the output shaft, with what the duty asks for."


CURVES_CAPTIONS = {
    "bands": "The bands of the duty are tinted, stronger where their weight is larger; the weights stand on top.",
    "load line": "The load line is dotted; the tint above it is the margin that must be left over.",
    "histogram": "The bars along the foot are the shares of time at each speed.",
    "gears": "Tinted: from the lowest shift recovery to the shift.",
    "cycle": "The diamonds are the loaded points of the cycle, with their numbers.",
}


def curves_caption(duty: Duty) -> str:
    """What stands under the picture of the curves."""
    return (
        f"Every build's mean with its pointwise 95 % interval, at the output shaft. {CURVES_CAPTIONS[duty.kind]} "
        "Hatched: not tested."
    )
