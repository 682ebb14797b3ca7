"""What past comparisons of one kind of change say, as terminal text: the expectation first."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import TYPE_CHECKING

from fairpull.show import digits, terminal
from fairpull.show.facts import remarks, words
from fairpull.show.facts.table import Column, Table
from fairpull.show.facts.table import words as text
from fairpull.terms import units
from fairpull.terms.comparison import Estimate
from fairpull.terms.tuning import Effect, PastWork

if TYPE_CHECKING:
    from rich.console import RenderableType

NORMAL = 1.959964  # normal 97.5 % point: a comparison's own interval from its standard error


def _unit(past: PastWork, system: str) -> tuple[float, str]:
    """Factor and symbol: a fraction in per cent, a fraction per pascal in per cent per psi or kPa."""
    if past.unit != "1/Pa":
        return (100.0, "%") if past.unit == "1" else (1.0, past.unit)
    symbol = units.shown_unit("pressure", system)
    return 100.0 * units.to_house(1.0, symbol, "Pa"), f"% per {symbol}"


def _scaled(given: Estimate, factor: float) -> Estimate:
    return replace(given, value=given.value * factor, low=given.low * factor, high=given.high * factor)


def _of(effect: Effect, factor: float) -> Estimate:
    """A comparison's own interval; made from the standard error where only that is known."""
    reach = NORMAL * effect.standard_error
    low = effect.low if math.isfinite(effect.low) else effect.size - reach
    high = effect.high if math.isfinite(effect.high) else effect.size + reach
    return _scaled(Estimate(effect.size, low, high, ""), factor)


def effects_table(past: PastWork, system: str) -> Table:
    """One row a comparison."""
    factor, unit = _unit(past, system)
    made = [_of(effect, factor) for effect in past.effects]
    places = digits.column_decimals([(one.high - one.low) / 2.0 for one in made])
    rows = tuple(
        (
            effect.name,
            digits.number(one.value, places, signed=True),
            digits.number(one.low, places, signed=True),
            digits.number(one.high, places, signed=True),
            effect.text,
        )
        for effect, one in zip(past.effects, made, strict=True)
    )
    columns = (
        text("comparison"),
        Column("effect", unit),
        Column("low", unit),
        Column("high", unit),
        text("what it said"),
    )
    return Table("past", f"Past comparisons: {past.kind}", columns, rows, "Low and high: each one's own 95 % interval.")


def _parts(given: Estimate, factor: float) -> tuple[str, str]:
    """Value and interval to the digits that the interval earns."""
    shown = _scaled(given, factor)
    places = digits.interval_decimals(shown.low, shown.high)
    value = digits.number(shown.value, places, signed=True)
    return value, digits.interval(shown.low, shown.high, places, signed=True)


def _line(given: Estimate, factor: float, unit: str) -> str:
    value, ends = _parts(given, factor)
    return f"{value} {unit} ({ends})"


def past_sentence(past: PastWork, system: str = "us") -> str:
    """The expectation in one sentence, in the units that a person reads.

    Args:
        past: the summary.
        system: "us" or "metric".

    Returns:
        The sentence; the record's own where there is nothing to expect.
    """
    factor, unit = _unit(past, system)
    if past.mean is None:
        return past.sentence
    mean, ends = _parts(past.mean, factor)
    what = f"the gain per unit of {past.kind}" if past.unit == "1/Pa" else past.kind
    if past.expected is None:
        return (
            f"One comparison only of {what}: {mean} {unit} ({ends}); how much it differs from engine to engine is not "
            "known."
        )
    ahead, reach = _parts(past.expected, factor)
    return (
        f"Next time expect of {what} {ahead} {unit}, 95 % of cases {reach} {unit} (mean of {len(past.effects)} "
        f"comparisons {ends} {unit})."
    )


def summary_table(past: PastWork, system: str) -> Table:
    """Mean, expectation of the next one, and how much comparisons differ."""
    factor, unit = _unit(past, system)
    rows = [("comparisons", str(len(past.effects)))]
    if past.mean is not None:
        rows.append(("mean of all", _line(past.mean, factor, unit)))
    if past.expected is not None and past.mean is not None:
        rows.append(("expected next time", _line(past.expected, factor, unit)))
        places = digits.decimals_for((past.mean.high - past.mean.low) / 2.0 * factor)
        rows.append(("spread between them", f"{digits.number(past.between * factor, max(places, 1))} {unit} (one sd)"))
        rows.append(("spread that is not noise", words.fraction(past.heterogeneity, decimals=0)))
    hows = [one.how for one in (past.mean, past.expected) if one is not None and one.how]
    return Table("summary", "Together", (text("what"), text("value")), tuple(rows), "; ".join(dict.fromkeys(hows)))


def past_text(past: PastWork, system: str = "us", *, width: int = terminal.WIDTH, colour: bool = False) -> str:
    """Past work as text for a terminal.

    Args:
        past: the summary.
        system: "us" or "metric".
        width: columns; no line is longer.
        colour: with ANSI styles.

    Returns:
        Lines, ending in a newline. The first is the expectation.
    """
    parts: list[RenderableType] = [terminal.sentence(past_sentence(past, system), style="bold")]
    if past.effects:
        parts.extend(terminal.pairs(summary_table(past, system)))
        parts.extend(terminal.table(effects_table(past, system)))
    parts.extend(terminal.blocks(remarks.entries(past.findings)))
    return terminal.draw(parts, width=width, colour=colour)
