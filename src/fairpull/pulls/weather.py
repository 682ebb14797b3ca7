"""The air of a pull: logged channels, filled and overruled by what was given by hand."""

from __future__ import annotations

from dataclasses import fields
from typing import TypedDict

import numpy as np

from fairpull.terms.arrays import FloatArray
from fairpull.terms.errors import ValueRefused
from fairpull.terms.findings import Finding, Severity
from fairpull.terms.pull import Air, Pull

ASSUMED_HUMIDITY = 0.5  # relative, where nobody said
MOVED = 0.005  # of the correction factor, within one pull
# Best first: what needs least conversion.
HUMIDITY = ("vapour_pressure", "dew_point", "wet_bulb", "relative_humidity")
_CHANNEL = {"pressure": "barometer", "temperature": "inlet_temperature"}


class _Humidity(TypedDict, total=False):
    vapour_pressure: float
    dew_point: float
    wet_bulb: float
    relative_humidity: float


def air_of(pull: Pull) -> Air | None:
    """Mean air of a pull.

    Args:
        pull: the pull.

    Returns:
        The air; None where pressure or temperature is unknown. See ``conditions_of`` for what was assumed.
    """
    return conditions_of(pull)[0]


def conditions_of(pull: Pull) -> tuple[Air | None, tuple[Finding, ...]]:
    """Mean air of a pull, with what a tester should know about it.

    What was given by hand wins over what was logged. Of several logged humidities the first of vapour pressure, dew
    point, wet bulb, relative humidity is taken. Without any humidity, 50 % relative humidity is assumed.

    Args:
        pull: the pull.

    Returns:
        The air (None where pressure or temperature is unknown), and the findings.
    """
    from fairpull.air import air_from

    known = _known(pull)
    findings = _both(pull)
    missing = [name for name in ("pressure", "temperature") if name not in known]
    if missing:
        text = f"air {' and '.join(missing)} of the pull not known: no correction factor can be computed."
        remedy = "Log barometer and inlet temperature, or give them with --weather or conditions.toml."
        return None, (*findings, Finding("weather-unknown", Severity.WARNING, pull.name, text, remedy))
    humidity: _Humidity = {}
    for name in HUMIDITY:
        if name in known:
            humidity[name] = known[name]  # type: ignore[literal-required]
    if not humidity:
        humidity = {"relative_humidity": ASSUMED_HUMIDITY}
        text = (
            f"no humidity: {ASSUMED_HUMIDITY:.0%} relative humidity assumed; at 25 degC 10 points are 0.3 % of power."
        )
        remedy = "Log or give relative humidity, dew point, wet bulb or vapour pressure."
        findings.append(Finding("humidity-assumed", Severity.WARNING, pull.name, text, remedy))
    try:
        air = air_from(known["pressure"], known["temperature"], **humidity)
    except ValueRefused as refusal:
        text = "; ".join(fault.line() for fault in refusal.faults)
        remedy = "Correct the weather; until then nothing is corrected for air."
        return None, (*findings, Finding("weather-refused", Severity.FAULT, pull.name, text, remedy))
    return air, (*findings, *_moving(pull, air))


def _known(pull: Pull) -> dict[str, float]:
    """Pressure, temperature and one humidity, given by hand first."""
    given = {f.name: getattr(pull.given, f.name) for f in fields(pull.given)}
    known = {name: float(value) for name, value in given.items() if value is not None}
    for name, channel in _CHANNEL.items():
        value = _logged(pull, channel)
        if name not in known and value is not None:
            known[name] = value
    if not any(name in known for name in HUMIDITY):
        for name in HUMIDITY:
            value = _logged(pull, name)
            if value is not None:
                known[name] = value
                break
    return known


def _logged(pull: Pull, channel: str) -> float | None:
    values = pull.channels.get(channel)
    if values is None:
        return None
    values = values[np.isfinite(values)]
    return float(values.mean()) if values.size else None


def _both(pull: Pull) -> list[Finding]:
    """Where a given value overrules a logged one and the two differ, say so."""
    findings = []
    for name, channel, least, unit in (
        ("pressure", "barometer", 50.0, "Pa"),
        ("temperature", "inlet_temperature", 1.0, "K"),
    ):
        by_hand, logged = getattr(pull.given, name), _logged(pull, channel)
        if by_hand is not None and logged is not None and abs(by_hand - logged) > least:
            text = f"{name} given by hand ({by_hand:.6g} {unit}) overrules the logged {channel} ({logged:.6g} {unit})."
            remedy = "Leave the given value out if the logged channel is right."
            findings.append(Finding("weather-overruled", Severity.NOTE, f"{pull.name}, {channel}", text, remedy))
    return findings


def _moving(pull: Pull, air: Air) -> list[Finding]:
    """Did the weather move within the pull by more than 0.5 % of a factor of the form (1/p)(T)^0.5?"""
    pressure = _thirds(pull, "barometer", pull.given.pressure, air.pressure)
    temperature = _thirds(pull, "inlet_temperature", pull.given.temperature, air.temperature)
    factor = np.sqrt(temperature) / (pressure - air.vapour_pressure)
    moved = float(factor.max() / factor.min()) - 1.0
    if moved <= MOVED:
        return []
    text = f"the air moved within the pull: a correction factor changes by {moved:.1%} from start to end."
    remedy = "Look for heat soak at the inlet sensor or a draughty cell; the pull's mean air is used."
    return [Finding("weather-moving", Severity.WARNING, pull.name, text, remedy)]


def _thirds(pull: Pull, channel: str, given: float | None, usual: float) -> FloatArray:
    values = pull.channels.get(channel)
    if given is not None or values is None or values.size < 3:
        return np.full(3, usual)
    means = [part[np.isfinite(part)] for part in np.array_split(values, 3)]
    return np.array([float(part.mean()) if part.size else usual for part in means])
