"""What a correction asks of the engine and its pull: induction, ignition, and for a diesel its fuel and boost."""

from __future__ import annotations

from typing import TYPE_CHECKING, TypedDict

import numpy as np

from fairpull import engine
from fairpull.terms.arrays import FloatArray
from fairpull.terms.pull import Curve

if TYPE_CHECKING:
    from fairpull.terms.engine import Engine


class Asked(TypedDict, total=False):
    """Keyword arguments of ``air.correct``."""

    induction: str
    ignition: str
    fuel_per_cycle: float | None
    pressure_ratio: float | None


def asked_of(curve: Curve, machine: Engine | None) -> Asked:
    """What the correction of a pull needs to know beyond its air.

    Args:
        curve: the pull's curve; fuel flow and manifold pressure are read for compression ignition.
        machine: its engine; None is taken for natural induction and spark ignition.

    Returns:
        Arguments of ``air.correct``; fuel [kg/m3] and pressure ratio [1] are means over the curve.
    """
    if machine is None:
        return {"induction": "natural", "ignition": "spark"}
    asked: Asked = {"induction": machine.induction, "ignition": machine.ignition}
    if machine.ignition == "compression":
        asked["fuel_per_cycle"] = _fuel_per_cycle(curve, machine)
        asked["pressure_ratio"] = _pressure_ratio(curve, machine)
    return asked


def _fuel_per_cycle(curve: Curve, machine: Engine) -> float | None:
    flow = curve.channels.get("fuel_mass_flow")
    volume = curve.channels.get("fuel_volume_flow")
    if flow is None and volume is not None:
        stated = None if machine.fuel is None else machine.fuel.density
        density = curve.channels.get("fuel_density", stated)
        flow = None if density is None else volume * density
    if flow is None:
        return None
    size = engine.displacement_of(machine)
    return _mean(np.asarray(engine.fuel_per_cycle(flow, size, curve.rpm, machine.strokes)))


def _pressure_ratio(curve: Curve, machine: Engine) -> float | None:
    if machine.induction == "natural" or curve.air is None:
        return None
    absolute, gauge = curve.channels.get("manifold_pressure"), curve.channels.get("boost")
    if absolute is None and gauge is not None:
        absolute = gauge + curve.air.pressure
    return None if absolute is None else _mean(absolute / curve.air.pressure)


def _mean(values: FloatArray) -> float | None:
    known = values[np.isfinite(values)]
    return float(known.mean()) if known.size else None
