"""Units at the door: spellings become a factor and an offset to the house unit; nothing inside converts.

A table of data (``unit_table``) answers everything common without a library; what it does not hold goes to
pint, imported only then.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING, overload

from fairpull.terms import unit_table
from fairpull.terms.arrays import FloatArray
from fairpull.terms.errors import Fault, UnitRefused, ValueRefused
from fairpull.terms.glossary import BY_NAME

if TYPE_CHECKING:
    import pint


@dataclass(frozen=True, slots=True)
class Unit:
    """One unit: ``house value = value x scale + offset``.

    Attributes:
        symbol: how the house writes it, e.g. "lb-ft", "psi gauge".
        house: the house unit it converts to.
        scale, offset: the conversion.
        reference: "absolute" or "gauge" for a pressure that says so, else "".
        pint: the same unit in pint's words.
    """

    symbol: str
    house: str
    scale: float
    offset: float
    reference: str
    pint: str


_DROPPED = str.maketrans({char: None for char in " .-−·*_⋅×^⁻\t\u00a0\u2009\u202f()[]{}"})
_NUMBER = re.compile(r"\s*([-+]?(?:\d[\d,' ]*\.?\d*|\.\d+)(?:[eE][-+]?\d+)?)\s*(.*?)\s*$", re.DOTALL)
_THOUSANDS = re.compile(r"[-+]?\d{1,3}(?:,\d{3})+")


def _key(text: str) -> str:
    folded = unicodedata.normalize("NFKC", text.replace("°", "deg").replace("º", "deg").replace("˚", "deg"))
    return folded.lower().replace(" per ", "/").translate(_DROPPED)


def _add_pressure(table: dict[str, Unit], key: str, unit: Unit) -> None:
    named = (
        (unit_table.ABSOLUTE_WORDS, "abs", "absolute", 1.0),
        (unit_table.GAUGE_WORDS, "gauge", "gauge", 1.0),
        (unit_table.VACUUM_WORDS, "vacuum", "gauge", -1.0),
    )
    for words, shown, reference, sign in named:
        relative = Unit(f"{unit.symbol} {shown}", unit.house, sign * unit.scale, 0.0, reference, unit.pint)
        for word in words:
            table.setdefault(key + word, relative)


def _build() -> dict[str, Unit]:
    table: dict[str, Unit] = {}
    for symbol, house, scale, offset, pint_words, spellings in unit_table.ROWS:
        unit = Unit(symbol, house, float(scale), float(offset), "", pint_words)
        for spelling in (symbol, *spellings.split(",")):
            if spelling.strip():
                table[_key(spelling) or spelling.strip()] = unit
    for key, unit in list(table.items()):
        if unit.house == "Pa":
            _add_pressure(table, key, unit)
    return table


TABLE: Mapping[str, Unit] = _build()

SYSTEMS: Mapping[str, Mapping[str, str]] = {
    "us": {**unit_table.US, **unit_table.EITHER},
    "metric": {**unit_table.METRIC, **unit_table.EITHER},
}


def lookup(text: str) -> Unit | None:
    """The unit that a spelling stands for, from the table only.

    Args:
        text: a unit as found in a header or typed by a person.

    Returns:
        The unit, or None when the table does not hold that spelling.
    """
    stripped = text.strip()
    return TABLE.get(_key(stripped)) or TABLE.get(stripped)


def recognise(text: str) -> str | None:
    """The house's symbol for a unit spelling, e.g. "ft.lb" -> "lb-ft", "psig" -> "psi gauge".

    Args:
        text: a unit as found in a header.

    Returns:
        The symbol, or None when it is not in the table.
    """
    unit = lookup(text)
    return unit.symbol if unit else None


def reference(text: str) -> str:
    """What a pressure unit is measured against: "absolute", "gauge", or "" where it does not say.

    Args:
        text: a unit spelling.

    Returns:
        The word, or "".
    """
    unit = lookup(text)
    return unit.reference if unit else ""


def _nearest(text: str, house_unit: str) -> str:
    import difflib

    symbols = sorted({unit.symbol for unit in TABLE.values() if unit.house == house_unit and not unit.reference})
    close = difflib.get_close_matches(text, symbols, n=1, cutoff=0.5)
    hint = f"nearest: {close[0]}; " if close else ""
    return f"{hint}accepted for this quantity: {', '.join(symbols) or house_unit}"


_UNIT_WORDS = re.compile(r"[^\W\d][\w /*^·.()-]{0,40}")
# powers of powers, of brackets, and long powers of numbers: no unit, and pint would compute for hours
_TOWER = re.compile(r"(\*\*|\^)[\s(+-]*[\w.]*[\s)]*(\*\*|\^)|\)\s*(\*\*|\^)|\d\s*(\*\*|\^)[\s+-]*(\(|\d{3})")


@lru_cache(maxsize=1)
def _registry() -> pint.UnitRegistry[float]:
    import pint

    return pint.UnitRegistry()


def _from_pint(text: str, house_unit: str) -> Unit:
    fault = Fault(
        "unit-unknown",
        f"unit {text!r}",
        f"not a unit of the quantity held in {house_unit}",
        _nearest(text, house_unit),
    )
    if not _UNIT_WORDS.fullmatch(text) or _TOWER.search(text):  # pint, slow to start, need not be asked
        raise UnitRefused(fault)
    from tokenize import TokenError

    import pint

    house_words = unit_table.HOUSE_IN_PINT.get(house_unit, house_unit)
    wrong_words = (SyntaxError, TokenError, ValueError, TypeError, AttributeError, AssertionError, LookupError)
    refusals = (pint.errors.PintError, ArithmeticError, RecursionError, *wrong_words)
    try:
        zero = _registry().Quantity(0.0, text).to(house_words).magnitude
        one = _registry().Quantity(1.0, text).to(house_words).magnitude
    except refusals as error:
        raise UnitRefused(fault) from error
    return Unit(text, house_unit, float(one - zero), float(zero), "", text)


def unit(text: str, house_unit: str) -> Unit:
    """The unit for a spelling, of the quantity that the house holds in ``house_unit``.

    Args:
        text: unit spelling; the table is asked first, pint for the rest.
        house_unit: the house unit wanted.

    Returns:
        The unit, convertible to ``house_unit``.

    Raises:
        UnitRefused: unknown, or a unit of another quantity; the remedy lists the accepted ones.
    """
    found = lookup(text)
    if found is None:
        return _from_pint(text, house_unit)
    if found.house == house_unit:
        return found
    fault = Fault(
        "unit-of-another-quantity",
        f"unit {text!r}",
        f"measures what the house holds in {found.house}, wanted is {house_unit}",
        _nearest(text, house_unit),
    )
    raise UnitRefused(fault)


def same_dimension(unit_text: str, house_unit: str) -> bool:
    """Whether a unit measures the quantity that the house holds in ``house_unit``.

    Args:
        unit_text: unit spelling.
        house_unit: a house unit.

    Returns:
        True when values in that unit can be converted.
    """
    found = lookup(unit_text)
    if found is not None:
        return found.house == house_unit
    try:
        _from_pint(unit_text, house_unit)
    except UnitRefused:
        return False
    return True


@overload
def to_house(values: float, unit_text: str, house_unit: str) -> float: ...
@overload
def to_house(values: FloatArray, unit_text: str, house_unit: str) -> FloatArray: ...
def to_house(values: float | FloatArray, unit_text: str, house_unit: str) -> float | FloatArray:
    """Convert values to the house unit. A gauge pressure stays gauge: the reader adds the barometer.

    Args:
        values: scalar or any shape, [unit_text].
        unit_text: unit spelling.
        house_unit: the house unit.

    Returns:
        Same shape, [house_unit].

    Raises:
        UnitRefused: unknown unit or another quantity.
    """
    found = unit(unit_text, house_unit)
    return values * found.scale + found.offset


@overload
def from_house(values: float, shown_unit_text: str, house_unit: str) -> float: ...
@overload
def from_house(values: FloatArray, shown_unit_text: str, house_unit: str) -> FloatArray: ...
def from_house(values: float | FloatArray, shown_unit_text: str, house_unit: str) -> float | FloatArray:
    """Convert house values to a unit a person reads.

    Args:
        values: scalar or any shape, [house_unit].
        shown_unit_text: unit spelling to show.
        house_unit: the house unit.

    Returns:
        Same shape, [shown_unit_text].

    Raises:
        UnitRefused: unknown unit or another quantity.
    """
    found = unit(shown_unit_text, house_unit)
    return (values - found.offset) / found.scale


def parse(text: str, house_unit: str) -> float:
    """A number with its unit, as a person types it ("29.62inHg", "68degF", "56%"), in the house unit.

    Args:
        text: number and unit; a bare number is accepted only where the house unit is "1" or "rpm".
        house_unit: the house unit wanted.

    Returns:
        The value [house_unit].

    Raises:
        ValueRefused: no number, or a comma that can be read two ways.
        UnitRefused: no unit, an unknown one, or one of another quantity.
    """
    matched = _NUMBER.match(text)
    if not matched:
        raise ValueRefused(
            Fault(
                "not-a-number",
                "value",
                f"{text!r} does not start with a number",
                f"write a number and its unit, e.g. {_example(house_unit)}",
            )
        )
    number = _number(matched.group(1), text)
    words = matched.group(2)
    if words:
        return float(to_house(number, words, house_unit))
    if house_unit in ("1", "rpm"):
        return number
    raise UnitRefused(
        Fault(
            "unit-missing",
            "value",
            f"{text!r} has no unit",
            f"write the unit with the number, e.g. {_example(house_unit)}",
        )
    )


def _number(digits: str, whole: str) -> float:
    plain = digits.replace(" ", "").replace("'", "")
    if "," in plain:
        mantissa = plain.partition(".")[0]
        if plain.count(",") == 1 and "." not in plain:
            if _THOUSANDS.fullmatch(plain) and not plain.lstrip("+-").startswith("0"):
                raise ValueRefused(
                    Fault(
                        "comma-two-ways",
                        "value",
                        f"{whole!r}: the comma may be decimal or mark thousands",
                        "write the number with a point or without the comma",
                    )
                )
            plain = plain.replace(",", ".")
        elif _THOUSANDS.fullmatch(mantissa):
            plain = plain.replace(",", "")
    try:
        return float(plain)
    except ValueError:
        raise ValueRefused(
            Fault(
                "not-a-number",
                "value",
                f"{whole!r} is not a number with a unit",
                "write one number, e.g. 29.62inHg",
            )
        ) from None


_EXAMPLES = {
    "Pa": "29.62inHg or 1003hPa",
    "K": "68degF or 20degC",
    "1": "56% or 0.56",
    "m3": "2.0L or 219.4in3",
    "m": "88mm or 400ft",
}


def _example(house_unit: str) -> str:
    return _EXAMPLES.get(house_unit, f"12.3 {house_unit}")


def shown_unit(channel_or_quantity: str, system: str) -> str:
    """The unit in which a person of that system reads a channel or quantity.

    Args:
        channel_or_quantity: glossary name (numbered ones too), quantity ("torque", "pressure") or house unit.
        system: "us" or "metric".

    Returns:
        A unit symbol.

    Raises:
        UnitRefused: unknown system or quantity.
    """
    if system not in SYSTEMS:
        raise UnitRefused(Fault("system-unknown", "unit system", repr(system), f"one of: {', '.join(SYSTEMS)}"))
    shown = SYSTEMS[system]
    name = channel_or_quantity
    base = name.rsplit("_", 1)[0] if name.rsplit("_", 1)[-1].isdigit() else name
    house = BY_NAME[base].unit if base in BY_NAME else unit_table.QUANTITIES.get(base, base)
    found = shown.get(base) if base in BY_NAME or base in unit_table.QUANTITIES else None
    found = found or shown.get(house)
    if found is None:
        raise UnitRefused(
            Fault(
                "quantity-unknown",
                "quantity",
                repr(name),
                f"a channel of the glossary or one of: {', '.join(unit_table.QUANTITIES)}",
            )
        )
    return found


def house_unit_of(channel_or_quantity: str) -> str:
    """The house unit of a channel or quantity.

    Args:
        channel_or_quantity: glossary name, numbered name (``exhaust_temperature_3``), or quantity.

    Returns:
        The house unit, or "" when nothing of that name is known.
    """
    name = channel_or_quantity
    base = name.rsplit("_", 1)[0] if name.rsplit("_", 1)[-1].isdigit() else name
    return BY_NAME[base].unit if base in BY_NAME else unit_table.QUANTITIES.get(base, "")
