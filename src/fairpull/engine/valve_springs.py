"""Valve springs: rate, load over the nose, and what is left before the coils touch."""

from __future__ import annotations

from fairpull.terms.arrays import Number


def spring_rate(seat_load: Number, open_load: Number, travel: Number) -> Number:
    """Rate from two loads.

    Args:
        seat_load: valve shut, scalar or shape (n,) [N].
        open_load: compressed by ``travel`` [N].
        travel: between the two heights, above zero [m].

    Returns:
        Rate [N/m], broadcast shape.

    Source: practice (definition; the spring is taken as linear).
    """
    return (open_load - seat_load) / travel


def spring_load(seat_load: Number, rate: Number, lift: Number) -> Number:
    """Load with the valve open.

    Args:
        seat_load: valve shut, scalar or shape (n,) [N].
        rate: [N/m].
        lift: of the valve [m].

    Returns:
        Load [N], broadcast shape.

    Source: practice (definition; the spring is taken as linear).
    """
    return seat_load + rate * lift


def coil_bind_margin(seat_height: Number, lift: Number, coil_bind: Number) -> Number:
    """Height left at full lift before the coils touch.

    Args:
        seat_height: installed, valve shut, scalar or shape (n,) [m].
        lift: of the valve [m].
        coil_bind: height at which the coils touch [m].

    Returns:
        Margin [m], broadcast shape; negative where the spring binds.

    Source: practice (definition).
    """
    return seat_height - lift - coil_bind
