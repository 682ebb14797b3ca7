"""Driven compressors: pulleys, speeds, and what they displace."""

from __future__ import annotations

import math

from fairpull.terms.arrays import Number


def pulley_ratio(driving: Number, driven: Number) -> Number:
    """Turns of the driven pulley for each turn of the driving one, without slip.

    Args:
        driving: diameter, scalar or shape (n,) [m].
        driven: diameter, above zero [m].

    Returns:
        Ratio [1], broadcast shape.

    Source: practice (geometry).
    """
    return driving / driven


def compressor_speed(rpm: Number, pulley: Number, step_up: Number = 1.0) -> Number:
    """Speed of a compressor's rotors or wheel.

    Args:
        rpm: of the engine, scalar or shape (n,) [rpm].
        pulley: ratio of the belt or gear drive [1].
        step_up: gears inside the compressor [1].

    Returns:
        Speed [rpm], broadcast shape.

    Source: practice (definition).
    """
    return rpm * pulley * step_up


def tip_speed(diameter: Number, rpm: Number) -> Number:
    """Speed of a wheel's rim.

    Args:
        diameter: scalar or shape (n,) [m].
        rpm: of the wheel [rpm].

    Returns:
        Tip speed [m/s], broadcast shape.

    Source: practice (geometry).
    """
    return math.pi * diameter * rpm / 60.0


def boost_after_pulley_change(boost: Number, before: Number, after: Number) -> Number:
    """Boost of a centrifugal compressor at another drive ratio and the same engine speed: it goes with speed squared.

    Args:
        boost: gauge, with the first ratio, scalar or shape (n,) [Pa].
        before: first drive ratio, above zero [1].
        after: other drive ratio [1].

    Returns:
        Gauge boost [Pa], broadcast shape; an estimate for small changes away from surge and choke.

    Source: practice (fan law).
    """
    return boost * (after / before) ** 2


def delivery_ratio(compressor: Number, ratio: Number, displacement: Number, strokes: int = 4) -> Number:
    """Volume that a positive-displacement compressor passes for each volume that the engine sweeps.

    Args:
        compressor: displacement for each turn of its own, scalar or shape (n,) [m3].
        ratio: its turns for each turn of the engine [1].
        displacement: of the whole engine, above zero [m3].
        strokes: for each cycle, 4 or 2.

    Returns:
        Ratio [1], broadcast shape; before leakage, temperature and the engine's own filling.

    Source: practice (definition).
    """
    return compressor * ratio / (displacement * 2.0 / strokes)
