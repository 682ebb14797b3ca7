"""Torque where only power or brake mean effective pressure was logged."""

from __future__ import annotations

from math import pi

import numpy as np

from fairpull.logs.conditions import Handed
from fairpull.terms.arrays import FloatArray
from fairpull.terms.errors import Fault

SLOWEST = 50.0  # [rpm]; below, power over speed says nothing


def torque_of_power(power: FloatArray, rpm: FloatArray) -> FloatArray:
    """Torque from power and speed: T = P / omega.

    Args:
        power: brake power, shape (n,) [W].
        rpm: shaft speed, shape (n,) [1/min].

    Returns:
        Torque, shape (n,) [N m]; NaN below 50 1/min.

    Source:
        Definition of power; "practice".
    """
    turning = rpm > SLOWEST
    return np.where(turning, power * 30 / pi / np.where(turning, rpm, 1.0), np.nan)


def torque_of_bmep(bmep: FloatArray, displacement: float, strokes: int) -> FloatArray:
    """Torque from brake mean effective pressure: T = bmep x V / (pi x strokes), 4 pi for four strokes.

    Args:
        bmep: brake mean effective pressure, shape (n,) [Pa].
        displacement: swept volume of all cylinders [m3].
        strokes: strokes per cycle, 2 or 4.

    Returns:
        Torque, shape (n,) [N m].

    Source:
        Definition of mean effective pressure: work of a cycle over swept volume; "practice".
    """
    return bmep * displacement / (pi * strokes)


def add_torque(channels: dict[str, FloatArray], choices: dict[str, str], handed: Handed, where: str) -> Fault | None:
    """Fill the torque channel from what else is there, and say how.

    Args:
        channels: channels in house units; "torque" is added in place.
        choices: the choice is added in place.
        handed: displacement and strokes said by hand.
        where: file name.

    Returns:
        A fault when BMEP needs a displacement that nobody gave; else None.
    """
    if "torque" in channels:
        return None
    if "power" in channels and "rpm" in channels:
        channels["torque"] = torque_of_power(channels["power"], channels["rpm"])
        choices["torque"] = "computed from power and speed as logged"
        return None
    if "bmep" not in channels:
        return None
    if handed.displacement is None:
        seen = "brake mean effective pressure, but neither torque nor displacement"
        return Fault(
            "no-displacement", where, seen, "give the displacement, e.g. 2.0L, by option or in conditions.toml"
        )
    channels["torque"] = torque_of_bmep(channels["bmep"], handed.displacement, handed.strokes)
    litres = handed.displacement * 1e3
    choices["torque"] = (
        f"computed from bmep (mean effective pressure) with {litres:.4g} L, {handed.strokes} strokes per cycle"
    )
    return None
