"""Faults of the engine that show in torque and air: valves, ignition, cylinders, heat, restrictions, reversion."""

from __future__ import annotations

import numpy as np

from fairpull.terms.arrays import FloatArray
from simulations.health import noise, physics, weather
from simulations.health.shop import Stage
from simulations.health.trouble import rise, window

INHG = 3386.389
PSI = 6894.757
Range = tuple[float, float]


def whole(stage: Stage) -> Range:
    """The pull's range [rpm]."""
    return float(stage.rpm[0]), float(stage.rpm[-1])


def valve_float(stage: Stage, size: float, rng: np.random.Generator) -> Range:
    """One to three dips near the top, some of it never recovered; air falls with torque, lambda hashes."""
    rpm = stage.rpm
    low, high = whole(stage)
    scale = max(high / 5500.0, 0.8)
    first = max(high - float(rng.uniform(0.06, 0.14)) * high, low + 0.55 * (high - low))
    wide = float(rng.uniform(45.0, 85.0)) * scale
    gap = float(rng.uniform(170.0, 260.0)) * scale
    dips = int(rng.integers(1, 4))
    shape = np.zeros(rpm.shape)
    for number in range(dips):
        depth = 1.0 if number == 0 else float(rng.uniform(0.4, 0.9))
        shape += depth * np.exp(-0.5 * ((rpm - first - number * gap) / wide) ** 2)
    onset, last = first - 1.8 * wide, first + (dips - 1) * gap + 1.8 * wide
    fallen = float(rng.uniform(0.0, 0.6)) if rng.random() < 0.6 else 0.0
    shape += fallen * np.clip((rpm - first) / wide, 0.0, 1.0) * (0.5 + rise(rpm, first, first + 3.0 * gap))
    loss = size * np.minimum(shape, 1.6)
    trouble = stage.trouble
    trouble.air = 1.0 - float(rng.uniform(0.75, 1.0)) * loss
    trouble.burn = 1.0 - 0.15 * loss
    active = np.minimum(shape, 1.0)
    trouble.hash = float(rng.uniform(0.010, 0.030)) * active
    trouble.map_hash = 1.0 + 3.0 * active
    return onset, high if fallen else min(last, high)


def misfire(stage: Stage, size: float, rng: np.random.Generator) -> Range:
    """Bursts of missed cycles of one cylinder, worst about the torque peak; the air is not missed."""
    low, high = whole(stage)
    span = high - low
    middle = float(
        np.clip(stage.shop.peak_torque + rng.uniform(-0.1, 0.25) * span, low + 0.2 * span, high - 0.15 * span)
    )
    half = float(rng.uniform(0.15, 0.35)) * span
    where = window(stage.rpm, middle - half, middle + half, 0.08 * span)
    step = float(stage.time[1] - stage.time[0])
    length = float(rng.uniform(0.08, 0.25))  # seconds a burst lasts
    missed = np.clip(noise.smooth(rng, stage.time, max(length, 1.2 * step))[0] + 0.3, 0.0, 2.0)
    single = rng.gamma(1.5, 1.0 / 1.5, stage.rpm.size)
    loss = size * where * missed * (0.5 + 0.5 * single)
    cylinders = stage.shop.machine.cylinders
    loss = np.minimum(loss, 1.15 / cylinders)  # one cylinder cannot lose more, with its friction
    trouble = stage.trouble
    trouble.burn = 1.0 - np.minimum(loss, 0.9)
    trouble.lean = 1.0 + float(rng.uniform(0.6, 1.0)) * loss
    cold = float(rng.uniform(250.0, 420.0)) * np.minimum(loss * cylinders, 1.0)
    trouble.egt[int(rng.integers(cylinders))] = -cold
    return max(middle - half, low), min(middle + half, high)


def knock(stage: Stage, size: float, rng: np.random.Generator) -> Range:
    """The instrument rises where the load is highest; exhaust cools, coolant warms, torque flattens."""
    low, high = whole(stage)
    span = high - low
    middle = float(np.clip(stage.shop.peak_torque + rng.uniform(-0.1, 0.2) * span, low + 0.1 * span, high - 0.1 * span))
    half = float(rng.uniform(0.10, 0.30)) * span
    where = window(stage.rpm, middle - half, middle + half, 0.06 * span)
    trouble = stage.trouble
    uneven = np.clip(1.0 + 0.25 * rng.normal(0.0, 1.0, stage.rpm.size), 0.3, 2.0)
    trouble.knock = 1.0 + (size - 1.0) * where * uneven
    trouble.egt_all = -float(rng.uniform(12.0, 35.0)) * where
    trouble.burn = 1.0 - float(rng.uniform(0.002, 0.015)) * where
    trouble.coolant = float(rng.uniform(0.5, 2.0)) * np.cumsum(where) / stage.rpm.size
    return max(middle - half, low), min(middle + half, high)


def low_cylinder(stage: Stage, size: float, rng: np.random.Generator) -> Range:
    """One cylinder gives less at every speed; its exhaust is 100 to 300 degF off the pack."""
    cylinders = stage.shop.machine.cylinders
    most = 1.15 / cylinders  # a dead one, with its friction
    loss = min(size, most)
    stage.size = loss
    trouble = stage.trouble
    trouble.burn = 1.0 - 0.9 * loss
    share = loss / most
    off = float(np.clip(55.6 + 111.0 * share + rng.uniform(-15.0, 35.0), 55.6, 166.7))
    trouble.egt[int(rng.integers(cylinders))] = -off if rng.random() < 0.85 else off
    burnt_less = rng.random() < 0.5  # ignition: its mixture goes out unburnt; else it is short of air
    trouble.lean = 1.0 + (0.8 * loss if burnt_less else 0.0)
    trouble.air = 1.0 if burnt_less else 1.0 - float(rng.uniform(0.0, 0.3)) * loss
    return whole(stage)


def heat_soak(stage: Stage, size: float, rng: np.random.Generator) -> Range:
    """Hot air at the inlet, which the factor knows; hot walls, hot oil and hot fuel, which it does not."""
    trouble, shop, room = stage.trouble, stage.shop, stage.room
    warmth = float(rng.uniform(0.6, 1.2)) * (0.5 + size / 0.04)
    mixture = -float(rng.uniform(0.0, 0.012))
    given = (shop.build, stage.rpm, stage.time, room, stage.body)
    cool = physics.run(*given, trouble)["torque"]
    trouble.inlet = 3.0 + 6.0 * warmth
    trouble.mixture = mixture
    trouble.oil = 5.0 + 6.0 * warmth
    trouble.coolant = 1.0 + 2.5 * warmth
    trouble.charge = 3.0 * warmth if shop.machine.boosted else 0.0
    known = 1.0
    if shop.machine.induction != "turbo-held":
        usual = weather.factor(room.pressure, room.temperature, room.vapour)
        known = weather.factor(room.pressure, room.temperature + trouble.inlet, room.vapour) / usual
    left = float(np.mean(physics.run(*given, trouble)["torque"] / cool)) * known
    walls = max(left - (1.0 - size), 0.0)  # what the air alone does not explain
    trouble.air = 1.0 - 0.88 * walls
    stage.size = 1.0 - left + walls
    return whole(stage)


def _largest_flow(stage: Stage) -> float:
    """Largest square of flow in the pull, as a share of that for which losses are stated."""
    shop = stage.shop
    full = physics.breathing(shop.build, stage.rpm) / shop.build.full
    return float(np.max((stage.rpm / shop.machine.turn * full) ** 2))


def exhaust_restriction(stage: Stage, size: float, rng: np.random.Generator) -> Range:
    """More pressure in the collector, growing with the square of the flow; less air, more residual gas."""
    density = stage.room.dry / (287.05 * stage.room.temperature) / 1.16
    stage.trouble.exhaust_rise = size * PSI / (_largest_flow(stage) * density)
    low, high = whole(stage)
    return max(low, 0.6 * high), high


def intake_restriction(stage: Stage, size: float, rng: np.random.Generator) -> Range:
    """Manifold below the barometer, growing with the square of the flow; a carburettor goes rich."""
    build = stage.shop.build
    stage.trouble.intake_drop = size * INHG / _largest_flow(stage) - build.intake_drop
    if build.machine.fuel == "carburettor":
        stage.trouble.mixture = -float(rng.uniform(0.0, 0.01)) * (stage.rpm / stage.shop.end) ** 2
    low, high = whole(stage)
    return max(low, 0.7 * high), high


def reversion(stage: Stage, size: float, rng: np.random.Generator) -> Range:
    """A sag below 2,500 rpm: air stands off, lambda hashes and reads lean."""
    low, high = whole(stage)
    until = min(float(rng.uniform(1900.0, 2500.0)), low + 0.45 * (high - low))
    until = max(until, low + 300.0)
    depth: FloatArray = np.clip((until - stage.rpm) / (until - low), 0.0, 1.0) ** 0.8
    trouble = stage.trouble
    trouble.air = 1.0 - size * depth
    trouble.hash = float(rng.uniform(0.025, 0.060)) * np.minimum(2.0 * depth, 1.0)
    trouble.lean = 1.0 + float(rng.uniform(0.02, 0.06)) * depth
    trouble.map_hash = 1.0 + 4.0 * depth
    return low, until
