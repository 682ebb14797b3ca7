"""duty.toml: what the engine is for, written by hand before the test."""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any, TypeVar

from fairpull.tasks.duty_limits import key_of, limited
from fairpull.tasks.question_file import parse_band
from fairpull.terms.errors import FairpullError, Fault, ValueRefused
from fairpull.terms.pull import Air
from fairpull.terms.purpose import Band, Duty, LoadPoint, Veto
from fairpull.terms.units import lookup, parse

KINDS = {"band": "bands", "line": "load line", "time": "histogram", "gears": "gears", "cycle": "cycle"}
TOP = ("name", "purpose", "smallest", "site", "limit", *KINDS)
KEYS: Mapping[str, tuple[str, ...]] = {
    "band": ("speed", "weight", "quantity"),
    "line": ("rated", "exponent", "from", "margin", "point"),
    "rated": ("speed", "power"),
    "point": ("speed", "power"),
    "time": ("speed", "share"),
    "gears": ("ratios", "shift"),
    "cycle": ("key", "speed", "power", "intermediate_speed", "intermediate_power"),
    "site": ("altitude", "pressure", "temperature", "humidity", "dew_point"),
    "limit": ("of", "least", "most", "why"),
}
T = TypeVar("T")


class _Sheet:
    """Entries of one file as they are read, with every fault met on the way."""

    def __init__(self, where: str, settings: Collection[str] = ()) -> None:
        self.where, self.settings = where, settings
        self.faults: list[Fault] = []

    def fault(self, code: str, where: str, seen: str, remedy: str) -> None:
        self.faults.append(Fault(code, f"{self.where}: {where}", seen, remedy))

    def attempt(self, where: str, made: Callable[[], T]) -> T | None:
        """What ``made`` gives, or None with its faults noted under their place."""
        try:
            return made()
        except FairpullError as refusal:
            self.faults += [replace(one, where=f"{self.where}: {where}") for one in refusal.faults]
        return None

    def table(self, raw: Any, where: str, keys: tuple[str, ...]) -> Mapping[str, Any]:
        if not isinstance(raw, Mapping):
            self.fault("duty-entry", where, repr(raw), f"write a table with {', '.join(keys)}")
            return {}
        for key in raw:
            if key not in keys:
                self.fault("duty-key", f"{where}: {key}", "unknown key", f"use any of {', '.join(keys)}")
        return raw

    def rows(self, raw: Any, name: str) -> list[tuple[str, Mapping[str, Any]]]:
        if not isinstance(raw, list) or not raw:
            self.fault("duty-entry", name, repr(raw), f"write one or more [[{name}]] tables")
            return []
        short = name.rsplit(".", 1)[-1]
        return [(f"{name} {n}", self.table(row, f"{name} {n}", KEYS[short])) for n, row in enumerate(raw, 1)]

    def quantity(self, table: Mapping[str, Any], where: str, key: str, house: str, *, needed: bool = True) -> float:
        """A number with its unit in the house unit; 0 where there is none, with a fault where it is needed or wrong."""
        if key not in table:
            if needed:
                self.fault("duty-missing", f"{where}: {key}", "not given", "write it with its unit")
            return 0.0
        raw = table[key]
        bare = house in ("1", "rpm") and isinstance(raw, (int, float)) and not isinstance(raw, bool)
        if not bare and not isinstance(raw, str):
            self.fault("unit-missing", f"{where}: {key}", f"{raw!r} has no unit", "write a text with number and unit")
            return 0.0
        found = float(raw) if bare else self.attempt(f"{where}: {key}", lambda: parse(str(raw), house))
        return 0.0 if found is None else found


def read_duty(path: Path, settings: Collection[str] = ()) -> Duty:
    """Read a declared duty.

    Args:
        path: TOML file with ``name``, ``purpose``, ``smallest``, one of ``[[band]]``, ``[line]``, ``[[time]]``,
            ``[gears]`` and ``[cycle]``, and where wanted ``[site]`` and ``[[limit]]``; docs/purpose.md shows them all.
        settings: as for ``duty_from_table``.

    Returns:
        The duty.

    Raises:
        ValueRefused: not TOML, unknown keys, none or several kinds, values without unit or out of range; all faults of
            the file at once.
    """
    import tomllib

    try:
        table = tomllib.loads(path.read_text(encoding="utf-8"))
    except (tomllib.TOMLDecodeError, UnicodeDecodeError, OSError) as error:
        raise ValueRefused(Fault("duty-file", str(path), str(error), "write it as TOML, UTF-8")) from error
    return duty_from_table(table, where=str(path), name=path.stem, settings=settings)


def duty_from_table(table: Mapping[str, Any], *, where: str, name: str = "", settings: Collection[str] = ()) -> Duty:
    """A declared duty from its entries.

    Args:
        table: as in the file, see ``read_duty``.
        where: what to call it in a refusal.
        name: label where the entries have none.
        settings: names of settings that the builds' sheets hold, which may be limited by their bare names.

    Returns:
        The duty.

    Raises:
        ValueRefused: as ``read_duty``; all faults at once.
    """
    sheet = _Sheet(where, settings)
    for key in table:
        if key not in TOP:
            sheet.fault("duty-key", key, "unknown key", f"use any of {', '.join(TOP)}")
    kinds = [key for key in KINDS if key in table]
    if len(kinds) != 1:
        seen = f"{' and '.join(kinds)} together" if kinds else "no kind of duty"
        sheet.fault("duty-kind", "duty", seen, f"write exactly one of {', '.join(KINDS)}")
    duty = _of_kind(sheet, kinds[0], table[kinds[0]]) if len(kinds) == 1 else None
    smallest = table.get("smallest", "1 %")
    share = sheet.attempt("smallest", lambda: parse(str(smallest), "1"))
    air = _site(sheet, table["site"]) if "site" in table else None
    vetoes = _limits(sheet, table["limit"]) if "limit" in table else ()
    if not sheet.faults and duty is not None and share is not None:
        text = str(table.get("purpose", "")) or duty.text
        label = str(table.get("name", "")) or name
        whole = replace(duty, name=label, text=text, air=air, vetoes=vetoes, smallest=share)
        sheet.attempt("duty", lambda: _checked(whole))
        if not sheet.faults:
            return whole
    raise ValueRefused(sheet.faults)


def _checked(duty: Duty) -> Duty:
    from fairpull.compare.purpose.duty_check import check_duty

    check_duty(duty)
    return duty


def _of_kind(sheet: _Sheet, key: str, raw: Any) -> Duty | None:
    if key == "band":
        return Duty("", "bands", bands=tuple(_bands(sheet, raw)))
    if key == "line":
        return _line(sheet, sheet.table(raw, "line", KEYS["line"]))
    if key == "time":
        points = tuple(
            LoadPoint(sheet.quantity(row, where, "speed", "rpm"), 0.0, sheet.quantity(row, where, "share", "1"))
            for where, row in sheet.rows(raw, "time")
        )
        return Duty("", "histogram", points=points)
    if key == "gears":
        return _gears(sheet, sheet.table(raw, "gears", KEYS["gears"]))
    return _cycle(sheet, sheet.table(raw, "cycle", KEYS["cycle"]))


def _bands(sheet: _Sheet, raw: Any) -> list[Band]:
    bands = []
    for where, row in sheet.rows(raw, "band"):
        speed = str(row.get("speed", ""))
        pair = sheet.attempt(f"{where}: speed", lambda text=speed: parse_band(text))  # type: ignore[misc]
        weight = sheet.quantity(row, where, "weight", "1")
        if pair is not None:
            bands.append(Band(*pair, weight, str(row.get("quantity", "power"))))
    return bands


def _line(sheet: _Sheet, table: Mapping[str, Any]) -> Duty | None:
    margin = sheet.quantity(table, "line", "margin", "1", needed=False)
    if "point" in table:
        for key in ("rated", "exponent", "from"):
            if key in table:
                sheet.fault(
                    "duty-key", f"line: {key}", "given beside points", "give points, or a rated point and exponent"
                )
        points = tuple(
            LoadPoint(sheet.quantity(row, where, "speed", "rpm"), sheet.quantity(row, where, "power", "W"))
            for where, row in sheet.rows(table["point"], "line.point")
        )
        return Duty("", "load line", points=points, margin=margin)
    rated = sheet.table(table.get("rated"), "line: rated", KEYS["rated"])
    speed, power = (
        sheet.quantity(rated, "line: rated", "speed", "rpm"),
        sheet.quantity(rated, "line: rated", "power", "W"),
    )
    exponent = sheet.quantity(table, "line", "exponent", "1")
    points = (LoadPoint(speed, power),)
    if "from" in table and speed > 0.0:
        low = sheet.quantity(table, "line", "from", "rpm")
        points = (*points, LoadPoint(low, power * (low / speed) ** exponent if low > 0.0 else 0.0))
    return Duty("", "load line", points=points, exponent=exponent, margin=margin)


def _gears(sheet: _Sheet, table: Mapping[str, Any]) -> Duty:
    raw = table.get("ratios")
    ratios = raw if isinstance(raw, list) else []
    good = [float(one) for one in ratios if isinstance(one, (int, float)) and not isinstance(one, bool)]
    if not ratios or len(good) != len(ratios):
        sheet.fault("duty-gears", "gears: ratios", repr(raw), "write a list of numbers, first gear first")
    return Duty("", "gears", gears=tuple(good), shift_rpm=sheet.quantity(table, "gears", "shift", "rpm"))


def _cycle(sheet: _Sheet, table: Mapping[str, Any]) -> Duty | None:
    from fairpull.compare.purpose.cycles import cycle_duty

    speed, power = sheet.quantity(table, "cycle", "speed", "rpm"), sheet.quantity(table, "cycle", "power", "W")
    between = sheet.quantity(table, "cycle", "intermediate_speed", "rpm", needed=False)
    strength = sheet.quantity(table, "cycle", "intermediate_power", "W", needed=False)
    if sheet.faults:
        return None
    return sheet.attempt(
        "cycle",
        lambda: cycle_duty(
            str(table.get("key", "")),
            speed,
            power,
            intermediate_rpm=between or None,
            intermediate_power=strength or None,
        ),
    )


def _site(sheet: _Sheet, raw: Any) -> Air | None:
    from fairpull import air

    table = sheet.table(raw, "site", KEYS["site"])
    before = len(sheet.faults)
    if ("altitude" in table) == ("pressure" in table):
        sheet.fault("duty-site", "site", "altitude and pressure" if table else "neither", "give one of the two")
    temperature = sheet.quantity(table, "site", "temperature", "K")
    if "altitude" in table:
        height = sheet.quantity(table, "site", "altitude", "m")
        pressure = float(air.standard_pressure(air.geopotential_altitude(height)))
    else:
        pressure = sheet.quantity(table, "site", "pressure", "Pa")
    humidity = sheet.quantity(table, "site", "humidity", "1") if "humidity" in table else None
    dew = sheet.quantity(table, "site", "dew_point", "K") if "dew_point" in table else None
    if len(sheet.faults) > before:
        return None
    return sheet.attempt("site", lambda: air.air_from(pressure, temperature, humidity, dew))


def _limits(sheet: _Sheet, raw: Any) -> tuple[Veto, ...]:
    vetoes = []
    for where, row in sheet.rows(raw, "limit"):
        said = str(row.get("of", ""))
        about = limited(said, sheet.settings)
        if not key_of(said):
            sheet.fault("duty-missing", f"{where}: of", "not given", "name the channel or fact that is limited")
        elif not about.name:
            near = f"near it: {', '.join(about.near)}; " if about.near else ""
            remedy = f'{near}name a channel, an entry or fact of the sheets, or "setting NAME"'
            sheet.fault("duty-limit-unknown", f"{where}: of", f"nothing is called {said!r}", remedy)
        house = about.unit or _house_of(row.get("most", row.get("least")))
        ends = [sheet.quantity(row, where, key, house) if key in row else None for key in ("least", "most")]
        vetoes.append(Veto(about.name, ends[0], ends[1], house, str(row.get("why", ""))))
    return tuple(vetoes)


def _house_of(value: object) -> str:
    """House unit of a value as a person writes it, for facts that the glossary does not hold: "20 m/s" -> m/s."""
    unit = lookup(re.sub(r"^[-+\d.,' ]+", "", value)) if isinstance(value, str) else None
    return unit.house if unit else "1"
