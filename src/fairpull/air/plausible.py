"""Is a weather reading possible, and if not, which slip does it look like?"""

from __future__ import annotations

import math
from collections.abc import Mapping

from fairpull.terms.errors import Fault
from fairpull.terms.units import to_house

LOWEST_PRESSURE, HIGHEST_PRESSURE = 50000.0, 110000.0
LOWEST_TEMPERATURE, HIGHEST_TEMPERATURE = 233.0, 353.0
HIGHEST_RELATIVE_HUMIDITY = 1.02
GAUGE_REACH = 20000.0  # a gauge at rest shows near zero, never a barometer

# what a station pressure looks like in another unit: unit, lowest, highest reading
_OTHER_PRESSURES = (
    ("bar", 0.5, 1.1),
    ("psi", 7.2, 16.0),
    ("inHg", 16.0, 33.0),
    ("kPa", 50.0, 110.0),
    ("mmHg", 375.0, 790.0),
    ("hPa", 790.0, 1100.0),
)


def pressure_faults(pressure: float) -> list[Fault]:
    """What is wrong with a station pressure.

    Args:
        pressure: [Pa].

    Returns:
        No fault, or one that names the slip it looks like.
    """
    if math.isnan(pressure):
        return [_not_a_number("pressure", "give the absolute station pressure")]
    if LOWEST_PRESSURE <= pressure <= HIGHEST_PRESSURE:
        return []
    seen = f"{pressure:g} Pa"
    for unit, low, high in _OTHER_PRESSURES:
        if low <= pressure <= high:
            meant = float(to_house(pressure, unit, "Pa"))
            return [
                Fault(
                    "pressure-in-other-unit",
                    "pressure",
                    f"{seen} looks like {pressure:g} {unit}",
                    f"write it with its unit, {pressure:g}{unit}, or in Pa, {meant:.0f}",
                )
            ]
    if abs(pressure) < GAUGE_REACH:
        return [
            Fault(
                "pressure-gauge",
                "pressure",
                f"{seen} looks like a gauge pressure",
                "give the absolute station pressure, 50 to 110 kPa",
            )
        ]
    return [
        Fault(
            "pressure-implausible",
            "pressure",
            seen,
            "give the absolute station pressure, 50 to 110 kPa; manifold pressure is no barometer",
        )
    ]


def temperature_faults(name: str, temperature: float) -> list[Fault]:
    """What is wrong with an air temperature.

    Args:
        name: of the reading.
        temperature: [K].

    Returns:
        No fault, or one that names the slip it looks like.
    """
    if math.isnan(temperature):
        return [_not_a_number(name, "give a temperature")]
    if LOWEST_TEMPERATURE <= temperature <= HIGHEST_TEMPERATURE:
        return []
    seen = f"{temperature:g} K"
    if -40.0 <= temperature <= 55.0:
        return [
            Fault(
                "temperature-in-celsius",
                name,
                f"{seen} looks like {temperature:g} °C",
                f"write it with its unit, {temperature:g}degC, or in K, {temperature + 273.15:.2f}",
            )
        ]
    if 55.0 < temperature <= 140.0:
        meant = float(to_house(temperature, "degF", "K"))
        return [
            Fault(
                "temperature-in-fahrenheit",
                name,
                f"{seen} looks like {temperature:g} °F",
                f"write it with its unit, {temperature:g}degF, or in K, {meant:.2f}",
            )
        ]
    return [Fault("temperature-implausible", name, seen, "give the air's temperature, 233 to 353 K")]


def humidity_faults(given: Mapping[str, float], temperature: float) -> list[Fault]:
    """What is wrong with the humidities that were given.

    Args:
        given: name of the measure -> value in its house unit.
        temperature: of the air [K]; NaN where it is not to be compared with.

    Returns:
        All faults.
    """
    faults: list[Fault] = []
    for name, value in given.items():
        if name == "relative_humidity":
            faults += _relative(value)
        elif name == "vapour_pressure":
            faults += _vapour(value)
        else:
            faults += temperature_faults(name, value) or _above_air(name, value, temperature)
    return faults


def _relative(value: float) -> list[Fault]:
    if math.isnan(value):
        return [_not_a_number("relative_humidity", "give a fraction between 0 and 1")]
    if 0.0 <= value <= HIGHEST_RELATIVE_HUMIDITY:
        return []
    if value > HIGHEST_RELATIVE_HUMIDITY:
        return [
            Fault(
                "humidity-as-percent",
                "relative_humidity",
                f"{value:g}, which as a fraction means {100.0 * value:g} %",
                f"write {value:g}% or {value / 100.0:g}"
                if 2.0 < value <= 102.0
                else "give a fraction between 0 and 1, or per cent with its sign",
            )
        ]
    return [Fault("humidity-negative", "relative_humidity", f"{value:g}", "give a fraction between 0 and 1")]


def _vapour(value: float) -> list[Fault]:
    if math.isnan(value):
        return [_not_a_number("vapour_pressure", "give a pressure")]
    if value < 0.0:
        return [Fault("humidity-negative", "vapour_pressure", f"{value:g} Pa", "give 0 Pa for dry air, or more")]
    if 0.0 < value < 15.0:
        return [
            Fault(
                "pressure-in-other-unit",
                "vapour_pressure",
                f"{value:g} Pa looks like kPa or inHg",
                f"write it with its unit, such as {value:g}kPa",
            )
        ]
    return []


def _above_air(name: str, value: float, temperature: float) -> list[Fault]:
    # 0.5 K: two thermometers in saturated air may differ by that much
    if math.isnan(temperature) or value <= temperature + 0.5:
        return []
    return [
        Fault(
            "dew-point-above-air" if name == "dew_point" else "wet-bulb-above-air",
            name,
            f"{value:.2f} K is above the air's {temperature:.2f} K",
            "check which reading is which: dew point and wet bulb never exceed the air's temperature",
        )
    ]


def _not_a_number(name: str, remedy: str) -> Fault:
    return Fault("not-a-number", name, "nan", remedy)
