"""The trade's starting rules for the length and width of exhaust and intake pipes."""

from __future__ import annotations

import math

from fairpull.terms.arrays import Number
from fairpull.terms.unit_table import INCH

_DEGREE = math.pi / 180.0
_HEADER_FACTOR = 850.0 * INCH  # m x rpm for each degree
_HEADER_LESS = 3.0 * INCH
_AREA_FACTOR = 88_200.0 * INCH  # rpm x m3 / m2


def header_length(rpm: Number, exhaust_opening: Number) -> Number:
    """Length of a header's primary pipes: L(in) = 850 x (180 + EVO in degrees BBDC) / rpm - 3.

    Args:
        rpm: speed to tune for, above zero, scalar or shape (n,) [rpm].
        exhaust_opening: before bottom centre, advertised [rad].

    Returns:
        Length [m], broadcast shape.

    Source: header-length-rule.
    """
    return _HEADER_FACTOR * (180.0 + exhaust_opening / _DEGREE) / rpm - _HEADER_LESS


def rpm_of_header_length(length: Number, exhaust_opening: Number) -> Number:
    """Speed that a primary length is tuned for: the inverse of ``header_length``.

    Args:
        length: scalar or shape (n,) [m].
        exhaust_opening: before bottom centre, advertised [rad].

    Returns:
        Shaft speed [rpm], broadcast shape.

    Source: header-length-rule.
    """
    return _HEADER_FACTOR * (180.0 + exhaust_opening / _DEGREE) / (length + _HEADER_LESS)


def header_area(rpm: Number, cylinder: Number) -> Number:
    """Inside area of a header's primary pipes: in2 = rpm at torque peak x in3 of one cylinder / 88200.

    Args:
        rpm: of peak torque, scalar or shape (n,) [rpm].
        cylinder: swept volume of one cylinder [m3].

    Returns:
        Area [m2], broadcast shape.

    Source: header-area-rule.
    """
    return rpm * cylinder / _AREA_FACTOR


def rpm_of_header_area(area: Number, cylinder: Number) -> Number:
    """Speed of peak torque that a primary's area suits: the inverse of ``header_area``.

    Args:
        area: inside, scalar or shape (n,) [m2].
        cylinder: swept volume of one cylinder, above zero [m3].

    Returns:
        Shaft speed [rpm], broadcast shape.

    Source: header-area-rule.
    """
    return area * _AREA_FACTOR / cylinder


def rpm_of_runner_length(length: Number, harmonic: Number = 4.0, sound_speed: Number = 365.0) -> Number:
    """Speed that an intake runner is tuned for as a quarter wave: N = 30 c / (L H).

    Args:
        length: valve to plenum or open end, above zero, scalar or shape (n,) [m].
        harmonic: which wave helps, 3 to 5 [1].
        sound_speed: in the warm runner, 350 to 380 [m/s].

    Returns:
        Shaft speed [rpm], broadcast shape.

    Source: runner-rule.
    """
    return 30.0 * sound_speed / (length * harmonic)


def pipe_area(diameter: Number, wall: Number = 0.0) -> Number:
    """Inside area of a round pipe.

    Args:
        diameter: outside where a wall is given, inside otherwise, scalar or shape (n,) [m].
        wall: thickness [m].

    Returns:
        Area [m2], broadcast shape.

    Source: practice (geometry).
    """
    return math.pi / 4.0 * (diameter - 2.0 * wall) ** 2
