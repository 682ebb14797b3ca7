"""Volumes and speeds that follow from bore, stroke and the parts that close the cylinder."""

from __future__ import annotations

import math

from fairpull.terms.arrays import Number
from fairpull.terms.engine import Engine


def bore_volume(bore: Number, height: Number) -> Number:
    """Volume of a disc as wide as the bore: swept volume of one cylinder, gasket, deck clearance.

    Args:
        bore: scalar or shape (n,) [m].
        height: stroke, gasket thickness or deck clearance, scalar or shape (n,) [m].

    Returns:
        Volume [m3], broadcast shape.

    Source: practice (geometry).
    """
    return math.pi / 4.0 * bore**2 * height


def displacement(bore: Number, stroke: Number, cylinders: int) -> Number:
    """Swept volume of the whole engine.

    Args:
        bore: scalar or shape (n,) [m].
        stroke: scalar or shape (n,) [m].
        cylinders: how many.

    Returns:
        Displacement [m3], broadcast shape.

    Source: practice (geometry).
    """
    return cylinders * bore_volume(bore, stroke)


def displacement_of(engine: Engine) -> float:
    """Swept volume of an engine, as stated or from bore and stroke.

    Args:
        engine: the engine.

    Returns:
        Displacement [m3].
    """
    if engine.displacement is not None:
        return engine.displacement
    return float(displacement(engine.bore, engine.stroke, engine.cylinders))


def mean_piston_speed(stroke: Number, rpm: Number) -> Number:
    """Way of the piston over time: two strokes for each turn.

    Args:
        stroke: scalar or shape (n,) [m].
        rpm: scalar or shape (n,) [rpm].

    Returns:
        Mean piston speed [m/s], broadcast shape.

    Source: practice (definition).
    """
    return 2.0 * stroke * rpm / 60.0


def rpm_at_piston_speed(stroke: Number, speed: Number) -> Number:
    """Shaft speed at which the mean piston speed is reached: the inverse of ``mean_piston_speed``.

    Args:
        stroke: scalar or shape (n,) [m].
        speed: mean piston speed, scalar or shape (n,) [m/s].

    Returns:
        Shaft speed [rpm], broadcast shape.

    Source: practice (definition).
    """
    return 60.0 * speed / (2.0 * stroke)


def compression_ratio(swept: Number, clearance: Number) -> Number:
    """Volume at bottom centre over volume at top centre.

    Args:
        swept: of one cylinder, scalar or shape (n,) [m3].
        clearance: of one cylinder at top centre, above zero, scalar or shape (n,) [m3].

    Returns:
        Compression ratio [1], broadcast shape.

    Source: practice (definition).
    """
    return (swept + clearance) / clearance


def clearance_volume(
    chamber: Number,
    *,
    gasket: Number = 0.0,
    deck: Number = 0.0,
    dish: Number = 0.0,
    dome: Number = 0.0,
) -> Number:
    """Volume above the piston at top centre, summed from its parts, for one cylinder.

    Args:
        chamber: in the head, scalar or shape (n,) [m3].
        gasket: inside the gasket's ring [m3].
        deck: between piston edge and block face [m3]; negative where the piston stands proud.
        dish: hollows and valve pockets in the piston [m3].
        dome: what stands up from the piston [m3].

    Returns:
        Clearance volume [m3], broadcast shape.

    Source: practice (geometry).
    """
    return chamber + gasket + deck + dish - dome


def rod_ratio(rod: Number, stroke: Number) -> Number:
    """Rod length over stroke; 1.5 to 1.8 is usual.

    Args:
        rod: centre to centre, scalar or shape (n,) [m].
        stroke: above zero [m].

    Returns:
        Ratio [1], broadcast shape.

    Source: practice (definition).
    """
    return rod / stroke
