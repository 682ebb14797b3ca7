"""Two sheets beside each other as finished strings: what differs, in the shown units, and by how much."""

from __future__ import annotations

import math
from collections.abc import Sequence

from fairpull.show import digits, scale
from fairpull.show.facts import spec_sheet
from fairpull.show.facts.table import Table
from fairpull.show.facts.table import words as text
from fairpull.terms import units
from fairpull.terms.build import Fact
from fairpull.terms.errors import FairpullError
from fairpull.terms.sheet_view import Beside, Pair

SAME = "the same"


def tables(seen: Beside, system: str, *, every: bool = False) -> tuple[Table, ...]:
    """What two sheets say, group by group.

    Args:
        seen: both sheets.
        system: "us" or "metric".
        every: show what does not differ too.

    Returns:
        One table for each group that has something to show.
    """
    found = []
    for n, group in enumerate(dict.fromkeys(pair.group for pair in seen.pairs)):
        shown = [pair for pair in seen.pairs if pair.group == group and (every or not pair.same)]
        if shown:
            found.append(_table(f"beside-{n}", group, shown, seen, system))
    return tuple(found)


def titles(seen: Beside) -> tuple[str, str]:
    """Names of both sides; versions of one sheet are told by their number."""
    if seen.names[0] != seen.names[1]:
        return seen.names
    return f"version {seen.versions[0]}", f"version {seen.versions[1]}"


def hidden(seen: Beside) -> int:
    """How many entries and values do not differ."""
    return sum(pair.same for pair in seen.pairs)


def _table(key: str, group: str, pairs: Sequence[Pair], seen: Beside, system: str) -> Table:
    rows = tuple(
        (pair.name, _said(pair.one, system), _said(pair.other, system), _change(pair, system)) for pair in pairs
    )
    title = group[:1].upper() + group[1:]
    return Table(key, title, (text("what"), *map(text, titles(seen)), text("difference")), rows)


def _said(value: str | Fact, system: str) -> str:
    if isinstance(value, Fact):
        return spec_sheet.fact_value(value, system)
    other = spec_sheet.also(value, system)
    return f"{value} ({other})" if other else value or digits.DASH


def _change(pair: Pair, system: str) -> str:
    if pair.same:
        return SAME
    one, other = _number(pair.one), _number(pair.other)
    if one is None or other is None or one[1] != other[1]:
        return ""
    off = other[0] - one[0]
    house = one[1]
    if house in ("", "1", "K"):
        return "" if house == "K" else _signed(off)
    air = house == "m3/s"
    quantity = "air_volume_flow" if air else ""
    shown = scale.scalar(off, house, system, quantity)
    return f"{_signed(shown)} {scale.label(house, system, quantity)}"


def _signed(value: float) -> str:
    said = digits.number(value, digits.significant_decimals(value, 3), signed=True)
    return said.rstrip("0").rstrip(".") if "." in said else said


def _number(value: str | Fact) -> tuple[float, str] | None:
    """A value in its house unit, where it is one."""
    if isinstance(value, Fact):
        return None if isinstance(value.value, str) or not math.isfinite(value.value) else (value.value, value.unit)
    matched = spec_sheet.NUMBER_AND_UNIT.fullmatch(value)
    found = units.lookup(matched[1]) if matched else None
    house = found.house if found else "1"
    try:
        number = units.parse(value, house)
    except FairpullError:
        return None
    return (number, house) if math.isfinite(number) else None
