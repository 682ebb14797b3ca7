"""Loops and running in as finished strings: the common ground of terminal and page."""

from __future__ import annotations

import math

import numpy as np

from fairpull.show import digits, scale
from fairpull.show.facts import words
from fairpull.show.facts.table import Column, Table
from fairpull.show.facts.table import words as text
from fairpull.terms.comparison import Estimate
from fairpull.terms.findings import Finding
from fairpull.terms.tuning import Loop, RunningIn, TuneResult

DEGREES = 180.0 / math.pi


def setting(given: Estimate | None, kind: str) -> str:
    """A setting with its interval: degrees for spark, lambda or jet number for mixture."""
    if given is None:
        return digits.DASH
    factor = DEGREES if kind == "spark" else 1.0
    low, value, high = (factor * one for one in (given.low, given.value, given.high))
    places = digits.interval_decimals(low, high, default=1)
    shown = digits.number(value, places)
    return f"at least {shown}" if given.at_least else f"{shown} ({digits.interval(low, high, places)})"


def _knock(loop: Loop) -> str:
    """Whether knock limits; a dash where it was logged but there is no loop to tell by."""
    if loop.knock_limited is None:
        return digits.DASH if np.isfinite(loop.points.knock).any() else "not logged"
    return "limits" if loop.knock_limited else "no"


def _row(loop: Loop, kind: str) -> tuple[str, ...]:
    return (
        digits.number(loop.rpm, 0),
        str(len(loop.points.setting)),
        setting(loop.best, kind),
        setting(loop.modest, kind),
        _knock(loop),
    )


def loops_table(result: TuneResult) -> Table:
    """One row a speed: where the top lies, and the setting beside it."""
    beside = "least within 1 %" if result.kind == "spark" else "rich side"
    unit = "deg" if result.kind == "spark" else ""
    columns = (Column("speed", "rpm"), Column("points"), Column("best", unit), Column(beside, unit), text("knock"))
    note = "Best: setting of most torque. In parentheses the 95 % intervals."
    title = f"{result.kind.capitalize()} loops"
    return Table("loops", title, columns, tuple(_row(one, result.kind) for one in result.loops), note)


def worth_table(result: TuneResult, system: str) -> Table:
    """One row a loop: torque of the top, its flatness, the cost of the setting beside it, each with its interval."""
    known = [loop for loop in result.loops if loop.best_torque is not None]
    rows = tuple(
        (
            digits.number(loop.rpm, 0),
            _whole(loop.best_torque, system),
            setting(loop.flat, result.kind),
            _whole(loop.cost_of_safe, system),
        )
        for loop in known
    )
    beside = "least" if result.kind == "spark" else "rich side"
    columns = (
        Column("speed", "rpm"),
        Column("best torque"),
        Column("flat", "deg" if result.kind == "spark" else ""),
        Column(f"cost of {beside}"),
    )
    note = f"Flat: how wide the top is within 1 % of torque. Cost: torque given away at the {beside} setting."
    return Table("worth", "What the tops are worth", columns, rows, note)


def _whole(given: Estimate | None, system: str) -> str:
    return digits.DASH if given is None else words.with_interval(given, system)


def next_table(result: TuneResult) -> Table:
    """What to run next, a sentence a speed."""
    said = tuple((f"{loop.rpm:.0f} rpm", loop.next_why) for loop in result.loops)
    return Table("next", "What to run next", (text("speed"), text("what")), said)


def checks_table(result: TuneResult) -> Table:
    """Shape of the loops against the trade's rules."""
    checks = tuple((f"{loop.rpm:.0f} rpm", one) for loop in result.loops for one in loop.checks)
    return Table("checks", "Shape", (text("speed"), text("check")), checks)


def choices_table(result: TuneResult) -> Table:
    """What was chosen, by whom or by default."""
    return Table("choices", "Choices", (text("choice"), text("value")), tuple(result.choices.items()))


def all_findings(result: TuneResult) -> tuple[Finding, ...]:
    """Those of the result, then those of each loop."""
    return (*result.findings, *(finding for loop in result.loops for finding in loop.findings))


def _ages_note(result: RunningIn) -> str:
    age = {
        "h": "Age: engine hours by the builds' sheets, 0.03 h a pull on top.",
        "pulls": "Age: running number of the pull, since not every build's sheet tells the engine's hours.",
    }[result.age]
    return f"Torque: corrected, averaged over the speeds that all pulls cover; each build has a level of its own. {age}"


def trend_rows(result: RunningIn, system: str) -> tuple[tuple[str, str], ...]:
    """Torque, blow-by and oil temperature: change a pull with its interval, of those that are known."""
    rows = [
        (name, words.with_interval(given, system, signed=True))
        for name, given in (("torque", result.trend), ("blow-by", result.blow_by_trend))
        if given is not None
    ]
    if result.oil_trend is not None:
        rows.append(("oil temperature", _degrees(result.oil_trend, system)))
    return tuple(rows)


def _degrees(given: Estimate, system: str) -> str:
    """A difference of temperatures with its interval; its zero is no temperature."""
    zero, one = (scale.scalar(kelvin, "K", system) for kelvin in (300.0, 301.0))
    value, low, high = ((one - zero) * end for end in (given.value, given.low, given.high))
    places = digits.interval_decimals(low, high)
    ends = digits.interval(low, high, places, signed=True)
    return f"{digits.number(value, places, signed=True)} {scale.label('K', system)} ({ends})"


def pulls_table(result: RunningIn, system: str) -> Table:
    """Pulls in running order."""
    rows = tuple(
        (
            name,
            digits.number(float(hours), 1),
            digits.number(scale.scalar(float(torque), "N m", system), 1),
            digits.number(scale.scalar(float(blow), "m3/s", system, "blow_by"), 2),
            digits.number(scale.scalar(float(oil), "K", system), 0),
        )
        for name, hours, torque, blow, oil in zip(
            result.pulls, result.hours, result.torque, result.blow_by, result.oil_temperature, strict=True
        )
    )
    columns = (
        text("pull"),
        Column("age", result.age),
        Column("torque", scale.label("N m", system)),
        Column("blow-by", scale.label("m3/s", system, "blow_by")),
        Column("oil", scale.label("K", system)),
    )
    return Table("running-in", "Pulls in running order", columns, rows, _ages_note(result))


def trends_table(result: RunningIn, system: str) -> Table:
    """Change a pull over the latest pulls."""
    title = f"Trends over the latest {result.latest} pulls"
    note = "With 95 % intervals. Torque: the fitted rise; the others: a straight line."
    return Table("trends", title, (text("of"), text("a pull")), trend_rows(result, system), note)


def to_come(result: RunningIn, system: str) -> str:
    """What running in may still bring; "" where nothing is expected."""
    come = result.still_to_come
    return "" if come is None else f"Still to come: {words.with_interval(come, system)}."


def beside_word(result: TuneResult) -> str:
    """What the setting beside the best one is called."""
    return "least within 1 %" if result.kind == "spark" else "rich side"


def sentences(result: TuneResult) -> tuple[str, ...]:
    """What the loops say together: where there is a top, where knock limits, how many points are still to be run."""
    total = len(result.loops)
    if not total:
        return ("No speed has a point.",)
    said = []
    known = [loop for loop in result.loops if loop.best is not None]
    inside = [loop for loop in known if loop.best is not None and not loop.best.at_least]
    if not known:
        said.append("No loop has a top yet: one setting at a speed says nothing of a loop.")
    elif len(inside) < total:
        said.append(f"A top was found at {len(inside)} of {total} speeds; elsewhere it lies beyond what was run.")
    else:
        said.append(f"A top was found at each of {total} speeds." if total > 1 else "A top was found.")
    knocking = [digits.number(loop.rpm, 0) for loop in result.loops if loop.knock_limited]
    if knocking:
        said.append(f"Knock limits at {words.listed(knocking)} rpm.")
    elif not any(np.isfinite(loop.points.knock).any() for loop in result.loops):
        said.append("Nobody logged knock, so nothing is known of it.")
    more = sum(loop.next_setting is not None for loop in result.loops)
    if more:
        said.append(f"A further point is worth running at {more} of {total} speeds.")
    return tuple(said)


def loops_alt(result: TuneResult) -> str:
    """The loops in words, for those who do not see them."""
    unit = " degrees" if result.kind == "spark" else ""
    said = [
        f"{digits.number(loop.rpm, 0)} rpm: best {setting(loop.best, result.kind)}{unit}"
        if loop.best is not None
        else f"{digits.number(loop.rpm, 0)} rpm: no top"
        for loop in result.loops
    ]
    return f"{result.kind.capitalize()} loops. {'; '.join(said)}."
