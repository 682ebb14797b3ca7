"""What the instruments and the logger make of the truth: lag, noise, wander, rounding."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from fairpull.terms.arrays import FloatArray
from simulations.health import noise
from simulations.health.machines import Machine

# channel -> (white sd at 100 Hz, slow wander sd, lag low, lag high [s], logger's steps to draw from)
# in the channel's unit; the sizes are for a middling shop and are multiplied by its quality
_CHANNELS: dict[str, tuple[float, float, float, float, tuple[float, ...]]] = {
    "manifold_pressure": (250.0, 80.0, 0.01, 0.05, (0.0, 100.0, 500.0)),
    "boost": (250.0, 80.0, 0.01, 0.05, (0.0, 100.0, 345.0)),
    "barometer": (8.0, 5.0, 0.0, 0.0, (0.0, 10.0, 34.0)),
    "inlet_temperature": (0.08, 0.08, 0.5, 2.0, (0.0, 0.1, 0.5556)),
    "relative_humidity": (0.002, 0.002, 0.0, 0.0, (0.0, 0.01)),
    "lambda": (0.004, 0.0025, 0.06, 0.22, (0.0, 0.001, 0.01)),
    "knock": (0.06, 0.05, 0.0, 0.02, (0.0,)),
    "exhaust_temperature": (1.0, 1.0, 0.4, 1.5, (0.0, 0.5556, 1.0)),
    "exhaust_pressure": (150.0, 60.0, 0.02, 0.08, (0.0, 100.0)),
    "oil_pressure": (1500.0, 800.0, 0.02, 0.1, (0.0, 690.0)),
    "oil_temperature": (0.1, 0.1, 1.0, 3.0, (0.0, 0.5556)),
    "coolant_out": (0.1, 0.1, 1.0, 3.0, (0.0, 0.5556)),
    "coolant_in": (0.1, 0.1, 1.0, 3.0, (0.0, 0.5556)),
    "crankcase_pressure": (60.0, 30.0, 0.05, 0.2, (0.0, 10.0)),
    "charge_temperature_before_cooler": (0.2, 0.2, 0.8, 2.5, (0.0, 0.5556)),
    "charge_temperature_after_cooler": (0.2, 0.2, 0.8, 2.5, (0.0, 0.5556)),
    "brake_outlet_temperature": (0.15, 0.1, 1.0, 3.0, (0.0, 0.5556)),
    "carbon_monoxide": (4e-7, 3e-7, 1.0, 5.0, (0.0, 1e-6)),
    "throttle": (0.001, 0.001, 0.0, 0.02, (0.0, 0.001)),
    "spark_advance": (0.0015, 0.0, 0.0, 0.0, (0.0, 0.01745)),
}
# noise as a share of the channel's own size in this pull
_RELATIVE: dict[str, tuple[float, float, float, float]] = {
    "air_mass_flow": (0.006, 0.002, 0.02, 0.06),
    "fuel_mass_flow": (0.008, 0.002, 0.03, 0.09),
    "fuel_pressure": (0.008, 0.003, 0.02, 0.05),
    "blower_rpm": (0.0012, 0.0005, 0.0, 0.02),
    "turbine_rpm": (0.003, 0.001, 0.0, 0.02),
}


@dataclass(frozen=True, slots=True)
class Sensors:
    """The instruments of one shop on one engine; the same for a series.

    Attributes:
        quality: factor on every noise, 1 middling.
        torque_white, torque_wander: fractions of the largest torque. torque_step: the logger's [N m].
        rpm_white, rpm_step: [rpm]. torque_lag: load cell and filter [s].
        lags, steps: by channel. shift: constant calibration error by channel, as a fraction of the reading.
        wander_length: of slow wander [s].
    """

    quality: float
    torque_white: float
    torque_wander: float
    torque_step: float
    torque_lag: float
    rpm_white: float
    rpm_step: float
    lags: dict[str, float]
    steps: dict[str, float]
    shift: dict[str, float]
    wander_length: float


def root(channel: str) -> str:
    """Name without the number of its cylinder or bank."""
    head, _, tail = channel.rpartition("_")
    return head if tail.isdigit() else channel


def draw(machine: Machine, hertz: float, rate: float, rng: np.random.Generator) -> Sensors:
    """Instruments of a shop: noisier the faster they are sampled."""
    fast = float(np.clip(np.sqrt(hertz / 100.0), 0.4, 1.3))
    lags = {name: float(rng.uniform(*row[2:4])) for name, row in (_CHANNELS | _RELATIVE).items()}
    slowest = 0.008 * machine.turn / max(rate, 1.0)  # good practice: the meters keep up with the ramp
    lags |= {name: min(lags[name], slowest) for name in ("air_mass_flow", "fuel_mass_flow")}
    lags["lambda"] = min(lags["lambda"], max(0.06, 120.0 / max(rate, 1.0)))
    steps = {name: float(rng.choice(row[4])) for name, row in _CHANNELS.items()}
    big = machine.swept * 8e4 > 150.0
    return Sensors(
        quality=fast * float(rng.lognormal(0.0, 0.35)),
        torque_white=fast * float(np.exp(rng.uniform(np.log(0.0010), np.log(0.0070)))),
        torque_wander=float(rng.uniform(0.0002, 0.0012)),
        torque_step=float(rng.choice([0.0, 0.1356, 0.5, 1.0] if big else [0.0, 0.01, 0.1356])),
        torque_lag=float(min(rng.uniform(0.02, 0.15), 60.0 / max(rate, 1.0))),
        rpm_white=fast * float(rng.uniform(0.5, 5.0)),
        rpm_step=float(rng.choice([0.0, 1.0, 10.0])),
        lags=lags,
        steps=steps,
        shift={
            "air_mass_flow": float(np.clip(rng.normal(0.0, 0.006), -0.012, 0.012)),
            "fuel_mass_flow": float(np.clip(rng.normal(0.0, 0.006), -0.012, 0.012)),
            "lambda": float(np.clip(rng.normal(0.0, 0.004), -0.008, 0.008)),
        },
        wander_length=float(rng.uniform(0.5, 2.5)),
    )


def _sizes(sensors: Sensors, name: str, values: FloatArray) -> tuple[float, float, float, float]:
    """White sd, wander sd, lag, step of one channel."""
    base = root(name)
    if base == "torque":
        top = float(np.max(np.abs(values)))
        return sensors.torque_white * top, sensors.torque_wander * top, sensors.torque_lag, sensors.torque_step
    if base == "rpm":
        return sensors.rpm_white, 0.3 * sensors.rpm_white, 0.0, sensors.rpm_step
    if base in _RELATIVE:
        white, wander = _RELATIVE[base][:2]
        top = float(np.max(np.abs(values)))
        return sensors.quality * white * top, sensors.quality * wander * top, sensors.lags[base], 0.0
    white, wander = _CHANNELS[base][:2]
    scale = float(np.median(values)) if base == "knock" else 1.0
    return sensors.quality * white * scale, sensors.quality * wander * scale, sensors.lags[base], sensors.steps[base]


@dataclass(frozen=True, slots=True)
class Readings:
    """How the readings of one pull are taken.

    steps: held points instead of a ramp: settled, averaged. lags: time constants that differ from the series' [s].
    hash: added noise of the lambda sensor, shape (n,) or 0. map_hash: factor on the noise of manifold pressure.
    """

    steps: bool
    lags: dict[str, float]
    hash: FloatArray
    map_hash: FloatArray


def read(
    truth: dict[str, FloatArray], time: FloatArray, sensors: Sensors, how: Readings, rng: np.random.Generator
) -> dict[str, FloatArray]:
    """Readings of every channel of ``truth``, in its order, shape (n,) each."""
    names = list(truth)
    values = np.array([truth[name] * (1.0 + sensors.shift.get(root(name), 0.0)) for name in names])
    sizes = np.array([_sizes(sensors, name, truth[name]) for name in names])
    white, wander, taus, steps = sizes[:, 0:1], sizes[:, 1:2], sizes[:, 2], sizes[:, 3:4]
    taus = np.array([how.lags.get(root(name), tau) for name, tau in zip(names, taus, strict=True)])
    if how.steps:
        white, wander, steps, taus = 0.12 * white, 0.7 * wander, 0.0 * steps, 0.0 * taus
    values = noise.lagged(values, float(time[1] - time[0]), taus)
    added = rng.normal(0.0, 1.0, values.shape)
    for row, name in enumerate(names):
        if root(name) == "lambda":
            added[row] *= np.sqrt(1.0 + (how.hash / max(float(white[row, 0]), 1e-9)) ** 2)
        elif name in ("manifold_pressure", "boost"):
            added[row] *= how.map_hash
    slow = noise.smooth(rng, time, sensors.wander_length, len(names))
    values = values + white * added + wander * slow
    for row, name in enumerate(names):
        if name in ("knock", "carbon_monoxide"):  # a level, never below nothing
            values[row] = np.abs(values[row])
    readings = noise.rounded(values, steps)
    return {name: np.ascontiguousarray(readings[row]) for row, name in enumerate(names)}
