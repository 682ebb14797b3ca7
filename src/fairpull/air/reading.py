"""From what the weather instruments read to an ``Air``, or a refusal that says what is wrong and why."""

from __future__ import annotations

import math
from dataclasses import dataclass

from fairpull.air.humidity import (
    relative_humidity as relative_humidity_of,
)
from fairpull.air.humidity import (
    vapour_pressure_from_dew_point,
    vapour_pressure_from_relative_humidity,
    vapour_pressure_from_wet_bulb,
)
from fairpull.air.plausible import humidity_faults, pressure_faults, temperature_faults
from fairpull.air.saturation import saturation_pressure
from fairpull.terms.errors import Fault, ValueRefused
from fairpull.terms.findings import Finding, Severity
from fairpull.terms.pull import Air
from fairpull.terms.recording import Conditions

HUMIDITY_AGREEMENT = 0.05  # relative humidity; two ordinary instruments agree this well; common practice
ASSUMED_RELATIVE_HUMIDITY = 0.5


@dataclass(frozen=True, slots=True)
class AirReading:
    """An air with what had to be assumed for it; ``air`` is None where pressure or temperature is unknown."""

    air: Air | None
    findings: tuple[Finding, ...] = ()


def air_from(
    pressure: float,
    temperature: float,
    relative_humidity: float | None = None,
    dew_point: float | None = None,
    wet_bulb: float | None = None,
    vapour_pressure: float | None = None,
) -> Air:
    """Air from a barometer, a thermometer and one measure of humidity.

    Args:
        pressure: absolute station pressure [Pa].
        temperature: inlet air [K].
        relative_humidity: fraction [1]; 0 for air taken as dry on purpose.
        dew_point: [K].
        wet_bulb: [K].
        vapour_pressure: [Pa].

    Returns:
        The air. Where several humidities are given and agree, vapour pressure is used before dew point
        before wet bulb before relative humidity.

    Raises:
        ValueRefused: a reading is impossible, looks like another unit or a gauge pressure, no humidity is
            given, or two humidities disagree by more than 0.05 of relative humidity; all faults at once.

    Valid range: 50 to 110 kPa, 233 K to 353 K.
    """
    given = {
        name: value
        for name, value in (
            ("vapour_pressure", vapour_pressure),
            ("dew_point", dew_point),
            ("wet_bulb", wet_bulb),
            ("relative_humidity", relative_humidity),
        )
        if value is not None
    }
    base = [*pressure_faults(pressure), *temperature_faults("temperature", temperature)]
    faults = base + humidity_faults(given, temperature if not base else math.nan)
    if not given:
        faults.append(
            Fault(
                "humidity-missing",
                "humidity",
                "none given",
                "give relative humidity, dew point, wet bulb or vapour pressure; 0 % for air taken as dry on purpose",
            )
        )
    if faults:
        raise ValueRefused(faults)
    vapour = {name: _vapour_pressure(name, value, pressure, temperature) for name, value in given.items()}
    faults = _result_faults(vapour, given, temperature)
    if faults:
        raise ValueRefused(faults)
    return Air(float(pressure), float(temperature), next(iter(vapour.values())))


def air_of_conditions(conditions: Conditions) -> AirReading:
    """Air from conditions that may be incomplete, with what was assumed said aloud.

    Args:
        conditions: what is known of the air.

    Returns:
        The air and findings. Without pressure or temperature there is no air; without humidity 50 % relative
        humidity is assumed, and the finding says what that may be worth.

    Raises:
        ValueRefused: as ``air_from``.
    """
    missing = [name for name in ("pressure", "temperature") if getattr(conditions, name) is None]
    if conditions.pressure is None or conditions.temperature is None:
        return AirReading(
            None,
            (
                Finding(
                    "weather-unknown",
                    Severity.WARNING,
                    " and ".join(missing),
                    "The air of this pull is not known, so it cannot be corrected.",
                    "Give pressure, temperature and humidity by hand.",
                ),
            ),
        )
    humid = (
        conditions.relative_humidity,
        conditions.dew_point,
        conditions.wet_bulb,
        conditions.vapour_pressure,
    )
    if any(value is not None for value in humid):
        return AirReading(air_from(conditions.pressure, conditions.temperature, *humid))
    air = air_from(conditions.pressure, conditions.temperature, ASSUMED_RELATIVE_HUMIDITY)
    share = 100.0 * air.vapour_pressure / (air.pressure - air.vapour_pressure)
    return AirReading(
        air,
        (
            Finding(
                "humidity-assumed",
                Severity.WARNING,
                "humidity",
                f"No humidity is known; 50 % is assumed, which may put a factor on dry pressure wrong by up "
                f"to {share:.1f} % either way.",
                "Give a relative humidity, dew point or wet bulb.",
            ),
        ),
    )


def _vapour_pressure(name: str, value: float, pressure: float, temperature: float) -> float:
    if name == "vapour_pressure":
        return float(value)
    if name == "dew_point":
        return float(vapour_pressure_from_dew_point(value))
    if name == "wet_bulb":
        return float(vapour_pressure_from_wet_bulb(pressure, temperature, value))
    return float(vapour_pressure_from_relative_humidity(temperature, value))


def _result_faults(vapour: dict[str, float], given: dict[str, float], temperature: float) -> list[Fault]:
    faults = []
    saturated = float(saturation_pressure(temperature))
    for name, value in vapour.items():
        if value < 0.0:
            faults.append(
                Fault(
                    "wet-bulb-too-low",
                    name,
                    f"{given[name]:.2f} K is too far below the air at {temperature:.2f} K to be possible",
                    "check the wick and both thermometers, or give another measure of humidity",
                )
            )
        elif value > 1.02 * saturated:
            faults.append(
                Fault(
                    "vapour-above-saturation",
                    name,
                    f"vapour pressure {value:.0f} Pa, but air at {temperature:.2f} K holds {saturated:.0f} Pa at most",
                    "check unit and value; vapour pressure is in Pa, temperatures in K",
                )
            )
    humidities = {name: float(relative_humidity_of(temperature, value)) for name, value in vapour.items()}
    if not faults and max(humidities.values()) - min(humidities.values()) > HUMIDITY_AGREEMENT:
        seen = ", ".join(f"{name} means {100.0 * value:.1f} %" for name, value in humidities.items())
        faults.append(
            Fault(
                "humidities-disagree",
                " and ".join(humidities),
                f"as relative humidity, {seen}",
                "give the one you trust, only",
            )
        )
    return faults
