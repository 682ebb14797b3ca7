"""Piston travel by crank angle, and compression from where the intake valve really closes."""

from __future__ import annotations

import math

import numpy as np

from fairpull.terms.arrays import Number


def piston_travel(stroke: Number, rod: Number, angle: Number) -> Number:
    """Way of the piston from top centre, exactly.

    Args:
        stroke: scalar or shape (n,) [m].
        rod: centre to centre, longer than half the stroke [m].
        angle: of the crank from top centre, either way [rad].

    Returns:
        Travel [m], broadcast shape.

    Source: heywood (equation 2.5; crank and rod without offset).
    """
    crank = stroke / 2.0
    turned = np.asarray(angle, dtype=np.float64)
    return crank * (1.0 - np.cos(turned)) + rod - np.sqrt(rod**2 - (crank * np.sin(turned)) ** 2)


def effective_stroke(stroke: Number, rod: Number, intake_closing: Number) -> Number:
    """Stroke that is left when the intake valve closes.

    Args:
        stroke: scalar or shape (n,) [m].
        rod: centre to centre [m].
        intake_closing: after bottom centre, at the lift that the closing is stated at [rad].

    Returns:
        Piston travel from that closing to top centre [m], broadcast shape.

    Source: heywood (equation 2.5).
    """
    return piston_travel(stroke, rod, math.pi - intake_closing)


def dynamic_compression_ratio(ratio: Number, stroke: Number, rod: Number, intake_closing: Number) -> Number:
    """Compression ratio counted from intake closing: 1 + effective stroke / (stroke / (CR - 1)).

    Args:
        ratio: compression ratio from bottom centre, above 1 [1].
        stroke: scalar or shape (n,) [m].
        rod: centre to centre [m].
        intake_closing: after bottom centre [rad]. The figure means something only beside the lift that the closing is
            stated at; the trade takes the advertised (seat) closing.

    Returns:
        Dynamic compression ratio [1], broadcast shape.

    Source: practice (definition).
    """
    return 1.0 + effective_stroke(stroke, rod, intake_closing) / stroke * (ratio - 1.0)
