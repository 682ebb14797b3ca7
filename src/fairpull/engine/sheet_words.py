"""Refusals of a quantity on a hand-written sheet in plain words: what was written, what is wanted, an example of it."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import replace

from fairpull.terms.errors import Fault
from fairpull.terms.units import lookup

QUANTITIES: Mapping[str, str] = {
    "1": "a plain number or a share",
    "m": "a length",
    "m2": "an area",
    "m3": "a volume",
    "rad": "an angle",
    "Pa": "a pressure",
    "N m": "a torque",
    "N": "a force",
    "W": "a power",
    "kg": "a weight",
    "kg/s": "a mass flow",
    "m3/s": "a volume flow",
    "K": "a temperature",
    "s": "a time",
    "rpm": "a speed of turning",
    "m/s": "a speed",
    "kg m2": "a moment of inertia",
    "J/kg": "an energy of each kilogram",
    "kg/m3": "a density",
    "V": "a voltage",
    "A": "a current",
}
"""House unit -> what it measures, as people say it."""
_AFTER_NUMBER = re.compile(r"\s*[-+]?[\d.,' ]*(?:[eE][-+]?\d+)?\s*")
_UNITS = ("unit-of-another-quantity", "unit-unknown", "unit-missing", "not-a-number")


def quantity(house: str) -> str:
    """What a house unit measures, in words.

    Args:
        house: the house unit.

    Returns:
        E.g. "a length"; the unit itself where no word is known.
    """
    return QUANTITIES.get(house, f"a value in {house}")


def told_plainly(fault: Fault, text: str, house: str, example: str, where: str = "") -> Fault:
    """A refused quantity in plain words.

    Args:
        fault: of reading the value.
        text: as written.
        house: house unit of what is wanted.
        example: as a person would write this very entry.
        where: the place; "" leaves it to the form.

    Returns:
        The fault, same code. A comma that reads two ways keeps its own words.
    """
    if fault.code not in _UNITS:
        return replace(fault, where=where)
    unit = text[_AFTER_NUMBER.match(text).end() :].strip()  # type: ignore[union-attr]
    found = lookup(unit) if unit else None
    wanted = quantity(house)
    if fault.code == "not-a-number" or unit == text.strip():
        seen = f"{text!r} is no number with a unit; {wanted} is wanted"
    elif not unit:
        seen = f"{text!r} has no unit; {wanted} is wanted"
    elif found is not None:
        seen = f"{text!r}: {unit} measures {quantity(found.house)}; {wanted} is wanted"
    else:
        seen = f"{text!r}: no unit {unit!r} is known for {wanted}"
    shown = example if "=" in example else f'"{example}"'
    return replace(fault, where=where, seen=seen, remedy=f"write it as {shown}")
