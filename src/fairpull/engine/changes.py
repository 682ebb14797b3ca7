"""How two builds differ: by engine, by part, by setting, and by the circumstances on their sheets."""

from __future__ import annotations

import itertools
import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import fields
from typing import Any

from fairpull.terms.build import PART_KINDS, Build, Change, Part
from fairpull.terms.change_words import LIMITS, setting_key
from fairpull.terms.engine import Engine, Fuel
from fairpull.terms.errors import FairpullError
from fairpull.terms.units import from_house, lookup, parse

# Kinds of change that are circumstances of a build rather than the thing that was changed on purpose.
CIRCUMSTANCES = ("fuel", "induction", "gear", "accessories", "hours")
SETTING = "setting "  # "setting spark" is the kind of a changed setting

_TOLERANCE = 1e-9  # relative; the same length in inches and in millimetres differs by rounding alone
_ENGINE_UNITS = {
    "bore": ("m", "mm"),
    "stroke": ("m", "mm"),
    "rod": ("m", "mm"),
    "displacement": ("m3", "L"),
    "inertia": ("kg m2", "kg m2"),
}
_NOT_THE_MACHINE = frozenset({"name", "fuel", "induction", "parts"})
_NUMBER_AND_UNIT = re.compile(r"\s*[-+]?\d[\d.,' ]*(?:[eE][-+]?\d+)?\s*(.*?)\s*")
_BARE = frozenset({"1", "rpm"})
_ABSENT = "not given"
_FUEL_UNITS = {"stoichiometric": ("1", "1"), "heating_value": ("J/kg", "MJ/kg"), "density": ("kg/m3", "kg/m3")}
_UNLIKE_LIFTS = "advertised durations are not stated at one known lift: compare those at the checking lift"


def build_changes(reference: Build, other: Build) -> tuple[Change, ...]:
    """Everything on their sheets in which two builds differ.

    Args:
        reference: the build that is judged against.
        other: the build that is judged.

    Returns:
        Changes: "engine" first, then parts in the order of ``PART_KINDS``, settings as "setting NAME", and the
        circumstances (``CIRCUMSTANCES``) last. Entries that are equal in house units are equal however they are
        written.
    """
    changes = [*_engine_change(reference, other)]
    kinds = [kind for kind in PART_KINDS if kind not in CIRCUMSTANCES]
    changes += [change for kind in kinds for change in _part_change(kind, reference, other)]
    changes += _setting_changes(reference.settings, other.settings)
    changes += _fuel_change(reference, other)
    changes += _word_change("induction", reference.engine.induction, other.engine.induction)
    changes += _gear_change(reference, other)
    changes += _accessory_change(reference, other)
    changes += _hours_change(reference, other)
    return tuple(changes)


def _same(one: Any, two: Any) -> bool:
    if isinstance(one, (int, float)) and isinstance(two, (int, float)):
        return math.isclose(one, two, rel_tol=_TOLERANCE) or (math.isnan(one) and math.isnan(two))
    if isinstance(one, str) and isinstance(two, str):
        return same_text(one, two)
    if isinstance(one, (tuple, list)) and isinstance(two, (tuple, list)):
        return len(one) == len(two) and all(itertools.starmap(_same, zip(one, two, strict=True)))
    return bool(one == two)


def same_text(one: str, two: str) -> bool:
    """Whether two values written as text mean the same.

    Args:
        one: e.g. "1 in".
        two: e.g. "25.4 mm".

    Returns:
        True where both are numbers with units of one quantity and equal, or the same words but for case and spaces.
    """
    if " ".join(one.lower().split()) == " ".join(two.lower().split()):
        return True
    numbers = _as_number(one), _as_number(two)
    if numbers[0] is None or numbers[1] is None:
        return False
    (house, value), (other_house, other_value) = numbers[0], numbers[1]
    alike = house == other_house or {house, other_house} <= _BARE  # a bare number may stand for a speed
    return alike and math.isclose(value, other_value, rel_tol=_TOLERANCE)


def _as_number(text: str) -> tuple[str, float] | None:
    matched = _NUMBER_AND_UNIT.fullmatch(text)
    if matched is None:
        return None
    found = lookup(matched[1]) if matched[1] else None
    if matched[1] and found is None:
        return None
    house = found.house if found is not None else "1"
    try:
        return house, parse(text, house)
    except FairpullError:
        return None


def _engine_change(reference: Build, other: Build) -> list[Change]:
    details = _engine_details(reference, other)
    if reference.engine_name == other.engine_name and not details:
        return []
    return [Change("engine", reference.engine_name, other.engine_name, tuple(details))]


def _engine_details(reference: Build, other: Build) -> list[str]:
    one, two = reference.engine, other.engine
    details = []
    for entry in (field.name for field in fields(Engine)):
        before, after = getattr(one, entry), getattr(two, entry)
        if entry not in _NOT_THE_MACHINE and not _same(before, after):
            details.append(_detail(entry, _engine_value(entry, before), _engine_value(entry, after)))
    fitted = {*reference.parts, *other.parts}
    for kind in sorted({*one.parts, *two.parts} - fitted):
        before, after = one.parts.get(kind, _ABSENT), two.parts.get(kind, _ABSENT)
        if not same_text(before, after):
            details.append(_detail(kind, before, after))
    return details


def _engine_value(entry: str, value: Any) -> str:
    if value is None or value == 0 or (isinstance(value, float) and math.isnan(value)):
        return _ABSENT
    if entry in _ENGINE_UNITS:
        house, shown = _ENGINE_UNITS[entry]
        return f"{from_house(float(value), shown, house):.6g} {shown}"
    return f"{value:g}" if isinstance(value, (int, float)) else str(value)


def _detail(entry: str, before: str, after: str) -> str:
    return f"{entry.replace('_', ' ')} {before} -> {after}"


def _part_change(kind: str, reference: Build, other: Build) -> list[Change]:
    one, two = reference.parts.get(kind), other.parts.get(kind)
    details = () if one is None or two is None else part_details(one, two)
    before, after = ("" if part is None else part.name for part in (one, two))
    return [] if before == after and not details else [Change(kind, before, after, details)]


def part_details(one: Part, two: Part) -> tuple[str, ...]:
    """Entries in which two parts' sheets differ, readable, as they were written.

    Args:
        one: a part.
        two: another of the same kind, or another version of it.

    Returns:
        One text for each entry, e.g. "intake valve lift 0.440 in -> 0.480 in"; empty where all entries are equal.
    """
    entries = [*one.data, *(entry for entry in two.data if entry not in one.data)]
    unlike = [entry for entry in entries if not _same(one.data.get(entry), two.data.get(entry))]
    details = [_entry_detail(entry, one, two) for entry in unlike]
    if {"intake_advertised", "exhaust_advertised"} & set(unlike):
        lifts = one.data.get("advertised_lift"), two.data.get("advertised_lift")
        if not isinstance(lifts[0], float) or "advertised_lift" in unlike:
            details.append(_UNLIKE_LIFTS)
    return tuple(details)


def _entry_detail(entry: str, one: Part, two: Part) -> str:
    before, after = (_written(part, entry) for part in (one, two))
    if isinstance(before, Mapping) or isinstance(after, Mapping):
        return _mapping_detail(entry, _mapping(before), _mapping(after))
    if _is_table(before) and _is_table(after):
        return _table_detail(entry, one, two)
    return _detail(entry, _shown(before), _shown(after))


def _written(part: Part, entry: str) -> Any:
    if entry in part.body:
        return part.body[entry]
    value = part.data.get(entry)  # a default of the sheet, where nothing was written
    return _ABSENT if value is None else value


def _mapping(value: Any) -> Mapping[str, Any]:
    return value if isinstance(value, Mapping) else {}


def _mapping_detail(entry: str, before: Mapping[str, Any], after: Mapping[str, Any]) -> str:
    names = sorted({*before, *after})
    told = [
        f"{name} {_shown(before.get(name, _ABSENT))} -> {_shown(after.get(name, _ABSENT))}"
        for name in names
        if not _same(before.get(name), after.get(name))
    ]
    return f"{entry.replace('_', ' ')}: {', '.join(told)}"


def _is_table(value: Any) -> bool:
    return isinstance(value, (list, tuple)) and any(isinstance(row, (list, tuple)) for row in value)


def _table_detail(entry: str, one: Part, two: Part) -> str:
    name = entry.replace("_", " ")
    old, new = one.data[entry], two.data[entry]
    if [row[0] for row in old] != [row[0] for row in new]:
        return f"{name}: {len(old)} rows -> {len(new)} rows, at other points"
    changed = [n for n, rows in enumerate(zip(old, new, strict=True)) if not _same(*rows)]
    before, after = (_row(part.body[entry], len(part.data[entry]), changed[0]) for part in (one, two))
    return f"{name}: {len(changed)} of {len(old)} rows differ, first {before} -> {after}"


def _row(written: Sequence[Any], count: int, number: int) -> str:
    heading = len(written) - count  # a first row of units, or none
    units = [f" {unit}" for unit in written[0]] if heading else [""] * len(written[number])
    return ", ".join(f"{cell}{unit}" for cell, unit in zip(written[heading + number], units, strict=True))


def _shown(value: Any) -> str:
    if isinstance(value, (list, tuple)):
        return "a table" if _is_table(value) else ", ".join(str(part) for part in value)
    return f"{value:g}" if isinstance(value, float) else str(value)


def _setting_changes(reference: Mapping[str, str], other: Mapping[str, str]) -> list[Change]:
    names = [*reference, *(name for name in other if name not in reference)]
    return [
        Change(f"{SETTING}{name}", reference.get(name, ""), other.get(name, ""))
        for name in names
        if setting_key(name) not in LIMITS and not same_text(reference.get(name, ""), other.get(name, ""))
    ]


def _word_change(kind: str, before: str, after: str) -> list[Change]:
    return [] if before == after else [Change(kind, before, after)]


def _fuel_change(reference: Build, other: Build) -> list[Change]:
    one, two = reference.parts.get("fuel"), other.parts.get("fuel")
    details = [*(() if one is None or two is None else part_details(one, two))]
    before, after = reference.engine.fuel, other.engine.fuel
    if not details and before is not None and after is not None:
        details = [
            _detail(entry, _fuel_value(entry, before), _fuel_value(entry, after))
            for entry in _FUEL_UNITS
            if not _same(getattr(before, entry), getattr(after, entry))
        ]
    names = ["" if fuel is None else fuel.name for fuel in (before, after)]
    if names[0] == names[1] and not details:
        return []
    return [Change("fuel", names[0], names[1], tuple(details))]


def _fuel_value(entry: str, fuel: Fuel) -> str:
    house, shown = _FUEL_UNITS[entry]
    value = float(getattr(fuel, entry))
    if math.isnan(value):
        return _ABSENT
    return f"{from_house(value, shown, house):.5g}{'' if shown == '1' else f' {shown}'}"


def _gear_change(reference: Build, other: Build) -> list[Change]:
    details = []
    if not _same(reference.gear, other.gear):
        details.append(f"gear {reference.gear:g}:1 -> {other.gear:g}:1")
    if not _same(reference.gear_efficiency, other.gear_efficiency):
        before, after = 100.0 * reference.gear_efficiency, 100.0 * other.gear_efficiency
        details.append(f"gear efficiency {before:g} % -> {after:g} %")
    if not details:
        return []
    return [Change("gear", f"{reference.gear:g}:1", f"{other.gear:g}:1", tuple(details))]


def _accessory_change(reference: Build, other: Build) -> list[Change]:
    changes = _part_change("accessories", reference, other)
    before, after = ({name.strip().lower(): name for name in build.accessories} for build in (reference, other))
    if set(before) == set(after):
        return changes
    details = [f"{name} fitted" for key, name in after.items() if key not in before]
    details += [f"{name} taken off" for key, name in before.items() if key not in after]
    if changes:
        details = [*changes[0].details, *details]
    shown = [", ".join(build.accessories) or (changes[0].before if changes else "") for build in (reference, other)]
    return [Change("accessories", shown[0], shown[1], tuple(details))]


def _hours_change(reference: Build, other: Build) -> list[Change]:
    if _same(reference.hours, other.hours):
        return []
    before, after = ("" if build.hours is None else f"{build.hours:g} h" for build in (reference, other))
    return [Change("hours", before, after)]
