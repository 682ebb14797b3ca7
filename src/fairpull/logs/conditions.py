"""What is said by hand about the air and the engine: ``conditions.toml``, options, and lines before the header."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, fields, replace
from datetime import date
from fnmatch import fnmatch
from pathlib import Path

from fairpull.logs.names import match
from fairpull.logs.options import ReadOptions
from fairpull.terms import units
from fairpull.terms.errors import FairpullError, Fault, ReadRefused, ValueRefused
from fairpull.terms.findings import Finding, Severity
from fairpull.terms.glossary import BY_NAME
from fairpull.terms.recording import Conditions

FILE_NAME = "conditions.toml"
# entry -> (field, glossary channel whose plausible range holds)
WEATHER: Mapping[str, tuple[str, str]] = {
    "barometer": ("pressure", "barometer"),
    "pressure": ("pressure", "barometer"),
    "inlet_temperature": ("temperature", "inlet_temperature"),
    "temperature": ("temperature", "inlet_temperature"),
    "relative_humidity": ("relative_humidity", "relative_humidity"),
    "humidity": ("relative_humidity", "relative_humidity"),
    "dew_point": ("dew_point", "dew_point"),
    "wet_bulb": ("wet_bulb", "wet_bulb"),
    "vapour_pressure": ("vapour_pressure", "vapour_pressure"),
}
OTHER = {"displacement": "m3", "altitude": "m"}
_LINE = re.compile(
    r"^[\s#;%/*!]*(?P<key>[^\d:=;,\t]{2,40}?)\s*[:=;,\t]?\s*(?P<value>[-+]?\d[\d.,]*\s*[^\d\s:;,|][^:;,|]{0,15}?)\s*[;,|]*$"
)


@dataclass(frozen=True, slots=True)
class Handed:
    """What was said by hand for one log.

    Attributes:
        given: air conditions, SI.
        displacement: swept volume [m3], or None.
        strokes: strokes per cycle.
        altitude: height above sea level [m], or None.
        day: date of the test, or None.
        choices: what came from where.
        findings: e.g. weather taken from the lines before the header.
    """

    given: Conditions = field(default_factory=Conditions)
    displacement: float | None = None
    strokes: int = 4
    altitude: float | None = None
    day: date | None = None
    choices: Mapping[str, str] = field(default_factory=dict)
    findings: tuple[Finding, ...] = ()


def check_weather(name: str, value: float, where: str) -> Fault | None:
    """Whether a value of the weather can be: units mistaken, humidity as per cent, a pressure that is none.

    Args:
        name: entry, a key of WEATHER.
        value: the value, house unit.
        where: file and entry, or option.

    Returns:
        The fault, or None.
    """
    channel = BY_NAME[WEATHER[name][1]]
    if channel.low <= value <= channel.high:
        return None
    if channel.name == "relative_humidity" and 1.02 < value <= 100:
        return Fault(
            "humidity-as-percent", where, f"{value:g} where a fraction is meant", f"write {value:g}% or {value / 100:g}"
        )
    seen = f"{value:g} {channel.unit}, outside {channel.low:g} to {channel.high:g} {channel.unit}"
    return Fault("weather-impossible", where, seen, f"check the value and its unit ({channel.about})")


def load(path: Path, options: ReadOptions, preamble: Sequence[str]) -> Handed:
    """All that is said by hand for a log: option over conditions.toml over the lines before the header.

    Args:
        path: the log.
        options: what was said by option.
        preamble: lines before the header.

    Returns:
        The conditions with their choices and findings.

    Raises:
        ReadRefused: all faults of conditions.toml; an impossible option value.
    """
    faults = _option_faults(options.given, path.name)
    source = options.conditions_file or path.parent / FILE_NAME
    handed = Handed()
    if options.conditions_file is not None or source.is_file():
        handed, file_faults = _from_file(source, path)
        faults += file_faults
    if faults:
        raise ReadRefused(faults)
    handed = _over(handed, options)
    return _under(handed, preamble, path.name)


def _option_faults(given: Conditions, where: str) -> list[Fault]:
    entries = {spec[0]: name for name, spec in WEATHER.items()}
    found = []
    for item in fields(given):
        value = getattr(given, item.name)
        if value is not None:
            fault = check_weather(entries[item.name], value, f"{where}, option {item.name}")
            found.extend([fault] if fault else [])
    return found


def _over(handed: Handed, options: ReadOptions) -> Handed:
    choices = dict(handed.choices)
    given = handed.given
    for item in fields(given):
        value = getattr(options.given, item.name)
        if value is not None:
            given = replace(given, **{item.name: value})
            choices[f"given {item.name}"] = "by option"
    return replace(
        handed,
        given=given,
        displacement=options.displacement if options.displacement is not None else handed.displacement,
        strokes=options.strokes if options.strokes != 4 else handed.strokes,
        altitude=options.altitude if options.altitude is not None else handed.altitude,
        day=_option_day(options.date) or handed.day,
        choices=choices,
    )


def _option_day(text: str) -> date | None:
    if not text:
        return None
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise ValueRefused(Fault("date-unreadable", "option date", repr(text), "write year-month-day")) from None


def _from_file(source: Path, path: Path) -> tuple[Handed, list[Fault]]:
    import tomllib

    from fairpull.logs.conditions_model import validated

    where = f"{path.name}, {source.name}"
    try:
        content = tomllib.loads(source.read_text(encoding="utf-8-sig"))
    except (OSError, UnicodeDecodeError, tomllib.TOMLDecodeError) as error:
        remedy = "give a TOML file, see docs/formats.md"
        return Handed(), [Fault("conditions-unreadable", where, str(error), remedy)]
    folder, files, faults = validated(content, where)
    said = dict(folder)
    for pattern, entries in files.items():
        if fnmatch(path.name, pattern):
            said.update(entries)
            if {"relative_humidity", "humidity", "dew_point", "wet_bulb", "vapour_pressure"} & set(entries):
                for name in ("relative_humidity", "humidity", "dew_point", "wet_bulb", "vapour_pressure"):
                    if name not in entries:
                        said.pop(name, None)
    handed, value_faults = _handed(said, where, source.name)
    return handed, [*faults, *value_faults]


def _handed(said: Mapping[str, str | int], place: str, source: str) -> tuple[Handed, list[Fault]]:
    faults: list[Fault] = []
    weather: dict[str, float] = {}
    other: dict[str, float] = {}
    choices: dict[str, str] = {}
    day: date | None = None
    strokes = 4
    for name, text in said.items():
        where = f"{place}, {name}"
        if name == "strokes":
            strokes = int(text)
        elif name == "date":
            day, fault = _day(str(text), where)
            faults.extend([fault] if fault else [])
        else:
            house = OTHER.get(name) or BY_NAME[WEATHER[name][1]].unit
            value, fault = _value(name, str(text), house, where)
            if fault:
                faults.append(fault)
            elif name in WEATHER:
                weather[WEATHER[name][0]] = value
                choices[f"given {WEATHER[name][0]}"] = f"{text} from {source}"
            else:
                other[name] = value
                choices[name] = f"{text} from {source}"
    handed = Handed(Conditions(**weather), other.get("displacement"), strokes, other.get("altitude"), day, choices)
    return handed, faults


def _day(text: str, where: str) -> tuple[date | None, Fault | None]:
    try:
        return date.fromisoformat(text), None
    except ValueError:
        return None, Fault("date-unreadable", where, repr(text), "write year-month-day")


def _value(name: str, text: str, house: str, where: str) -> tuple[float, Fault | None]:
    try:
        value = units.parse(text, house)
    except FairpullError as error:
        fault = error.faults[0]
        return 0.0, Fault(fault.code, where, fault.seen, fault.remedy)
    return value, check_weather(name, value, where) if name in WEATHER else None


def _under(handed: Handed, preamble: Sequence[str], where: str) -> Handed:
    """Fill what nobody said from lines such as "Baro: 29.62 inHg", and say so."""
    humid = {"relative_humidity", "dew_point", "wet_bulb", "vapour_pressure"}
    known = {item.name for item in fields(handed.given) if getattr(handed.given, item.name) is not None}
    given, choices, taken = handed.given, dict(handed.choices), []
    findings = list(handed.findings)
    for line in preamble:
        read = _weather_line(line, where)
        if isinstance(read, Finding):
            findings.append(read)
        elif read and read[0] not in known and not (read[0] in humid and known & humid):
            given = replace(given, **{read[0]: read[1]})
            known.add(read[0])
            choices[f"given {read[0]}"] = f"{line.strip()!r} before the header"
            taken.append(line.strip())
    if taken:
        text = f"weather taken from the lines before the header: {'; '.join(taken)}"
        remedy = "give the weather by option or in conditions.toml to overrule it"
        findings.append(Finding("weather-from-preamble", Severity.NOTE, where, text, remedy))
    return replace(handed, given=given, choices=choices, findings=tuple(findings))


def _weather_line(line: str, where: str) -> tuple[str, float] | Finding | None:
    read = _LINE.match(line)
    matched = match(read["key"].strip()) if read else None
    if not read or not matched or matched.channel not in WEATHER:
        return None
    name, channel = WEATHER[matched.channel][0], BY_NAME[matched.channel]
    value, fault = _value(matched.channel, read["value"], channel.unit, f"{where}, {line.strip()!r}")
    if fault:
        text = f"{line.strip()!r} looks like {channel.about}, but {fault.seen}"
        return Finding("preamble-weather-unclear", Severity.WARNING, where, text, fault.remedy)
    return name, value
