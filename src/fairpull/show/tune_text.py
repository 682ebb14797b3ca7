"""Spark and mixture loops, and running in, as terminal text."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

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
    return {None: "not logged", True: "limits", False: "no"}[loop.knock_limited]


def _row(loop: Loop, kind: str, system: str) -> tuple[str, ...]:
    cost = loop.cost_of_safe
    torque = digits.DASH if loop.best_torque is None else words.apart(loop.best_torque, system)[0]
    return (
        digits.number(loop.rpm, 0),
        str(len(loop.points.setting)),
        _setting(loop.best, kind),
        _setting(loop.modest, kind),
        torque,
        digits.DASH if cost is None else words.fraction(cost.value),
        _knock(loop) if kind == "spark" else digits.DASH,
    )


def loops_table(result: TuneResult, system: str) -> Table:
    """One row a speed."""
    beside = "least within 1 %" if result.kind == "spark" else "rich side"
    unit = "deg" if result.kind == "spark" else ""
    columns = (
        Column("speed", "rpm"),
        Column("points"),
        Column("best", unit),
        Column(beside, unit),
        Column("torque"),
        Column("cost"),
        text("knock"),
    )
    note = "Best: setting of most torque, with its 95 % interval. Cost: torque given away at the setting beside it."
    return Table(
        "loops",
        f"{result.kind.capitalize()} loops",
        columns,
        tuple(_row(one, result.kind, system) for one in result.loops),
        note,
    )


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
    parts.extend(terminal.table(loops_table(result, system)))
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
        Column("age", "h or pulls"),
        Column("torque", scale.label("N m", system)),
        Column("blow-by", scale.label("m3/s", system, "blow_by")),
        Column("oil", scale.label("K", system)),
    )
    note = "Torque: corrected, averaged over the speeds that all pulls cover; each build has a level of its own."
    parts.extend(terminal.table(Table("running-in", "Pulls in running order", columns, rows, note)))
    if result.still_to_come is not None:
        come = result.still_to_come
        parts.append(terminal.sentence(f"Still to come: {words.with_interval(come, system)}."))
    parts.extend(terminal.blocks(remarks.entries(result.findings)))
    return terminal.draw(parts, width=width, colour=colour)
