"""Rows that come from the sheets: parts, settings, fuel, hours, accessories."""

from __future__ import annotations

import re

import numpy as np

from fairpull.compare.ledger import rules
from fairpull.compare.ledger.case import SETTING, Case, estimate, said, under_test
from fairpull.terms.build import Change
from fairpull.terms.comparison import Estimate
from fairpull.terms.engine import Fuel
from fairpull.terms.errors import FairpullError
from fairpull.terms.ledger import CONFOUNDER, EQUAL, INTENDED, UNKNOWN, LedgerRow
from fairpull.terms.units import parse

FIRST_HOURS = 1.0  # hours apart that count while an engine is running in [h]
LATER_HOURS = 20.0  # and later [h]
# Power that usual accessories take at 6,000 rpm (low, high) [W] and how it goes with speed; common practice.
HP = 745.6998715822702
USUAL = {
    "water pump": (5.0 * HP, 15.0 * HP, 3.0),
    "fan": (5.0 * HP, 25.0 * HP, 3.0),
    "alternator": (1.0 * HP, 5.0 * HP, 1.0),
    "steering": (1.0 * HP, 5.0 * HP, 1.0),
}
_POWER = re.compile(r"([\d.,]+\s*(?:hp|kW|W|PS))\b", re.IGNORECASE)


def change_rows(case: Case) -> list[LedgerRow]:
    """What differs in the sheets, one row a part or setting.

    Args:
        case: both builds.

    Returns:
        Rows of what is under test; one row that says so where no sheet differs or none was written.

    Source: own definition.
    """
    rows = [_change(case, change) for change in under_test(case.changes)]
    if rows:
        return rows
    if case.reference.build is None or case.other.build is None:
        text = "No sheet says what was fitted, so what is under test is known to the tester only."
        return [said("parts and settings", UNKNOWN, (UNKNOWN, UNKNOWN), text)]
    return [said("parts and settings", EQUAL, ("as written", "as written"), "The sheets are alike.")]


def _change(case: Case, change: Change) -> LedgerRow:
    name = change.kind.removeprefix(SETTING)
    text = "; ".join(change.details) or "Differs in the sheets."
    effect, rule = None, ""
    if change.kind == "fuel":
        fuels = _fuels(case)
        if fuels is not None:
            rule, effect = FUEL_RULE, _fuel_effect(fuels)
    return LedgerRow(name, INTENDED, change.before or "none", change.after or "none", effect, rule, text)


FUEL_RULE = "energy for each kilogram of air at equal lambda; alcohol 0 to 9 % more, batch 1 % [heywood, practice]"


def _fuels(case: Case) -> tuple[Fuel, Fuel] | None:
    one, two = (facts.build.engine.fuel if facts.build is not None else None for facts in (case.reference, case.other))
    return (one, two) if one is not None and two is not None else None


def _fuel_effect(fuels: tuple[Fuel, Fuel]) -> Estimate | None:
    reference, other = ((one.heating_value, one.stoichiometric) for one in fuels)
    reach = rules.fuel_effect(reference, other)
    return estimate(reach, FUEL_RULE) if np.isfinite(reach).all() else None


def fuel_row(case: Case) -> LedgerRow | None:
    """Fuel of both builds.

    Args:
        case: both builds.

    Returns:
        The row; None where fuel is what the sheets' changes already name.

    Source: own definition.
    """
    if case.on_trial("fuel"):
        return None
    fuels = _fuels(case)
    if fuels is None:
        text = "No fuel on one of the sheets; batch and grade are taken on trust."
        return said("fuel", UNKNOWN, (UNKNOWN, UNKNOWN), text)
    one, two = fuels
    if str(one) == str(two):  # as text, so that a value which neither sheet states is no difference
        return said("fuel", EQUAL, (one.name, two.name), "The same fuel on both sheets.")
    text = "The fuels differ; the view per fuel energy takes out the heating value, not the knock limit."
    return said("fuel", CONFOUNDER, (one.name, two.name), text, FUEL_RULE, _fuel_effect(fuels))


def gear_row(case: Case) -> LedgerRow | None:
    """Gears between engine and output shaft.

    Args:
        case: both builds.

    Returns:
        The row; None where the gears are alike or not known.

    Source: definition (torque is taken at the crankshaft).
    """
    builds = [facts.build for facts in (case.reference, case.other)]
    gears = [(one.gear, one.gear_efficiency) for one in builds if one is not None]
    if len(set(gears)) < 2:
        return None
    shown = [f"{gear:g}:1 at {efficiency * 100:g} %" for gear, efficiency in gears]
    text = "Does not touch torque at the crankshaft; the view through the gearing takes it in."
    rule = "none at the crankshaft [definition]"
    return said("gearing", CONFOUNDER, shown, text, rule, estimate((0.0, 0.0, 0.0), rule))


def hours_row(case: Case) -> LedgerRow:
    """Hours on the engine.

    Args:
        case: both builds.

    Returns:
        The row.

    Source: practice (rings still seating raise power through a first day).
    """
    one, two = (facts.build.hours if facts.build is not None else None for facts in (case.reference, case.other))
    shown = tuple(UNKNOWN if value is None else f"{value:g} h" for value in (one, two))
    if one is None or two is None:
        text = "Hours are not on both sheets; an engine that is still running in gains by itself."
        return said("hours on the engine", UNKNOWN, shown, text)
    young = min(one, two) < rules.RUN_IN
    if abs(two - one) <= (FIRST_HOURS if young else LATER_HOURS):
        text = "Hours are close enough that running in is no matter."
        return said("hours on the engine", EQUAL, shown, text)
    rule = f"up to 1.5 % while running in (first {rules.RUN_IN:g} h), 0.5 % either way later [practice]"
    text = "One ran on an engine that was still running in." if young else "Wear and carbon may have moved it."
    effect = estimate(rules.running_in_effect(one, two), rule)
    return said("hours on the engine", CONFOUNDER, shown, text, rule, effect)


def accessories_row(case: Case) -> LedgerRow | None:
    """Accessories that were fitted, with the power they took.

    Args:
        case: both builds.

    Returns:
        The row; None where accessories are what the sheets' changes already name.

    Source: practice (accessories differ: subtract measured or declared; never mix net and gross).
    """
    if case.on_trial("accessories"):
        return None
    one, two = case.reference.accessories, case.other.accessories
    shown = tuple(", ".join(fitted) if fitted else "none declared" for fitted in (one, two))
    if not one and not two:
        text = "Nobody declared what the engine drove besides the brake."
        return said("accessories", UNKNOWN, shown, text)
    if sorted(one) == sorted(two):
        return said("accessories", EQUAL, shown, "The same on both.")
    rule = "declared power over mean brake power; usual ranges where none is declared [practice]"
    loads = [_load(only, case) for only in (set(one) - set(two), set(two) - set(one))]
    text = "Accessories differ: one result is more net than the other."
    reach = rules.accessory_effect(loads[0], loads[1], case.power)
    effect = estimate(reach, rule) if np.isfinite(reach).all() else None
    return said("accessories", CONFOUNDER, shown, text, rule, effect)


def declared_power(text: str) -> float | None:
    """Power that stands in the words of an accessory.

    Args:
        text: as declared, such as "fan 8 hp".

    Returns:
        Power [W]; None where none stands there.

    Source: definition.
    """
    found = _POWER.search(text)
    if found is None:
        return None
    try:
        return parse(found[1], "W")
    except FairpullError:
        return None


def _load(fitted: set[str], case: Case) -> tuple[float, float, float]:
    """Power that accessories take (value, low, high) [W]; NaN where one of them is of unknown appetite."""
    middle = float(np.mean(case.band))
    value = low = high = 0.0
    for text in fitted:
        power = declared_power(text)
        usual = next((row for word, row in USUAL.items() if word in text.lower()), None)
        if power is not None:
            least, most = 0.9 * power, 1.1 * power
        elif usual is not None:
            share = (middle / 6000.0) ** usual[2]
            least, most = usual[0] * share, usual[1] * share
            power = 0.5 * (least + most)
        else:
            power = least = most = float("nan")
        value, low, high = value + power, low + least, high + most
    return value, low, high
