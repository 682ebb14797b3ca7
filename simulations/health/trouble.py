"""What can be wrong with an engine or an instrument, as the physics takes it; neutral until a fault sets it."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from fairpull.terms.arrays import FloatArray, Number


@dataclass(slots=True)
class Trouble:
    """Departures from health. Numbers are scalars or shape (n,), along the pull.

    Engine:
        air: factor on volumetric efficiency. fresh: factor on the air only (not burnt).
        burn: factor on indicated torque at the same air and fuel.
        mixture: added to lambda. delivery: factor on the fuel that arrives. fuel_pressure: factor on it.
        boost: factor on (pressure ratio - 1). boost_more: added to gauge boost [Pa].
        blower_ratio: factor on blower speed over crank speed.
        intake_drop, exhaust_rise: more pressure loss at full flow [Pa].
        inlet, charge, oil, coolant, brake_water: added temperatures [K].
        egt: added to one cylinder's exhaust temperature [K], cylinder (from 0) -> number. egt_all: to all of them.
        knock: factor on the knock level.

    Instrument:
        lean: factor on what the lambda sensor reads (oxygen that took no part). hash: its added noise [lambda].
        map_hash: factor on the noise of manifold pressure.
        torque_zero [N m], torque_gain, rpm_gain, air_gain, fuel_gain, lambda_gain: reading = gain * true + zero.
        barometer: added to the barometer's reading [Pa].
        torque_lag, lambda_lag: time constants instead of the series' [s].
    """

    air: Number = 1.0
    fresh: Number = 1.0
    burn: Number = 1.0
    mixture: Number = 0.0
    delivery: Number = 1.0
    fuel_pressure: Number = 1.0
    boost: Number = 1.0
    boost_more: Number = 0.0
    blower_ratio: Number = 1.0
    intake_drop: float = 0.0
    exhaust_rise: float = 0.0
    inlet: float = 0.0
    charge: Number = 0.0
    oil: Number = 0.0
    coolant: Number = 0.0
    brake_water: Number = 0.0
    egt: dict[int, Number] = field(default_factory=dict)
    egt_all: Number = 0.0
    knock: Number = 1.0
    lean: Number = 1.0
    hash: Number = 0.0
    map_hash: Number = 1.0
    torque_zero: float = 0.0
    torque_gain: float = 1.0
    rpm_gain: float = 1.0
    air_gain: float = 1.0
    fuel_gain: float = 1.0
    lambda_gain: float = 1.0
    barometer: float = 0.0
    torque_lag: float | None = None
    lambda_lag: float | None = None


def window(rpm: FloatArray, low: float, high: float, edge: float) -> FloatArray:
    """1 between ``low`` and ``high``, falling smoothly to 0 over ``edge`` [rpm] outside. Shape (n,)."""
    up = np.clip((rpm - low + edge) / edge, 0.0, 1.0)
    down = np.clip((high + edge - rpm) / edge, 0.0, 1.0)
    return np.asarray((3 * up**2 - 2 * up**3) * (3 * down**2 - 2 * down**3), dtype=np.float64)


def rise(rpm: FloatArray, start: float, end: float) -> FloatArray:
    """0 up to ``start``, then smoothly to 1 at ``end`` [rpm], going on beyond. Shape (n,)."""
    place = np.clip((rpm - start) / (end - start), 0.0, None)
    return np.asarray(place**1.5, dtype=np.float64)
