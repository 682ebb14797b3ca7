"""A session's sheet: brake, place, calibration, who was there, written by hand."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, dataclass, field
from typing import TYPE_CHECKING, Any

from fairpull.tasks.weather_words import weather_from_words
from fairpull.terms.errors import FairpullError, Fault, ValueRefused
from fairpull.terms.glossary import BY_NAME
from fairpull.terms.recording import Conditions
from fairpull.terms.units import parse, to_house

if TYPE_CHECKING:
    from fairpull.terms.calibration import Calibration

ENTRIES = ("date", "brake", "place", "altitude", "operator", "notes", "dead_weights", "weather")
WEIGHTS = ("unit", "hung", "read", "apply")


@dataclass(frozen=True, slots=True)
class Session:
    """A day, or half of one, on one brake.

    Attributes:
        date: YYYY-MM-DD, for logs that hold only a time of day; "" where not said.
        brake, place, operator, notes: as written.
        altitude: of the place above the sea [m]; None where not said.
        calibration: the brake's line from hung weights; None where none were written down.
        applied: the line is applied to torque, not only kept.
        weather: for what neither a log, nor its conditions.toml, nor an option says of the air.
    """

    date: str = ""
    brake: str = ""
    place: str = ""
    altitude: float | None = None
    operator: str = ""
    notes: str = ""
    calibration: Calibration | None = None
    applied: bool = False
    weather: Conditions = field(default_factory=Conditions)


def session_from_table(table: Mapping[str, Any], *, where: str) -> Session:
    """A session from its sheet.

    Args:
        table: any of ``date``, ``brake``, ``place``, ``altitude``, ``operator`` (initials), ``notes``,
            ``weather`` ("29.62 inHg 68 degF 56 %", or a table of the entries of conditions.toml), and
            ``[dead_weights]`` with ``unit``, ``hung``, ``read`` and perhaps ``apply = true``.
        where: what to call it in a refusal.

    Returns:
        The session.

    Raises:
        ValueRefused: unknown entries or values that cannot be; all faults at once.
    """
    faults = [
        Fault("session-entry", f"{where}, {key}", "not an entry of a session", f"accepted: {', '.join(ENTRIES)}")
        for key in table
        if key not in ENTRIES
    ]
    date = str(table.get("date", ""))
    if date and not _is_day(date):
        faults.append(Fault("session-date", f"{where}, date", repr(date), 'write it as "2026-05-23"'))
    altitude = None
    if "altitude" in table:
        try:
            altitude = parse(str(table["altitude"]), "m")
        except FairpullError as error:
            faults += [Fault(one.code, f"{where}, altitude", one.seen, one.remedy) for one in error.faults]
    weather = Conditions()
    if "weather" in table:
        weather, wrong = _weather(table["weather"], f"{where}, weather")
        faults += wrong
    line, applied = None, False
    if "dead_weights" in table:
        try:
            line, applied = _weights(table["dead_weights"], f"{where}, dead_weights")
        except FairpullError as error:
            faults += error.faults
    if faults:
        raise ValueRefused(faults)
    words = {key: str(table.get(key, "")) for key in ("brake", "place", "operator", "notes")}
    return Session(date=date, altitude=altitude, calibration=line, applied=applied, weather=weather, **words)


def _weather(said: object, where: str) -> tuple[Conditions, list[Fault]]:
    """The air as it was written down, and what is wrong with it."""
    from fairpull.logs.conditions import WEATHER, check_weather

    accepted = 'write weather = "29.62 inHg 68 degF 56 %"'
    found: dict[str, float] = {}
    try:
        if isinstance(said, str):
            given = asdict(weather_from_words(said, where))
            found = {name: value for name, value in given.items() if value is not None}
        elif isinstance(said, Mapping) and set(said) <= set(WEATHER):
            for name, text in said.items():
                found[WEATHER[name][0]] = parse(str(text), BY_NAME[WEATHER[name][1]].unit)
        else:
            return Conditions(), [Fault("session-weather", where, repr(said), accepted)]
    except FairpullError as error:
        return Conditions(), [Fault(one.code, where, one.seen, one.remedy) for one in error.faults]
    faults = [fault for name, value in found.items() if (fault := check_weather(name, value, where))]
    return (Conditions(), faults) if faults else (Conditions(**found), [])


def _is_day(text: str) -> bool:
    from datetime import date

    try:
        date.fromisoformat(text)
    except ValueError:
        return False
    return len(text) == 10


def _weights(table: object, where: str) -> tuple[Calibration, bool]:
    """The brake's line from the weights that were hung."""
    import numpy as np

    from fairpull.pulls import calibrate

    accepted = 'write unit = "lb-ft", hung = [0, 50, ...], read = [0.1, 50.1, ...]'
    if not isinstance(table, dict) or set(table) - set(WEIGHTS) or not {"unit", "hung", "read"} <= set(table):
        raise ValueRefused(Fault("dead-weights", where, "not a table of hung and read torques", accepted))
    hung, read = table["hung"], table["read"]
    numbers = isinstance(hung, list) and isinstance(read, list) and len(hung) == len(read) > 1
    if not numbers or not all(type(value) in (int, float) for value in [*hung, *read]):
        raise ValueRefused(Fault("dead-weights", where, "hung and read are not lists of as many numbers", accepted))
    unit = str(table["unit"])
    line = calibrate(
        np.asarray(to_house(np.array(hung, float), unit, "N m")),
        np.asarray(to_house(np.array(read, float), unit, "N m")),
    )
    return line, table.get("apply") is True
