"""A sheet's page as finished strings: entries beside what follows from them, flow table, cam card, versions, lists."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from fairpull.show import digits, scale
from fairpull.show.facts import made
from fairpull.show.facts.table import Column, Table
from fairpull.show.facts.table import words as text
from fairpull.show.facts.words import moment
from fairpull.terms import units
from fairpull.terms.bench import Sheet
from fairpull.terms.build import Change, Fact
from fairpull.terms.errors import FairpullError
from fairpull.terms.sheet_view import CamCard, FlowBench, SheetView, UsedBy

ENTERED_AS = {
    "displacement": "displacement",
    "compression ratio from volumes": "compression_ratio",
    "exhaust centreline": "exhaust_centreline",
    "lobe separation": "lobe_separation",
    "intake valve lift": "intake_valve_lift",
    "exhaust valve lift": "exhaust_valve_lift",
    "pulley ratio": "ratio",
    "spring rate": "rate",
}
"""A computed value and the entry that says the same."""
NUMBER_AND_UNIT = re.compile(r"\s*[-+]?\d[\d.,' ]*(?:[eE][-+]?\d+)?\s*(\D.*?)\s*")
_FREE = ("K", "rpm", "1", "s", "V", "A")


@dataclass(frozen=True, slots=True)
class Computed:
    """One computed value with what was entered, and how it was made.

    ``entered`` is "" where nothing of the kind was entered; ``how`` the formula; ``source`` the work's title.
    """

    name: str
    entered: str
    value: str
    how: str
    source: str


def fact_value(fact: Fact, system: str) -> str:
    """A computed value with its unit, as the terminal writes it.

    Args:
        fact: the value.
        system: "us" or "metric".

    Returns:
        E.g. "143 cfm".
    """
    if isinstance(fact.value, str):
        return fact.value
    if not math.isfinite(fact.value):
        return digits.DASH
    if fact.unit in ("", "1"):
        return digits.bare(fact.value, 3)
    # a volume flow on a data sheet is air through a port or a carburettor, but for injectors
    quantity = "air_volume_flow" if fact.unit == "m3/s" and "injector" not in fact.name else ""
    shown = scale.scalar(fact.value, fact.unit, system, quantity)
    return f"{digits.bare(shown, digits.significant_decimals(shown, 4))} {scale.label(fact.unit, system, quantity)}"


def also(written: str, system: str) -> str:
    """A written entry in the shown unit, where it was written in another.

    Args:
        written: e.g. "3.455 in".
        system: "us" or "metric".

    Returns:
        E.g. "87.76 mm"; "" where it is no quantity, or in the shown unit already.
    """
    matched = NUMBER_AND_UNIT.fullmatch(written)
    found = units.lookup(matched[1]) if matched else None
    if found is None or found.house in _FREE:
        return ""
    try:
        value = units.parse(written, found.house)
        shown = _unit(found.house, found.symbol, system)
        if shown == found.symbol or not math.isfinite(value):
            return ""
        number = float(units.from_house(value, shown, found.house))
    except FairpullError:
        return ""
    return f"{digits.bare(number, digits.significant_decimals(number, 4))} {shown}"


def _unit(house: str, symbol: str, system: str) -> str:
    """Unit to show; a unit that the system knows for something else (cc, cfm, inHg in US) stays as written."""
    if symbol in _US if system == "us" else symbol in _METRIC:
        return symbol
    return units.shown_unit("air_volume_flow", system) if house == "m3/s" else units.shown_unit(house, system)


_US = (
    "in",
    "ft",
    "cm3",
    "in3",
    "cfm",
    "psi",
    "inHg",
    "inH2O",
    "lb",
    "lbf",
    "lb/h",
    "lb/min",
    "hp",
    "lb-ft",
    "in2",
    "°",
)
_METRIC = (
    *("mm", "cm", "m", "cm3", "L", "L/s", "m3/h", "kPa", "bar", "mbar", "hPa", "g", "kg", "N", "g/s", "kg/h", "kW"),
    *("N m", "cm2", "mm2", "°", "kg m2", "MJ/kg", "kg/m3", "kg/L", "mL/min"),
)


def entries(body: Mapping[str, Any], system: str, title: str = "Entries", key: str = "entries") -> Table:
    """What was entered, as written and in the shown unit.

    Args:
        body: of the sheet.
        system: "us" or "metric".
        title, key: of the table.

    Returns:
        The table.
    """
    rows = tuple(row for row in _rows(body, system) if row[0] != "kind")
    if not any(row[2] for row in rows):
        return Table(key, title, (text("entry"), text("as written")), tuple(row[:2] for row in rows))
    return Table(key, title, (text("entry"), text("as written"), text("in your units")), rows)


def _rows(body: Mapping[str, Any], system: str, place: str = "") -> Iterator[tuple[str, str, str]]:
    for name, value in body.items():
        here = f"{place}{str(name).replace('_', ' ')}"
        if isinstance(value, Mapping):
            yield from _rows(value, system, f"{here}: ")
        elif isinstance(value, list | tuple) and value and all(isinstance(one, Mapping) for one in value):
            for number, row in enumerate(value, start=1):
                yield from _rows(row, system, f"{here} {number}: ")
        else:
            said = written(value)
            yield here, said, also(said, system)


def written(value: Any) -> str:
    """An entry as text: rows of a table apart by semicolons, cells by commas."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, list | tuple):
        return "; ".join(", ".join(map(str, one)) if isinstance(one, list | tuple) else str(one) for one in value)
    return str(value)


def computed(facts: Sequence[Fact], body: Mapping[str, Any], system: str) -> tuple[Computed, ...]:
    """Computed values beside what was entered of the same.

    Args:
        facts: of the sheet.
        body: the entries that may say the same.
        system: "us" or "metric".

    Returns:
        One each.
    """
    return tuple(_made(fact, body, system) for fact in facts)


def _made(fact: Fact, body: Mapping[str, Any], system: str) -> Computed:
    how, _, key = fact.how.rpartition("; source: ")
    entered = written(body[ENTERED_AS[fact.name]]) if body.get(ENTERED_AS.get(fact.name, "")) is not None else ""
    named = made.named_sources(key)
    source = ", ".join(work if one == "practice" else f"{work} ({status})" for one, work, status in named) or key
    return Computed(fact.name, entered, fact_value(fact, system), how or fact.how, source)


def flow_table(bench: FlowBench, system: str) -> Table:
    """A flow table with what each row says of the port.

    Args:
        bench: the table.
        system: "us" or "metric".

    Returns:
        One row for each lift and side.
    """
    lift, flow, area = scale.label("m", system), flow_unit(system), scale.label("m2", system)
    rows = tuple(
        (
            one.side,
            digits.bare(scale.scalar(one.lift, "m", system), 3),
            digits.number(flow_shown(one.flow, system), 1),
            digits.DASH if one.coefficient is None else digits.number(one.coefficient, 2),
            digits.DASH if one.area is None else digits.number(scale.scalar(one.area, "m2", system), 2),
        )
        for one in bench.rows
    )
    columns = (
        text("side"),
        Column("lift", lift),
        Column("flow", flow),
        Column("coefficient"),
        Column("effective area", area),
    )
    note = (
        f"At the stated depression, {bench.stated}. Coefficient: flow over what the smaller of curtain and valve area "
        "would pass without losses at that depression. Effective area: flow over the speed that the depression gives "
        "air without losses. Source: heywood, section 6.3; constant density."
    )
    return Table("flow", "Flow table", columns, rows, note)


def flow_unit(system: str) -> str:
    """Unit of a port's flow."""
    return "cfm" if system == "us" else "L/s"


def flow_shown(flow: float, system: str) -> float:
    """A port's flow [m3/s] in that unit."""
    return float(units.from_house(flow, flow_unit(system), "m3/s"))


def events_table(cards: Sequence[CamCard]) -> Table:
    """When the valves open and close, crank degrees.

    Args:
        cards: of a camshaft.

    Returns:
        One row for each valve and lift.
    """
    rows = []
    for card in cards:
        for one in card.spans:
            opens, closes, centre = (math.degrees(angle) for angle in (one.opens, one.closes, one.centre))
            told = (
                (f"{_side(-opens, 'BTDC', 'ATDC')}", f"{_side(closes - 180.0, 'ABDC', 'BBDC')}")
                if one.side == "intake"
                else (f"{_side(-180.0 - opens, 'BBDC', 'ABDC')}", f"{_side(closes, 'ATDC', 'BTDC')}")
            )
            middle = f"{digits.bare(abs(centre), 1)} {'ATDC' if centre >= 0.0 else 'BTDC'}"
            rows.append((card.stated, one.side, *told, digits.bare(closes - opens, 1), middle))
    columns = (
        text("at"),
        text("valve"),
        Column("opens", "crank deg"),
        Column("closes", "crank deg"),
        Column("duration", "crank deg"),
        Column("centreline", "crank deg"),
    )
    return Table("events", "Valve events", columns, tuple(rows))


def _side(angle: float, before: str, after: str) -> str:
    return f"{digits.bare(abs(angle), 1)} {before if angle >= 0.0 else after}"


def overlap(card: CamCard) -> float | None:
    """Overlap of a card [rad]; None where one valve's events are not known."""
    by_side = {one.side: one for one in card.spans}
    if len(by_side) < 2:
        return None
    return by_side["exhaust"].closes - by_side["intake"].opens


def overlap_said(card: CamCard) -> str:
    """Overlap of a card in words; "" where one valve's events are not known."""
    both = overlap(card)
    if both is None:
        return ""
    angle = digits.bare(math.degrees(abs(both)), 1)
    return f"overlap {angle} deg" if both > 0.0 else f"no overlap: {angle} deg between closing and opening"


def changes_table(changes: Sequence[Change], reference: str, name: str) -> Table:
    """How a build differs from another.

    Args:
        changes: as found.
        reference: name of the build on the left.
        name: of the other.

    Returns:
        One row each.
    """
    rows = tuple(
        (one.kind, one.before or digits.DASH, one.after or digits.DASH, "; ".join(one.details)) for one in changes
    )
    note = "" if rows else "Nothing on the two sheets differs."
    columns = (text("what"), text(reference), text(name), text("in detail"))
    return Table("changes", f"Changes against {reference}", columns, rows, note)


def versions_table(view: SheetView) -> Table:
    """All versions, newest first.

    Args:
        view: of the sheet.

    Returns:
        One row each.
    """
    rows = tuple(
        (str(one.version), moment(one.added_at) if one.added_at else digits.DASH, one.changed or "first version")
        for one in view.versions
    )
    columns = (Column("version"), text("kept"), text("changed against the one before"))
    return Table("versions", "Versions", columns, rows)


def uses_table(used: Sequence[UsedBy]) -> Table:
    """Builds that hold a sheet.

    Args:
        used: builds.

    Returns:
        One row each.
    """
    rows = tuple((one.build, str(one.pulls)) for one in used)
    note = "" if rows else "No build holds it yet."
    return Table("used", "Used by", (text("build"), Column("counted pulls")), rows, note)


LIST_COLUMNS = {
    "engine": ("bore", "stroke", "cylinders", "displacement", "compression_ratio", "induction"),
    "part": ("kind", "label"),
    "build": ("engine", "reference"),
    "session": ("date", "brake", "place"),
    "check": ("what", "engine", "build", "session", "date"),
    "question": ("question", "builds", "band"),
    "duty": ("purpose",),
}
TELLING = {
    "camshaft": ("intake_duration", "intake_valve_lift", "lobe_separation"),
    "head": ("material", "intake_valve", "exhaust_valve"),
    "exhaust": ("design", "primary_diameter", "primary_length"),
    "jets": ("main", "secondary"),
    "springs": ("seat_load", "open_load"),
    "compressor": ("design", "drive"),
    "carburettor": ("flow", "depression", "barrels"),
    "injectors": ("mass_flow", "volume_flow", "count"),
    "pulley": ("driving", "driven", "ratio"),
}
"""What tells parts of a kind apart."""


def sheets_table(
    kind: str, sheets: Sequence[Sheet], used: Mapping[str, Sequence[UsedBy]], counts: Mapping[str, int]
) -> Table:
    """A list of sheets with the entries that matter.

    Args:
        kind: of sheet.
        sheets: newest versions.
        used: name -> builds that hold it.
        counts: build -> counted pulls.

    Returns:
        One row each.
    """
    rows = []
    with_use = kind in ("engine", "part", "build")
    for one in sheets:
        told = [written(one.body.get(entry, "")) for entry in LIST_COLUMNS[kind]]
        if kind == "part":
            told.append(", ".join(_told(one.body)))
        held = used.get(one.name, ())
        pulls = counts.get(one.name, 0) if kind == "build" else sum(build.pulls for build in held)
        more = ([] if kind == "build" else [str(len(held))]) + [str(pulls)] if with_use else []
        rows.append((one.name, *told, *more, str(one.version)))
    columns = [text("name"), *(text(entry.replace("_", " ")) for entry in LIST_COLUMNS[kind])]
    columns += [text("known by")] if kind == "part" else []
    columns += [Column("builds")] if kind in ("engine", "part") else []
    columns += [Column("counted pulls")] if with_use else []
    return Table(f"{kind}s", PLURALS[kind], (*columns, Column("version")), tuple(rows))


PLURALS = {
    "engine": "Engines",
    "part": "Parts",
    "build": "Builds",
    "session": "Sessions",
    "check": "Checks",
    "question": "Questions",
    "duty": "Duties",
}


def _told(body: Mapping[str, Any]) -> Iterator[str]:
    named = TELLING.get(str(body.get("kind", "")), ())
    found = [entry for entry in named if entry in body]
    rest = [
        entry for entry, one in body.items() if entry not in ("kind", "label", "notes") and isinstance(one, str | int)
    ]
    for entry in (found or rest)[:3]:
        yield f"{entry.replace('_', ' ')} {written(body[entry])}"
