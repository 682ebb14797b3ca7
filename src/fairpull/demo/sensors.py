"""What a shop's sensors make of the truth: lag, a slow sampling rate, noise, steps, and the odd spike or hole."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from fairpull.demo.smooth import lagged
from fairpull.demo.sweep import RATE
from fairpull.terms.arrays import FloatArray
from fairpull.terms.units import from_house, to_house


@dataclass(frozen=True, slots=True)
class Sensor:
    """One kind of sensor.

    Attributes:
        unit: the unit in which its noise and its step are given.
        house: the house unit of its channel.
        lag: time constant [s].
        rate: fresh values a second; between them the logger repeats the last one.
        noise: standard deviation of one fresh value [unit].
        step: smallest step it can show [unit].
    """

    unit: str
    house: str
    lag: float
    rate: float
    noise: float
    step: float


SENSORS: dict[str, Sensor] = {
    "rpm": Sensor("rpm", "rpm", 0.02, 100, 1.2, 1.0),
    "torque": Sensor("lb-ft", "N m", 0.03, 100, 0.35, 0.05),
    "throttle": Sensor("%", "1", 0.02, 100, 0.08, 0.1),
    "manifold_pressure": Sensor("inHg", "Pa", 0.02, 100, 0.07, 0.02),
    "boost": Sensor("psi", "Pa", 0.03, 50, 0.04, 0.01),
    "barometer": Sensor("inHg", "Pa", 1.0, 1, 0.003, 0.01),
    "inlet_temperature": Sensor("degF", "K", 1.5, 5, 0.12, 0.1),
    "relative_humidity": Sensor("%", "1", 3.0, 1, 0.2, 0.1),
    "air_mass_flow": Sensor("lb/h", "kg/s", 0.06, 50, 2.5, 0.5),
    "fuel_mass_flow": Sensor("lb/h", "kg/s", 0.09, 50, 0.40, 0.05),
    "fuel_density": Sensor("kg/m3", "kg/m3", 5.0, 1, 0.15, 0.1),
    "fuel_pressure": Sensor("psi", "Pa", 0.05, 50, 0.03, 0.01),
    "lambda": Sensor("1", "1", 0.12, 20, 0.004, 0.001),
    "spark_advance": Sensor("deg", "rad", 0.0, 50, 0.05, 0.1),
    "knock": Sensor("1", "1", 0.0, 100, 0.05, 0.01),
    "exhaust_temperature": Sensor("degF", "K", 0.9, 10, 2.0, 1.0),
    "exhaust_pressure": Sensor("psi", "Pa", 0.05, 50, 0.03, 0.01),
    "oil_pressure": Sensor("psi", "Pa", 0.1, 10, 0.3, 0.1),
    "oil_temperature": Sensor("degF", "K", 3.0, 5, 0.1, 0.1),
    "coolant_in": Sensor("degF", "K", 2.0, 5, 0.1, 0.1),
    "coolant_out": Sensor("degF", "K", 2.0, 5, 0.1, 0.1),
    "crankcase_pressure": Sensor("inH2O", "Pa", 0.2, 10, 0.15, 0.05),
    "blow_by": Sensor("cfm", "m3/s", 0.6, 10, 0.03, 0.01),
    "brake_outlet_temperature": Sensor("degF", "K", 2.0, 5, 0.2, 0.1),
    "carbon_monoxide": Sensor("ppm", "1", 4.0, 1, 0.3, 1.0),
    "charge_temperature_after_cooler": Sensor("degF", "K", 0.8, 20, 0.5, 0.1),
    "blower_rpm": Sensor("rpm", "rpm", 0.05, 20, 20.0, 10.0),
    "injector_duty": Sensor("%", "1", 0.0, 50, 0.15, 0.1),
    "fuel_temperature": Sensor("degF", "K", 3.0, 1, 0.1, 0.1),
    "battery": Sensor("V", "V", 0.1, 10, 0.02, 0.01),
    "brake_valve": Sensor("%", "1", 0.1, 50, 0.3, 0.1),
    "cell_fan": Sensor("%", "1", 0.5, 5, 0.2, 0.1),
}
SPIKE_LBFT = 45.0


def sensor_of(channel: str) -> Sensor:
    """The sensor behind a channel; numbered channels share one kind.

    Args:
        channel: channel name, e.g. "exhaust_temperature_3".

    Returns:
        The sensor.
    """
    return SENSORS.get(channel) or SENSORS[channel.rstrip("0123456789").rstrip("_")]


def _read(values: FloatArray, sensor: Sensor, rng: np.random.Generator) -> FloatArray:
    every = max(1, round(RATE / sensor.rate))
    fresh = lagged(values[::every], sensor.lag, RATE / every)
    shown = from_house(fresh, sensor.unit, sensor.house) + sensor.noise * rng.standard_normal(len(fresh))
    stepped = np.round(shown / sensor.step) * sensor.step
    return np.repeat(to_house(stepped, sensor.unit, sensor.house), every)[: len(values)]


def read_all(truth: dict[str, FloatArray], rng: np.random.Generator) -> dict[str, FloatArray]:
    """Read every quantity of a pull through its sensor.

    Args:
        truth: channel -> values in SI at the sensor, shape (n,).
        rng: the pull's own random source.

    Returns:
        Channel -> values in SI as logged, shape (n,); NaN where the logger wrote nothing. "time" passes untouched, air
        by volume follows the meter that gives air by mass, and power follows the logged torque and speed.
    """
    told = {"time", "power", "air_volume_flow"}
    logged = {name: values if name in told else _read(values, sensor_of(name), rng) for name, values in truth.items()}
    volume_over_mass = truth["air_volume_flow"] / truth["air_mass_flow"]
    logged["air_volume_flow"] = logged["air_mass_flow"] * volume_over_mass
    logged["torque"] = _spiked(logged["torque"], rng)
    logged["power"] = logged["torque"] * logged["rpm"] * np.pi / 30.0
    return _with_holes(logged, rng)


def _spiked(torque: FloatArray, rng: np.random.Generator) -> FloatArray:
    # An ignition lead lies too near the torque cell's cable: one sample now and then.
    spiked = torque.copy()
    where = rng.integers(300, len(torque) - 300, size=int(rng.integers(0, 3)))
    spiked[where] += to_house(SPIKE_LBFT, "lb-ft", "N m") * rng.choice((-1.0, 1.0), size=len(where))
    return spiked


def _with_holes(logged: dict[str, FloatArray], rng: np.random.Generator) -> dict[str, FloatArray]:
    # A couple's wire shakes: up to three rows without a value.
    couples = [name for name in logged if name.startswith("exhaust_temperature_")]
    for name in rng.choice(couples, size=2, replace=False):
        values = logged[str(name)].copy()
        first = int(rng.integers(200, len(values) - 200))
        values[first : first + int(rng.integers(1, 4))] = np.nan
        logged[str(name)] = values
    return logged


def house_unit_of(channel: str) -> str:
    """The unit in which a channel is held inside.

    Args:
        channel: channel name, numbered or not.

    Returns:
        The house unit.
    """
    told = {"time": "s", "power": "W", "air_volume_flow": "m3/s"}
    return told.get(channel) or sensor_of(channel).house
