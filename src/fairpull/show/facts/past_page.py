"""What past comparisons of one kind of change say, as finished strings: the common ground of terminal and page."""

from __future__ import annotations

import math
from dataclasses import replace

from fairpull.show import digits
from fairpull.show.facts import words
from fairpull.show.facts.table import Column, Table
from fairpull.show.facts.table import words as text
from fairpull.terms import units
from fairpull.terms.comparison import Estimate
from fairpull.terms.tuning import Effect, PastWork

NORMAL = 1.959964  # normal 97.5 % point: a comparison's own interval from its standard error


def unit_of(past: PastWork, system: str) -> tuple[float, str]:
    """Factor and symbol: a fraction in per cent, a fraction per pascal in per cent per psi or kPa."""
    if past.unit != "1/Pa":
        return (100.0, "%") if past.unit == "1" else (1.0, past.unit)
    symbol = units.shown_unit("pressure", system)
    return 100.0 * units.to_house(1.0, symbol, "Pa"), f"% per {symbol}"


def scaled(given: Estimate, factor: float) -> Estimate:
    """A value with its interval, times a factor."""
    return replace(given, value=given.value * factor, low=given.low * factor, high=given.high * factor)


def own_interval(effect: Effect, factor: float) -> Estimate:
    """A comparison's own interval; made from the standard error where only that is known."""
    reach = NORMAL * effect.standard_error
    low = effect.low if math.isfinite(effect.low) else effect.size - reach
    high = effect.high if math.isfinite(effect.high) else effect.size + reach
    return scaled(Estimate(effect.size, low, high, ""), factor)


def effects_table(past: PastWork, system: str) -> Table:
    """One row a comparison."""
    factor, unit = unit_of(past, system)
    made = [own_interval(effect, factor) for effect in past.effects]
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
    shown = scaled(given, factor)
    places = digits.interval_decimals(shown.low, shown.high)
    value = digits.number(shown.value, places, signed=True)
    return value, digits.interval(shown.low, shown.high, places, signed=True)


def line(given: Estimate, factor: float, unit: str) -> str:
    """``+3.7 % (+3.1 to +4.3)``, to the digits that the interval earns."""
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
    factor, unit = unit_of(past, system)
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
    factor, unit = unit_of(past, system)
    rows = [("comparisons", str(len(past.effects)))]
    if past.mean is not None:
        rows.append(("mean of all", line(past.mean, factor, unit)))
    if past.expected is not None and past.mean is not None:
        rows.append(("expected next time", line(past.expected, factor, unit)))
        places = digits.decimals_for((past.mean.high - past.mean.low) / 2.0 * factor)
        rows.append(("spread between them", f"{digits.number(past.between * factor, max(places, 1))} {unit} (one sd)"))
        rows.append(("spread that is not noise", words.fraction(past.heterogeneity, decimals=0)))
    hows = [one.how for one in (past.mean, past.expected) if one is not None and one.how]
    return Table("summary", "Together", (text("what"), text("value")), tuple(rows), "; ".join(dict.fromkeys(hows)))


def alt(past: PastWork, system: str) -> str:
    """The picture in words, for those who do not see it."""
    table = effects_table(past, system)
    unit = table.columns[1].unit
    said = [f"{row[0]} {row[1]} {unit}, {row[2]} to {row[3]}" for row in table.rows]
    return f"Effect of {past.kind}: {'; '.join(said) or 'no comparison'}. {past_sentence(past, system)}"
