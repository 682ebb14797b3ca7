"""The clock of a pull: light running, full throttle held, release, sweep, throttle shut, coast-down, idle."""

from __future__ import annotations

from dataclasses import dataclass
from math import exp, pi

import numpy as np

from fairpull.demo.curves import FRICTION_LBFT
from fairpull.demo.scenario import INERTIA_KG_M2, RAMP_RPM_PER_S, Run
from fairpull.terms.arrays import FloatArray
from fairpull.terms.units import to_house

RATE = 100.0  # rows a second
IDLE_RPM = 1000.0
BRAKE_DRAG_LBFT = 0.002  # per rpm, of the emptied brake
START_RPM = {"anvil": 1330.0, "wren": 1900.0}
LIGHT_LOAD, IDLE_LOAD = 0.34, 0.17
THROTTLE_LEAD = 0.13  # the manifold and the shaft follow the throttle by this [s]
CORNER = 0.04  # how round the corners of speed and load are [s]


@dataclass(frozen=True, slots=True)
class Sweep:
    """How a pull ran, every array of shape (n,).

    Attributes:
        time: clock [s].
        rpm: true shaft speed.
        acceleration: true rate of that speed [rpm/s].
        load: 1 at full throttle, 0 with it shut.
        throttle: opening [-].
        pulling: 1 between release and the closing of the throttle.
    """

    time: FloatArray
    rpm: FloatArray
    acceleration: FloatArray
    load: FloatArray
    throttle: FloatArray
    pulling: FloatArray


def friction(engine: str, rpm: FloatArray) -> FloatArray:
    """Torque that turns the engine over with its throttle shut.

    Args:
        engine: "anvil" or "wren".
        rpm: shaft speed, any shape.

    Returns:
        Torque [N m].
    """
    base, slope = FRICTION_LBFT[engine]
    return to_house(base + slope * rpm, "lb-ft", "N m")


def _coast(engine: str, from_rpm: float, time: FloatArray) -> FloatArray:
    # Drag is a straight line in speed, so speed falls along an exponential towards a negative asymptote.
    base, slope = FRICTION_LBFT[engine]
    per_rpm = to_house(slope + BRAKE_DRAG_LBFT, "lb-ft", "N m")
    offset = base / (slope + BRAKE_DRAG_LBFT)
    constant = INERTIA_KG_M2 * 2 * pi / 60 / per_rpm
    speed: FloatArray = (from_rpm + offset) * np.exp(-time / constant) - offset
    return np.maximum(speed, IDLE_RPM)


def _rounded(values: FloatArray, width: float) -> FloatArray:
    # Real throttles, brakes and shafts have no corners.
    reach = int(4 * width * RATE)
    kernel = np.exp(-0.5 * (np.arange(-reach, reach + 1) / (width * RATE)) ** 2)
    padded = np.pad(values, reach, mode="edge")
    out: FloatArray = np.convolve(padded, kernel / kernel.sum(), mode="valid")
    return out


def make_sweep(run: Run, rng: np.random.Generator) -> Sweep:
    """Draw the clock of one pull.

    Args:
        run: a line of the day sheet.
        rng: the pull's own random source.

    Returns:
        The sweep, sampled at ``RATE``.
    """
    start = START_RPM[run.engine]
    rate = RAMP_RPM_PER_S * (1.0 + 0.006 * rng.standard_normal())
    light, hold, idle = rng.uniform(2.5, 4.5), rng.uniform(1.3, 2.7), rng.uniform(3.5, 5.0)
    last = run.last_rpm + rng.uniform(60.0, 72.0)
    release = light + hold
    shut = release + (last - start) / rate
    time = np.arange(0.0, shut + idle, 1.0 / RATE)
    rpm = np.interp(time, [0.0, light - 0.6, light, release, shut], [start - 160, start - 140, start, start, last])
    after = time > shut
    rpm[after] = _coast(run.engine, last, time[after] - shut)
    pulling = ((time > release) & ~after).astype(float)
    at_idle = after & (rpm <= IDLE_RPM + 1.0)
    load = np.where(time < light - 0.3, LIGHT_LOAD, np.where(after, 0.0, 1.0))
    load[at_idle] = IDLE_LOAD
    rpm = _rounded(rpm, CORNER) + _hunting(time, rng) * _rounded((~after).astype(float), 0.15)
    opening = np.where(load == 1.0, 0.996, np.where(load > 0, 0.06 + 0.5 * load**2, 0.015))
    lead = round(THROTTLE_LEAD * RATE)
    opening = np.concatenate([opening[lead:], np.full(lead, opening[-1])])
    return Sweep(time, rpm, np.gradient(rpm, 1.0 / RATE), _rounded(load, CORNER), _rounded(opening, 0.03), pulling)


def _hunting(time: FloatArray, rng: np.random.Generator) -> FloatArray:
    # The brake's speed control breathes slowly, a little above and below the ramp [rpm].
    total = np.zeros_like(time)
    for pace, size in ((0.45, 3.2), (1.1, 1.3), (2.6, 0.5)):
        here = pace * exp(0.1 * rng.standard_normal())
        total += size * rng.uniform(0.6, 1.2) * np.sin(2 * pi * here * time + rng.uniform(0, 2 * pi))
    return total
