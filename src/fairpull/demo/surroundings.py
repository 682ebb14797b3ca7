"""All around the burning: weather at the sensors, oil, water, fuel supply, the cell; with the day's slow drift."""

from __future__ import annotations

import numpy as np

from fairpull.demo.events import Event
from fairpull.demo.scenario import Run
from fairpull.demo.smooth import lagged, line
from fairpull.demo.sweep import RATE, Sweep
from fairpull.demo.weather import Weather
from fairpull.terms.arrays import FloatArray
from fairpull.terms.units import to_house


def minutes_into_day(run: Run) -> float:
    """Minutes since the first start of the day at 09:00.

    Args:
        run: a line of the day sheet.

    Returns:
        Minutes.
    """
    hours, minutes = run.clock.split(":")
    return (int(hours) - 9) * 60.0 + int(minutes)


def _fahrenheit(values: FloatArray) -> FloatArray:
    return to_house(values, "degF", "K")


def surroundings(
    run: Run, event: Event, weather: Weather, sweep: Sweep, air: FloatArray, torque: FloatArray
) -> dict[str, FloatArray]:
    """Slow quantities of one pull.

    Args:
        run: a line of the day sheet.
        event: what happened in the pull.
        weather: its air.
        sweep: its clock.
        air: air flow [kg/s].
        torque: brake torque [N m].

    Returns:
        Channel -> values in SI, shape (n,); four of them are not in the glossary and keep their own names.
    """
    flat = np.ones_like(sweep.time)
    warm = minutes_into_day(run) / 480.0  # the cell, the tank and the oil warm through the day
    worked = np.cumsum(np.maximum(torque, 0.0) * sweep.rpm) / RATE
    done = worked / worked[-1]
    thousands = sweep.rpm / 1000.0
    fuel_degf = 62.0 + 14.0 * warm + 0.25 * (run.inlet - 70.0)
    oil = 201.0 + 3.0 * warm + event.oil + 5.0 * done
    water = 169.0 + 0.8 * warm + event.coolant
    hot = lagged(sweep.load, 3.0, RATE)
    supply = 43.5 if run.engine == "wren" else 6.25
    return {
        **_weather(weather, sweep, event),
        "fuel_density": 745.0 - 0.85 * (to_house(fuel_degf, "degF", "K") - 288.7) * flat,
        "fuel_pressure": to_house((supply - 0.05 * hot) * line(event.fuel_pressure, sweep.rpm), "psi", "Pa"),
        "oil_pressure": to_house(np.minimum(15.0 + 9.6 * thousands, 61.0) - 0.15 * event.oil, "psi", "Pa"),
        "oil_temperature": _fahrenheit(oil),
        "coolant_in": _fahrenheit(water - 10.0 + 0.8 * done),
        "coolant_out": _fahrenheit(water + 2.5 * hot),
        "crankcase_pressure": to_house(-1.9 + 0.55 * thousands * (0.3 + 0.7 * sweep.load), "inH2O", "Pa"),
        "blow_by": to_house(0.5 + 0.33 * thousands * (0.25 + 0.75 * sweep.load), "cfm", "m3/s"),
        "brake_outlet_temperature": _fahrenheit(88.0 + 6.0 * warm + 34.0 * lagged(sweep.load * done, 2.0, RATE)),
        "carbon_monoxide": 1e-6 * (7.0 + 6.0 * warm + 40.0 * lagged(air, 4.0, RATE)),
        "fuel_temperature": _fahrenheit(fuel_degf * flat),
        "battery": 13.9 - 0.25 * sweep.load,
        "brake_valve": np.clip(0.12 + np.maximum(torque, 0.0) / 620.0 + 0.01 * thousands, 0.0, 1.0),
        "cell_fan": 0.92 * event.fan * flat,
    }


def _weather(weather: Weather, sweep: Sweep, event: Event) -> dict[str, FloatArray]:
    middle = sweep.time - 0.5 * sweep.time[-1]
    creep = 0.012 if event.fan else 0.05  # the cell warms while the engine pulls [K/s]
    temperature = weather.temperature + creep * middle
    return {
        "barometer": np.full_like(middle, weather.pressure),
        "inlet_temperature": temperature,
        "relative_humidity": weather.humidity * np.exp(-0.06 * (temperature - weather.temperature)),
    }
