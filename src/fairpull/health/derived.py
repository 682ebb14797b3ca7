"""Channels that are computed from others on the same rows: power, consumption, mixture, breathing, boost."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Protocol

import numpy as np

from fairpull.engine.flows import lambda_from_flows, specific_consumption, volumetric_efficiency
from fairpull.engine.geometry import displacement_of
from fairpull.engine.output import bmep, power_from_torque
from fairpull.terms.arrays import FloatArray
from fairpull.terms.engine import Engine
from fairpull.terms.pull import Air

PETROL_STOICHIOMETRIC = 14.6  # only where no engine names its fuel


class Rows(Protocol):
    """What the formulas need of a pull."""

    @property
    def engine(self) -> Engine | None:
        """The engine, where known."""

    @property
    def air(self) -> Air | None:
        """Mean air, where known."""

    def get(self, channel: str) -> FloatArray | None:
        """A channel, measured or derived, shape (n,)."""


def stoichiometric(engine: Engine | None) -> float:
    """Air over fuel by mass at lambda 1.

    Args:
        engine: with its fuel; None or no fuel: pump petrol.

    Returns:
        The ratio [1].

    Source: practice.
    """
    if engine is None or engine.fuel is None:
        return PETROL_STOICHIOMETRIC
    return engine.fuel.stoichiometric


def dry_density(air: Air) -> float:
    """Density of the dry share of the room's air.

    Args:
        air: of the pull.

    Returns:
        Density [kg/m3].

    Source: practice (ideal gas).
    """
    return (air.pressure - air.vapour_pressure) / (287.05 * air.temperature)


def _power(rows: Rows) -> FloatArray | None:
    torque, rpm = rows.get("torque"), rows.get("rpm")
    return None if torque is None or rpm is None else _array(power_from_torque(torque, rpm))


def _bmep(rows: Rows) -> FloatArray | None:
    torque = rows.get("torque")
    volume = _volume(rows.engine)
    if torque is None or rows.engine is None or volume is None:
        return None
    return _array(bmep(torque, volume, rows.engine.strokes))


def _bsfc(rows: Rows) -> FloatArray | None:
    return _specific(rows, "fuel_mass_flow")


def _bsac(rows: Rows) -> FloatArray | None:
    return _specific(rows, "air_mass_flow")


def _specific(rows: Rows, channel: str) -> FloatArray | None:
    flow, power = rows.get(channel), rows.get("power")
    if flow is None or power is None or not (power > 0).all():
        return None
    return _array(specific_consumption(flow, power))


def _fuel_mass(rows: Rows) -> FloatArray | None:
    volume, density = rows.get("fuel_volume_flow"), rows.get("fuel_density")
    if volume is None:
        return None
    if density is not None:
        return _array(volume * density)
    fuel = rows.engine.fuel if rows.engine is not None else None
    return None if fuel is None else _array(volume * fuel.density)


def _air_mass(rows: Rows) -> FloatArray | None:
    volume, air = rows.get("air_volume_flow"), rows.air
    return None if volume is None or air is None else _array(volume * dry_density(air))


def _lambda_flow(rows: Rows) -> FloatArray | None:
    air, fuel = rows.get("air_mass_flow"), rows.get("fuel_mass_flow")
    if air is None or fuel is None or not (fuel > 0).all():
        return None
    return _array(lambda_from_flows(air, fuel, stoichiometric(rows.engine)))


def _ve(rows: Rows) -> FloatArray | None:
    flow, rpm, volume = rows.get("air_mass_flow"), rows.get("rpm"), _volume(rows.engine)
    if flow is None or rpm is None or volume is None or rows.air is None or rows.engine is None:
        return None
    return _array(volumetric_efficiency(flow, volume, rpm, dry_density(rows.air), rows.engine.strokes))


def _boost(rows: Rows) -> FloatArray | None:
    manifold = rows.get("manifold_pressure")
    if manifold is None:
        after = rows.get("boost_after_cooler")
        return after if after is not None else rows.get("boost_before_cooler")
    barometer = rows.get("barometer")
    if barometer is not None:
        return _array(manifold - barometer)
    return None if rows.air is None else _array(manifold - rows.air.pressure)


def _air_each_rev(rows: Rows) -> FloatArray | None:
    return _each_rev(rows, "air_mass_flow")


def _fuel_each_rev(rows: Rows) -> FloatArray | None:
    return _each_rev(rows, "fuel_mass_flow")


def _each_rev(rows: Rows, channel: str) -> FloatArray | None:
    flow, rpm = rows.get(channel), rows.get("rpm")
    return None if flow is None or rpm is None else _array(flow * 60.0 / rpm)


def _volume(engine: Engine | None) -> float | None:
    if engine is None or (engine.displacement is None and not engine.cylinders):
        return None
    volume = displacement_of(engine)
    return volume if math.isfinite(volume) else None


def _array(values: object) -> FloatArray:
    return np.asarray(values, dtype=np.float64)


DERIVED: dict[str, Callable[[Rows], FloatArray | None]] = {
    "power": _power,
    "bmep": _bmep,
    "bsfc": _bsfc,
    "bsac": _bsac,
    "fuel_mass_flow": _fuel_mass,
    "air_mass_flow": _air_mass,
    "lambda_flow": _lambda_flow,
    "ve": _ve,
    "boost": _boost,
    "air_each_rev": _air_each_rev,
    "fuel_each_rev": _fuel_each_rev,
}
