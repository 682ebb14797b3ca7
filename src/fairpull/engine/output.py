"""Torque, power and mean effective pressure."""

from __future__ import annotations

import math

from fairpull.terms.arrays import Number

RADIANS_PER_SECOND = 2.0 * math.pi / 60.0  # of one rpm


def power_from_torque(torque: Number, rpm: Number) -> Number:
    """Power of a shaft.

    Args:
        torque: scalar or shape (n,) [N m].
        rpm: scalar or shape (n,) [rpm].

    Returns:
        Power [W], broadcast shape.

    Source: practice (definition).
    """
    return torque * rpm * RADIANS_PER_SECOND


def torque_from_power(power: Number, rpm: Number) -> Number:
    """Torque of a shaft from its power.

    Args:
        power: scalar or shape (n,) [W].
        rpm: above zero, scalar or shape (n,) [rpm].

    Returns:
        Torque [N m], broadcast shape.

    Source: practice (definition).
    """
    return power / (rpm * RADIANS_PER_SECOND)


def bmep(torque: Number, displacement: Number, strokes: int = 4) -> Number:
    """Brake mean effective pressure: work for each cycle over swept volume.

    Args:
        torque: brake torque, scalar or shape (n,) [N m].
        displacement: of the whole engine, scalar or shape (n,) [m3].
        strokes: for each cycle, 4 or 2.

    Returns:
        BMEP [Pa], broadcast shape.

    Source: practice (definition).
    """
    return math.pi * strokes * torque / displacement


def torque_from_bmep(pressure: Number, displacement: Number, strokes: int = 4) -> Number:
    """Brake torque from brake mean effective pressure.

    Args:
        pressure: BMEP, scalar or shape (n,) [Pa].
        displacement: of the whole engine, scalar or shape (n,) [m3].
        strokes: for each cycle, 4 or 2.

    Returns:
        Torque [N m], broadcast shape.

    Source: practice (definition).
    """
    return pressure * displacement / (math.pi * strokes)


def inertia_torque(inertia: Number, rpm_rate: Number) -> Number:
    """Torque that speeds up rotating parts and never reaches the brake.

    Args:
        inertia: engine, coupling and brake rotor, scalar or shape (n,) [kg m2].
        rpm_rate: change of shaft speed, scalar or shape (n,) [rpm/s].

    Returns:
        Torque [N m], broadcast shape; add it to the brake's torque.

    Source: practice (Newton's second law for rotation).
    """
    return inertia * rpm_rate * RADIANS_PER_SECOND
