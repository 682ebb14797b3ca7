"""At equal boost: only where both builds made it."""

from __future__ import annotations

import numpy as np

from fairpull.compare.fairness.boost import barometer_at, boost_at, is_boosted
from fairpull.compare.fairness.missing import cannot
from fairpull.compare.fairness.sides import Sides, nodes, plain_ratio, ratio_band, torque_at
from fairpull.compare.fairness.wording import mean_over, more_or_less, per_cent, stretches, where_of
from fairpull.terms.arrays import FloatArray
from fairpull.terms.comparison import Estimate
from fairpull.terms.ledger import FairLook

TOLERANCE = 1379.0  # 0.2 psi: what a waste gate or belt repeats to, common practice [Pa]
NAME = "at equal boost"
ASSUMPTION = (
    "Gauge boost in the manifold is what has to be equal; charge temperature, drive power and spark stay each build's "
    "own."
)


def applies(sides: Sides) -> bool:
    """Were both builds boosted?

    Args:
        sides: the builds.

    Returns:
        True where the view has a meaning.
    """
    return is_boosted(sides.reference) and is_boosted(sides.other)


def equal_places(rpm: FloatArray, reference: FloatArray, other: FloatArray, tolerance: float) -> FloatArray:
    """Speeds at which two boost curves agree: nodes within the tolerance, and crossings between nodes without it.

    Args:
        rpm: rising, shape (g,).
        reference: boost, shape (g,) [Pa].
        other: boost, shape (g,) [Pa].
        tolerance: [Pa].

    Returns:
        Speeds, rising [rpm]; none beyond what both were tested at.

    Source: own definition.
    """
    apart = other - reference
    close = np.abs(apart) <= tolerance
    turns = np.flatnonzero((apart[:-1] * apart[1:] < 0.0) & ~close[:-1] & ~close[1:])
    crossings = rpm[turns] - apart[turns] * (rpm[turns + 1] - rpm[turns]) / (apart[turns + 1] - apart[turns])
    return np.unique(np.concatenate([rpm[close], crossings]))


def equal_boost(sides: Sides, tolerance: float = TOLERANCE) -> FairLook:
    """Compare torque only where both builds made the same boost.

    Args:
        sides: the builds.
        tolerance: boosts this close count as equal [Pa].

    Returns:
        The view, at the speeds where boosts agree; boost is interpolated between nodes, never carried beyond them.

    Raises:
        NotComparable: boost is not known, or was nowhere equal.

    Source: practice (compare only where boost is equal).
    """
    rpm = nodes(sides)
    mine, theirs = boost_at(sides.reference, rpm), boost_at(sides.other, rpm)
    x = equal_places(rpm, mine, theirs, tolerance)
    if not x.size:
        seen = f"boosts are nowhere within {tolerance / 1000:.1f} kPa of each other"
        raise cannot(f"{sides.reference.name}, {sides.other.name}", seen, "bring one to the other's boost and run it")
    ratio, low, high = plain_ratio(sides, x)
    all_along = _runs(rpm, x) == ((float(rpm[0]), float(rpm[-1])),)
    # with equal boost everywhere this is the verdict's difference, so it is also the verdict's number
    own = sides.difference.mean_ratio if sides.difference is not None and all_along else None
    mean = own or mean_over(ratio, low, high)
    both = np.concatenate([np.interp(x, rpm, one) for one in (mine, theirs)])
    held = Estimate(
        float(np.nanmean(both)), float(np.nanmin(both)), float(np.nanmax(both)), "Pa", "boost of both builds there"
    )
    torque, other = torque_at(sides.reference, x)[0], torque_at(sides.other, x)[0]
    return FairLook(
        NAME,
        ASSUMPTION,
        "rpm",
        "torque",
        "N m",
        x,
        torque,
        other,
        ratio,
        low,
        high,
        ratio,
        mean,
        _sentence(sides, rpm, x, mean, mine, theirs),
        "practice",
        ratio_band(sides),
        held,
    )


def _runs(rpm: FloatArray, x: FloatArray) -> tuple[tuple[float, float], ...]:
    step = float(np.median(np.diff(rpm))) if rpm.size > 1 else 1.0
    return stretches(x, 1.5 * step)


def _sentence(
    sides: Sides, rpm: FloatArray, x: FloatArray, mean: Estimate | None, mine: FloatArray, theirs: FloatArray
) -> str:
    assert mean is not None
    runs = _runs(rpm, x)
    names = (sides.reference.name, sides.other.name)
    if runs == ((float(rpm[0]), float(rpm[-1])),):
        return f"Both made the same boost all along: {more_or_less(names, mean)}."
    only = "the only place" if len(runs) == 1 else "the only places"
    said = f"At equal boost ({where_of(runs)}, {only} where both made it) {more_or_less(names, mean)}"
    return f"{said}, averaged over rpm; {_elsewhere(sides, rpm, mine, theirs)}."


def _elsewhere(sides: Sides, rpm: FloatArray, mine: FloatArray, theirs: FloatArray) -> str:
    """The plain difference where boosts lie furthest apart, with the pressure that goes with it."""
    ratio = plain_ratio(sides, rpm)[0]
    apart = np.where(np.isfinite(ratio) & np.isfinite(theirs - mine), np.abs(theirs - mine), -1.0)
    upper = rpm >= np.median(rpm)
    at = int(np.argmax(np.where(upper, apart, -1.0)))
    base = barometer_at(sides.reference, rpm)[at]
    plain = f"the plain {per_cent(float(ratio[at]))} at {rpm[at]:,.0f} rpm"
    if not np.isfinite(base):
        return f"{plain} goes with unequal boost"
    pressure = (base + theirs[at]) / (base + mine[at]) - 1.0
    more = "more" if pressure > 0 else "less"
    return f"{plain} goes with {per_cent(float(pressure), signed=False)} {more} pressure in its manifold"
