"""Faults of instruments, of the room and of how the pull was run."""

from __future__ import annotations

import numpy as np

from simulations.health import physics
from simulations.health.engine_faults import Range, whole
from simulations.health.shop import Stage
from simulations.health.trouble import Trouble
from simulations.health.weather import SEA_LEVEL


def _best_torque(stage: Stage) -> float:
    truth = physics.run(stage.shop.build, stage.rpm, stage.time, stage.room, stage.body, Trouble())
    return float(np.max(truth["torque"]))


def torque_zero(stage: Stage, size: float, rng: np.random.Generator) -> Range:
    """The same torque added at every speed; ``size`` is its share of the largest torque."""
    stage.trouble.torque_zero = size * _best_torque(stage)
    return whole(stage)


def torque_span(stage: Stage, size: float, rng: np.random.Generator) -> Range:
    """The same share of torque added at every speed."""
    stage.trouble.torque_gain = 1.0 + size
    return whole(stage)


def speed_pickup(stage: Stage, size: float, rng: np.random.Generator) -> Range:
    """Speed reads wrong by a constant share; torque is true, peaks shift, power and efficiency are wrong."""
    stage.trouble.rpm_gain = 1.0 + size
    return whole(stage)


def wrong_barometer(stage: Stage, size: float, rng: np.random.Generator) -> Range:
    """The desk used another pressure: sea level's instead of the station's, or a bad instrument."""
    stage.trouble.barometer = size * stage.room.pressure
    if size > 0.0 and stage.room.pressure < 0.975 * SEA_LEVEL and rng.random() < 0.7:
        stage.trouble.barometer = SEA_LEVEL - stage.room.pressure + float(rng.normal(0.0, 300.0))
    stage.size = stage.trouble.barometer / stage.room.pressure
    return whole(stage)


def flow_lambda(stage: Stage, size: float, rng: np.random.Generator) -> Range:
    """One meter of the three is off: air leaks past the meter, fuel meter off, or sensor off; ``size`` in all."""
    shift = stage.shop.sensors.shift
    healthy = (1.0 + shift["air_mass_flow"]) / ((1.0 + shift["fuel_mass_flow"]) * (1.0 + shift["lambda"]))
    gain = (1.0 + size) / healthy
    which = str(rng.choice(["air", "fuel", "lambda"], p=[0.45, 0.3, 0.25]))
    if which == "air":
        stage.trouble.air_gain = gain
    elif which == "fuel":
        stage.trouble.fuel_gain = 1.0 / gain
    else:
        stage.trouble.lambda_gain = 1.0 / gain
    return whole(stage)


def oil(stage: Stage, size: float, rng: np.random.Generator) -> Range:
    """Oil off the series by ``size`` degF."""
    stage.trouble.oil = size / 1.8
    return whole(stage)


def oil_absolute(stage: Stage, size: float, rng: np.random.Generator) -> Range:
    """Oil beyond 160 or 260 degF by ``size`` degF (negative: below), whatever the series did."""
    edge = (260.0 if size > 0.0 else 160.0) + size + float(rng.uniform(-1.0, 1.0))
    stage.trouble.oil = (edge - 32.0) / 1.8 + 273.15 - stage.body.oil - (0.0 if size > 0.0 else stage.body.warming)
    return whole(stage)


def coolant(stage: Stage, size: float, rng: np.random.Generator) -> Range:
    """Coolant off the series by ``size`` degF."""
    stage.trouble.coolant = size / 1.8
    return whole(stage)


def coolant_absolute(stage: Stage, size: float, rng: np.random.Generator) -> Range:
    """Coolant beyond 145 or 215 degF by ``size`` degF (negative: below), whatever the series did."""
    edge = (215.0 if size > 0.0 else 145.0) + 0.6 * size + float(rng.uniform(-1.0, 1.0))
    warmed = 0.0 if size > 0.0 else 0.6 * stage.body.warming
    stage.trouble.coolant = (edge - 32.0) / 1.8 + 273.15 - stage.body.coolant - warmed
    return whole(stage)


def brake_water(stage: Stage, size: float, rng: np.random.Generator) -> Range:
    """The brake's water leaves at ``size`` degF at the end of the pull."""
    done = (stage.time - stage.time[0]) / (stage.time[-1] - stage.time[0])
    end = (size - 32.0) / 1.8 + 273.15
    body = stage.body
    more = end - body.brake_water - body.brake_rise
    early = float(rng.uniform(0.4, 0.8))
    stage.trouble.brake_water = more * (early + (1.0 - early) * done)
    water = body.brake_water + body.brake_rise * done + stage.trouble.brake_water
    hot = stage.rpm[water > (140.0 - 32.0) / 1.8 + 273.15]
    return (float(hot[0]), float(hot[-1])) if hot.size else whole(stage)


def peak_at_end(stage: Stage, size: float, rng: np.random.Generator) -> Range:
    """The pull was stopped before power peaked (the shop's range says so); nothing else is wrong."""
    low, high = whole(stage)
    return high - 0.06 * (high - low), high


def sweep_too_fast(stage: Stage, size: float, rng: np.random.Generator) -> Range:
    """Torque lags so far behind a fast ramp that its curve lies ``size`` rpm to the right; lambda often too."""
    tau = size / float((stage.rpm[-1] - stage.rpm[0]) / (stage.time[-1] - stage.time[0]))
    stage.trouble.torque_lag = tau
    if rng.random() < 0.5:
        stage.trouble.lambda_lag = tau
    return whole(stage)
