"""Faults of fuel, mixture and boost."""

from __future__ import annotations

import numpy as np

from fairpull.terms.arrays import FloatArray
from simulations.health.engine_faults import PSI, Range, whole
from simulations.health.shop import Stage
from simulations.health.trouble import rise, window


def fuel_starvation(stage: Stage, size: float, rng: np.random.Generator) -> Range:
    """Fuel flattens from somewhere past the middle, pressure falls, lambda rises to ``size`` above where it was."""
    low, high = whole(stage)
    start = low + float(rng.uniform(0.45, 0.75)) * (high - low)
    grown = rise(stage.rpm, start, high)
    lam = stage.shop.build.lam
    trouble = stage.trouble
    trouble.delivery = 1.0 / (1.0 + size / lam * grown)
    if stage.shop.machine.fuel == "carburettor":
        fallen = float(np.clip(0.12 + 2.0 * size + rng.uniform(-0.05, 0.1), 0.10, 0.75))
    else:
        fallen = 1.0 - 1.0 / (1.0 + size / lam) ** 2  # flow goes with the root of the pressure
    early = low + 0.9 * (start - low)
    trouble.fuel_pressure = 1.0 - fallen * np.minimum(rise(stage.rpm, early, high), 1.05)
    return start + 0.25 * (high - start), high


def _partly(stage: Stage, rng: np.random.Generator, above: float) -> tuple[FloatArray, Range]:
    """Where a mixture is off: everywhere, or in one half of the range."""
    low, high = whole(stage)
    span = high - low
    draw = rng.random()
    if draw < 0.6:
        return np.ones(stage.rpm.size), (low, high)
    if draw < above:
        edge = low + float(rng.uniform(0.35, 0.55)) * span
        return window(stage.rpm, low - span, edge, 0.15 * span), (low, edge)
    edge = low + float(rng.uniform(0.4, 0.55)) * span
    return window(stage.rpm, edge, high + span, 0.15 * span), (edge, high)


def mixture_rich(stage: Stage, size: float, rng: np.random.Generator) -> Range:
    """More fuel; sensor and flows agree, exhaust cooler, a little soft."""
    where, bounds = _partly(stage, rng, 0.8)
    stage.trouble.mixture = -size * where
    return bounds


def mixture_lean(stage: Stage, size: float, rng: np.random.Generator) -> Range:
    """Less fuel from the start or in one half; fuel pressure holds."""
    where, bounds = _partly(stage, rng, 0.9)
    stage.trouble.mixture = size * where
    return bounds


def belt_slip(stage: Stage, size: float, rng: np.random.Generator) -> Range:
    """The blower falls behind the crank towards the top; fuel scheduled by rpm makes it rich."""
    low, high = whole(stage)
    start = low + float(rng.uniform(0.4, 0.7)) * (high - low)
    grown = np.minimum(rise(stage.rpm, start, high), 1.1)
    slip = size * grown
    stage.trouble.blower_ratio = 1.0 - slip
    if stage.shop.machine.fuel == "injection":
        stage.trouble.mixture = -float(rng.uniform(0.1, 0.5)) * slip
    return start + 0.25 * (high - start), high


def boost_creep(stage: Stage, size: float, rng: np.random.Generator) -> Range:
    """The gate is open and boost climbs with speed all the same."""
    low, high = whole(stage)
    start = low + float(rng.uniform(0.4, 0.65)) * (high - low)
    grown = rise(stage.rpm, start, high)
    stage.trouble.boost_more = size * PSI * grown
    stage.trouble.mixture = float(rng.uniform(0.0, 0.006)) * size * grown
    return start + 0.3 * (high - start), high


def boost_shortfall(stage: Stage, size: float, rng: np.random.Generator) -> Range:
    """Less boost than the build makes: a leak or a lazy gate, everywhere or growing with boost."""
    low, high = whole(stage)
    shape = float(rng.uniform(0.0, 0.6))
    place = (stage.rpm - low) / (high - low)
    stage.trouble.boost_more = -size * PSI * (1.0 - shape * (1.0 - place))
    return low + (0.3 if stage.shop.machine.blower != "positive" else 0.1) * (high - low), high
