"""What is asked of a sheet when it is added, beyond that it can be read, and what adding did."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from fairpull.engine.sheet_words import told_plainly
from fairpull.terms.bench import Sheet
from fairpull.terms.errors import FairpullError, Fault
from fairpull.terms.findings import Finding, Severity
from fairpull.terms.units import lookup, parse

if TYPE_CHECKING:
    from fairpull.book import Book
    from fairpull.tasks.bench.builds import Shelf

SETTINGS: Mapping[str, tuple[str, str]] = {
    "spark": ("rad", "31 deg"),
    "spark_advance": ("rad", "31 deg"),
    "advance": ("rad", "31 deg"),
    "timing": ("rad", "31 deg"),
    "ignition_advance": ("rad", "31 deg"),
    "initial_advance": ("rad", "8 deg"),
    "boost": ("Pa", "6 psi"),
    "gate_opens": ("Pa", "6 psi"),
    "fuel_pressure": ("Pa", "43.5 psi"),
    "oil_pressure": ("Pa", "60 psi"),
    "rpm_limit": ("rpm", "5600 rpm"),
    "lash": ("m", "0.012 in"),
    "tappets": ("m", "0.012 in"),
    "intake_lash": ("m", "0.010 in"),
    "exhaust_lash": ("m", "0.012 in"),
    "plug_gap": ("m", "0.032 in"),
    "float_level": ("m", "8 mm"),
    "intake_centreline": ("rad", "108 deg"),
    "oil_temperature": ("K", "200 degF"),
    "coolant_temperature": ("K", "180 degF"),
    "lambda": ("1", "0.86"),
}
"""Settings whose quantity is known: house unit, and how the trade writes one."""
BUILDS_NAMED = ("reference", "tuned_from")
_BARE = re.compile(r"\s*[-+]?\d[\d.,' ]*\s*")
_NUMBER = re.compile(r"\s*[-+]?\d[\d.,' ]*")
MOST_CHANGES = 4  # that a line tells


@dataclass(frozen=True, slots=True)
class Added:
    """What adding did to one sheet.

    Attributes:
        sheet: as kept.
        what: "new", "changed", "unchanged".
        said: what changed, "" where nothing did or all is new.
        finding: a warning about it; None for none.
    """

    sheet: Sheet
    what: str
    said: str = ""
    finding: Finding | None = None


def adding_faults(sheet: Sheet, shelf: Shelf) -> list[Fault]:
    """What is wrong with a build's settings and with the builds that it names.

    Args:
        sheet: on its way; other kinds than builds have no such faults.
        shelf: with all sheets on their way.

    Returns:
        Every fault.
    """
    if sheet.kind != "build":
        return []
    where = f"build {sheet.name}"
    settings = sheet.body.get("settings", {})
    faults = []
    for name, value in settings.items() if isinstance(settings, Mapping) else ():
        faults += setting_faults(str(name), value, f"{where}, settings.{name}")
    for key in BUILDS_NAMED:
        named = sheet.body.get(key)
        if isinstance(named, str) and named and named != sheet.name:
            faults += shelf.missing("build", named, f"{where}, {key}")
    return faults


def setting_faults(name: str, value: object, where: str) -> list[Fault]:
    """What is wrong with one setting: a known quantity without its unit, or with one of another quantity.

    Args:
        name: of the setting.
        value: as written; words are always taken.
        where: it stands.

    Returns:
        No fault, or one.
    """
    key = re.sub(r"[^a-z0-9]+", "_", name.lower()).strip("_")
    if key not in SETTINGS or not isinstance(value, str | int | float) or isinstance(value, bool):
        return []
    house, example = SETTINGS[key]
    text = str(value)
    begins = _NUMBER.match(text)
    if not begins or not (_BARE.fullmatch(text) or lookup(text[begins.end() :])):
        return []  # words, or a number with words: kept as they are
    try:
        parse(text, house)
    except FairpullError as error:
        return [told_plainly(fault, text, house, f'{name} = "{example}"', where) for fault in error.faults]
    return []


def added(kept: Book, done: Sequence[Sheet], before: Mapping[tuple[str, str], Sheet]) -> tuple[Added, ...]:
    """What adding did to each sheet.

    Args:
        kept: the book.
        done: sheets as kept.
        before: (kind, name) -> the newest version until now.

    Returns:
        One each, in order.
    """
    return tuple(_added(kept, sheet, before.get((sheet.kind, sheet.name))) for sheet in done)


def newest(kept: Book, coming: Sequence[Sheet]) -> dict[tuple[str, str], Sheet]:
    """Newest versions of sheets that are about to be added, where the book has them: (kind, name) -> sheet."""
    wanted = {(one.kind, one.name) for one in coming}
    kinds = dict.fromkeys(one.kind for one in coming)
    found = {(one.kind, one.name): one for kind in kinds for one in kept.sheets(kind)}
    return {key: sheet for key, sheet in found.items() if key in wanted}


def _added(kept: Book, sheet: Sheet, old: Sheet | None) -> Added:
    where = f"{sheet.kind} {sheet.name}"
    itself = [key for key in BUILDS_NAMED if sheet.kind == "build" and sheet.body.get(key) == sheet.name]
    finding = None
    if itself:
        text = f"{itself[0]} names the build itself, so there is nothing to judge it against."
        finding = Finding("build-is-its-own-reference", Severity.WARNING, where, text, "Name another build, or none.")
    if old is None:
        return Added(sheet, "new", finding=finding)
    if sheet.version == old.version:
        return Added(sheet, "unchanged", finding=finding)
    said = changes(old.body, sheet.body)
    same = [
        one.version
        for one in kept.sheets(sheet.kind, all_versions=True)
        if one.name == sheet.name and one.version < sheet.version and one.body == sheet.body
    ]
    if same and finding is None:
        text = f"Version {sheet.version} is the text of version {same[-1]} again; version {old.version} said: {said}."
        remedy = "If the folder was an old one, add the newer text again."
        finding = Finding("older-sheet-again", Severity.WARNING, where, text, remedy)
    return Added(sheet, "changed", said, finding)


def changes(old: Mapping[str, Any], new: Mapping[str, Any]) -> str:
    """How two texts of a sheet differ, entry by entry.

    Args:
        old, new: bodies.

    Returns:
        E.g. "settings.spark 31 deg -> 33 deg; hours taken out".
    """
    one, other = dict(_flat(old)), dict(_flat(new))
    said = []
    for key in dict.fromkeys([*one, *other]):
        if key not in other:
            said.append(f"{key} taken out (was {one[key]})")
        elif key not in one:
            said.append(f"{key} {other[key]} put in")
        elif one[key] != other[key]:
            said.append(f"{key} {one[key]} -> {other[key]}")
    more = len(said) - MOST_CHANGES
    return "; ".join([*said[:MOST_CHANGES], *([f"and {more} more"] if more > 0 else [])])


def _flat(body: Mapping[str, Any], place: str = "") -> Iterator[tuple[str, str]]:
    for key, value in body.items():
        if isinstance(value, Mapping):
            yield from _flat(value, f"{place}{key}.")
        else:
            yield f"{place}{key}", str(value)
