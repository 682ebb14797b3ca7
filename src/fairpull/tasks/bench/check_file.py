"""A check's sheet: what was measured on a standing engine or on the brake, written by hand."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from fairpull.engine.sheet_words import told_plainly
from fairpull.terms.arrays import FloatArray
from fairpull.terms.errors import FairpullError, Fault, ValueRefused
from fairpull.terms.findings import Finding
from fairpull.terms.units import parse

ENTRIES = ("what", "engine", "build", "session", "date", "hours", "values", "wanted", "full_scale", "notes")
UNITS = {"compression": "Pa", "leakdown": "1", "lash": "m", "springs": "N", "dead weights": "N m"}
EXAMPLES = {
    "compression": '["165 psi", "162 psi"]',
    "leakdown": '["4 %", "3 %"]',
    "lash": '["0.016 in", "0.017 in"]',
    "springs": '["118 lbf", "116 lbf"]',
    "dead weights": '["0.1 lb-ft", "50.1 lb-ft"]',
}


@dataclass(frozen=True, slots=True)
class Check:
    """Measured health.

    Attributes:
        what: one of ``UNITS``.
        values: one a cylinder, valve, spring or load, in house units, shape (n,).
        wanted: what each should be (lash, spring load when new, hung torque), shape (n,); None where not said.
        about: names of engine, build and session, "" where not said.
        date, notes: as written. hours: of the engine [h]; None where not said.
        full_scale: of the brake's torque [N m]; None where not said.
    """

    what: str
    values: FloatArray
    wanted: FloatArray | None
    about: Mapping[str, str]
    date: str
    notes: str
    hours: float | None
    full_scale: float | None


def check_from_table(table: Mapping[str, Any], *, where: str) -> Check:
    """A check from its sheet.

    Args:
        table: ``what`` (compression, leakdown, lash, springs, dead weights), ``values`` with their units, perhaps
            ``wanted``, and any of engine, build, session, date, hours, full_scale, notes.
        where: what to call it in a refusal.

    Returns:
        The check.

    Raises:
        ValueRefused: unknown entries or values that cannot be; all faults at once.
    """
    faults = [
        Fault("check-entry", f"{where}, {key}", "not an entry of a check", f"accepted: {', '.join(ENTRIES)}")
        for key in table
        if key not in ENTRIES
    ]
    what = str(table.get("what", ""))
    if what not in UNITS:
        faults.append(Fault("check-what", f"{where}, what", repr(what), f"one of: {', '.join(UNITS)}"))
        raise ValueRefused(faults)
    before = len(faults)
    values = _list(table.get("values"), what, f"{where}, values", faults)
    wanted = _list(table["wanted"], what, f"{where}, wanted", faults) if "wanted" in table else None
    if wanted is not None and len(wanted) == 1:
        wanted = np.full(len(values), wanted[0])
    if wanted is not None and len(faults) == before and len(wanted) != len(values):
        seen = f"{len(wanted)} wanted values for {len(values)} measured ones"
        faults.append(Fault("check-values", f"{where}, wanted", seen, "give one, or as many as there are values"))
    hours = _one(table, "hours", "h", where, faults)
    scale = _one(table, "full_scale", "N m", where, faults)
    if faults:
        raise ValueRefused(faults)
    about = {key: str(table.get(key, "")) for key in ("engine", "build", "session")}
    words = {key: str(table.get(key, "")) for key in ("date", "notes")}
    return Check(what, values, wanted, about, hours=hours, full_scale=scale, **words)


def _list(given: object, what: str, where: str, faults: list[Fault]) -> FloatArray:
    items = given if isinstance(given, list) else [] if given is None else [given]
    if not items:
        faults.append(Fault("check-values", where, "no values", f"write values = {EXAMPLES[what]}"))
    numbers = []
    for item in items:
        try:
            numbers.append(parse(str(item), UNITS[what]))
        except FairpullError as error:
            example = EXAMPLES[what].split('"')[1]
            faults += [told_plainly(one, str(item), UNITS[what], example, where) for one in error.faults]
    return np.array(numbers)


def _one(table: Mapping[str, Any], key: str, unit: str, where: str, faults: list[Fault]) -> float | None:
    if key not in table:
        return None
    try:
        return parse(str(table[key]), "s") / 3600.0 if unit == "h" else parse(str(table[key]), unit)
    except FairpullError as error:
        house, example = ("s", "12 h") if unit == "h" else (unit, "300 lb-ft")
        faults += [told_plainly(one, str(table[key]), house, example, f"{where}, {key}") for one in error.faults]
        return None


def check_findings(check: Check, where: str) -> tuple[Finding, ...]:
    """What a check says about the engine or the brake.

    Args:
        check: as read.
        where: its name.

    Returns:
        Findings; none where all is within the trade's limits.
    """
    from fairpull.health import measured

    if check.what == "compression":
        return measured.compression(check.values, where)
    if check.what == "leakdown":
        return measured.leakdown(check.values, where)
    if check.wanted is None:
        return ()
    if check.what == "lash":
        return measured.lash(check.values, check.wanted, where)
    if check.what == "springs":
        return measured.springs(check.values, check.wanted, where)
    return measured.dead_weights(check.values, check.wanted, where, full_scale=check.full_scale)
