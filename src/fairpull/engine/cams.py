"""Valve timing and lift from a camshaft card. Angles are of the crank, but for the lobe separation: of the cam.

Bottom and top centre follow the trade: intake opens before top (BTDC), closes after bottom (ABDC); exhaust opens before
bottom (BBDC), closes after top (ATDC). A negative angle lies on the other side of its centre.
"""

from __future__ import annotations

import math

import numpy as np

from fairpull.terms.arrays import FloatArray, Number


def opening_before_top(duration: Number, centreline: Number) -> Number:
    """Intake opening before top centre; with the exhaust's figures: exhaust closing after top centre.

    Args:
        duration: at some lift, scalar or shape (n,) [rad of crank].
        centreline: of full lift, after top centre (intake) or before top centre (exhaust) [rad of crank].

    Returns:
        Angle at which the valve passes that lift, away from full lift on top centre's side [rad], broadcast shape.

    Source: practice (definition: the lobe is taken as symmetrical about its centreline).
    """
    return duration / 2.0 - centreline


def closing_after_bottom(duration: Number, centreline: Number) -> Number:
    """Intake closing after bottom centre; with the exhaust's figures: exhaust opening before bottom centre.

    Args:
        duration: at some lift, scalar or shape (n,) [rad of crank].
        centreline: of full lift, after top centre (intake) or before top centre (exhaust) [rad of crank].

    Returns:
        Angle at which the valve passes that lift, beyond bottom centre [rad], broadcast shape.

    Source: practice (definition: the lobe is taken as symmetrical about its centreline).
    """
    return duration / 2.0 + centreline - math.pi


def overlap(intake_opening: Number, exhaust_closing: Number) -> Number:
    """Crank angle over which both valves stand above the lift that the events are stated at.

    Args:
        intake_opening: before top centre, scalar or shape (n,) [rad].
        exhaust_closing: after top centre [rad].

    Returns:
        Overlap [rad], broadcast shape; negative where neither is open.

    Source: practice (definition).
    """
    return intake_opening + exhaust_closing


def exhaust_centreline(lobe_separation: Number, intake_centreline: Number) -> Number:
    """Exhaust centreline before top centre, from the lobe separation and the intake's installed centreline.

    Args:
        lobe_separation: between the lobes, scalar or shape (n,) [rad of cam].
        intake_centreline: after top centre, as installed [rad of crank].

    Returns:
        Exhaust centreline [rad of crank], broadcast shape.

    Source: practice (definition: the separation is the mean of the two centrelines).
    """
    return 2.0 * lobe_separation - intake_centreline


def lobe_separation(intake_centreline: Number, exhaust_centreline: Number) -> Number:
    """Lobe separation from the two centrelines.

    Args:
        intake_centreline: after top centre, scalar or shape (n,) [rad of crank].
        exhaust_centreline: before top centre [rad of crank].

    Returns:
        Lobe separation [rad of cam], broadcast shape.

    Source: practice (definition).
    """
    return (intake_centreline + exhaust_centreline) / 2.0


def installed_advance(lobe_separation: Number, intake_centreline: Number) -> Number:
    """How far the camshaft is installed ahead of straight up.

    Args:
        lobe_separation: scalar or shape (n,) [rad of cam].
        intake_centreline: after top centre, as installed [rad of crank].

    Returns:
        Advance [rad of crank], broadcast shape; negative where retarded.

    Source: practice (definition).
    """
    return lobe_separation - intake_centreline


def valve_lift(lobe_lift: Number, rocker_ratio: Number) -> Number:
    """Lift at the valve without lash.

    Args:
        lobe_lift: scalar or shape (n,) [m].
        rocker_ratio: valve side over cam side [1].

    Returns:
        Lift [m], broadcast shape.

    Source: practice (geometry; a rocker's ratio changes a little along its travel).
    """
    return lobe_lift * rocker_ratio


def net_lift(lift: Number, lash: Number) -> Number:
    """Lift that is left when the clearance at the valve is taken up.

    Args:
        lift: at the valve without lash, scalar or shape (n,) [m].
        lash: at the valve [m].

    Returns:
        Net lift [m], broadcast shape.

    Source: practice (definition).
    """
    return lift - lash


def lift_over_diameter(lift: Number, diameter: Number) -> Number:
    """Lift over valve diameter; near 0.25 the curtain is as wide as the valve and more lift brings little flow.

    Args:
        lift: scalar or shape (n,) [m].
        diameter: of the valve's head, above zero [m].

    Returns:
        Ratio [1], broadcast shape.

    Source: practice (definition).
    """
    return lift / diameter


def curtain_area(diameter: Number, lift: Number) -> Number:
    """Area of the cylinder between the valve's edge and its seat.

    Args:
        diameter: of the valve's head, scalar or shape (n,) [m].
        lift: scalar or shape (n,) [m].

    Returns:
        Curtain area of one valve [m2], broadcast shape.

    Source: practice (geometry).
    """
    return math.pi * diameter * lift


def duration_at(angle: FloatArray, lift: FloatArray, at: float) -> float:
    """Duration above a lift, read off a lift table.

    Args:
        angle: from full lift, rising, shape (n,) [rad of crank].
        lift: at those angles, shape (n,) [m].
        at: the lift [m].

    Returns:
        Duration, straight lines between the points [rad of crank]; NaN where the table does not reach down to that lift
        on both sides, or not up to it.

    Source: practice (definition; linear interpolation is an own choice).
    """
    top = int(np.argmax(lift))
    if not (lift[0] <= at <= lift[top] and lift[-1] <= at):
        return math.nan
    opening = float(np.interp(at, lift[: top + 1], angle[: top + 1]))
    closing = float(np.interp(at, lift[top:][::-1], angle[top:][::-1]))
    return closing - opening
