"""Spark and mixture loops, and running in, as terminal text."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from fairpull.show import digits, scale, terminal
from fairpull.show.facts import remarks, words
from fairpull.show.facts.table import Column, Table
from fairpull.show.facts.table import words as text
from fairpull.terms.comparison import Estimate
from fairpull.terms.tuning import Loop, RunningIn, TuneResult

if TYPE_CHECKING:
    from rich.console import RenderableType

DEGREES = 180.0 / math.pi


def _setting(given: Estimate | None, kind: str) -> str:
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
        _setting(loop.best, kind),
        _setting(loop.modest, kind),
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
            _setting(loop.flat, result.kind),
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
    said = tuple((f"{loop.rpm:.0f} rpm", loop.next_why) for loop in result.loops)
    parts.extend(terminal.listing(Table("next", "What to run next", (text("speed"), text("what")), said)))
    checks = tuple((f"{loop.rpm:.0f} rpm", one) for loop in result.loops for one in loop.checks)
    if checks:
        parts.extend(terminal.listing(Table("checks", "Shape", (text("speed"), text("check")), checks)))
    rows = tuple(result.choices.items())
    parts.extend(terminal.listing(Table("choices", "Choices", (text("choice"), text("value")), rows)))
    found = [*result.findings, *(finding for loop in result.loops for finding in loop.findings)]
    parts.extend(terminal.blocks(remarks.entries(found)))
    return terminal.draw(parts, width=width, colour=colour)


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


def running_in_text(result: RunningIn, system: str = "us", *, width: int = terminal.WIDTH, colour: bool = False) -> str:
    """Whether an engine has settled, as text for a terminal; arguments as for ``tune_text``."""
    parts: list[RenderableType] = [terminal.sentence(result.sentence, style="bold")]
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
    parts.extend(terminal.table(Table("running-in", "Pulls in running order", columns, rows, _ages_note(result))))
    trends = trend_rows(result, system)
    if trends:
        title = f"Trends over the latest {result.latest} pulls"
        note = "With 95 % intervals. Torque: the fitted rise; the others: a straight line."
        parts.extend(terminal.table(Table("trends", title, (text("of"), text("a pull")), trends, note)))
    if result.still_to_come is not None:
        come = result.still_to_come
        parts.append(terminal.sentence(f"Still to come: {words.with_interval(come, system)}."))
    parts.extend(terminal.blocks(remarks.entries(result.findings)))
    return terminal.draw(parts, width=width, colour=colour)
