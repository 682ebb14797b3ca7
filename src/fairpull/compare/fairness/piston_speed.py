"""At equal mean piston speed: brake mean effective pressure of engines of unlike stroke."""

from __future__ import annotations

import numpy as np

from fairpull import engine
from fairpull.compare.fairness.missing import cannot
from fairpull.compare.fairness.sides import LIKE_GROUPS, Side, Sides, opposite_ends, plain_ratio, torque_at
from fairpull.compare.fairness.wording import mean_over, more_or_less, per_cent
from fairpull.terms.arrays import FloatArray
from fairpull.terms.ledger import FairLook

NAME = "at equal mean piston speed"
ASSUMPTION = (
    "Brake mean effective pressure at equal mean piston speed is what engines of unlike size and stroke have in common."
)
OWN_VIEW = "the simultaneous 95 % band of the comparison's own view of BMEP at equal mean piston speed"
STEP = 0.2  # [m/s]


def applies(sides: Sides) -> bool:
    """Are strokes or sizes known and unlike?

    Args:
        sides: the builds.

    Returns:
        True where the view says something that equal rpm does not.
    """
    one, two = (side.facts.build for side in (sides.reference, sides.other))
    if one is None or two is None:
        return False
    same_stroke = one.engine.stroke == two.engine.stroke
    return not (same_stroke and engine.displacement_of(one.engine) == engine.displacement_of(two.engine))


def common_speeds(reference: tuple[float, float], other: tuple[float, float], step: float) -> FloatArray:
    """Even round steps over what both ranges have in common.

    Args:
        reference: lowest and highest, any unit.
        other: lowest and highest, same unit.
        step: between two values, same unit.

    Returns:
        Multiples of the step, rising; none where the ranges do not meet.

    Source: own definition.
    """
    low, high = max(reference[0], other[0]), min(reference[1], other[1])
    return step * np.arange(np.ceil(low / step - 1e-9), np.floor(high / step + 1e-9) + 1.0)


def equal_piston_speed(sides: Sides) -> FairLook:
    """Compare BMEP at equal mean piston speed.

    Args:
        sides: the builds, with their engines.

    Returns:
        The view along mean piston speed.

    Raises:
        NotComparable: a stroke is not known, or the ranges of piston speed do not meet.

    Source: practice (BMEP at equal mean piston speed for unlike displacement).
    """
    ranges = _ranges(sides)
    x = common_speeds(ranges[0], ranges[-1], STEP)
    if not x.size:
        told = " against ".join(f"{low:.1f}-{high:.1f} m/s" for low, high in ranges)
        raise cannot(f"{sides.reference.name}, {sides.other.name}", f"piston speeds do not meet: {told}", "test wider")
    mine, theirs = _bmep(sides.reference, x), _bmep(sides.other, x)
    ratio, low, high = _ratio(sides, x, mine, theirs)
    mean = mean_over(ratio, low, high)
    assert mean is not None
    plain = plain_ratio(sides, _rpm(sides.reference, x))[0]
    names = (sides.reference.name, sides.other.name)
    known = plain[np.isfinite(plain)]
    beside = f"; in torque at equal rpm it is {per_cent(float(known.mean()))}" if known.size else ""
    return FairLook(
        NAME,
        ASSUMPTION,
        "mean piston speed",
        "bmep",
        "Pa",
        x,
        mine[0],
        theirs[0],
        ratio,
        low,
        high,
        plain,
        mean,
        f"At equal mean piston speed {more_or_less(names, mean, 'BMEP')}{beside}.",
        "practice",
        LIKE_GROUPS if sides.piston_speed is None else OWN_VIEW,
    )


def _ratio(
    sides: Sides, speed: FloatArray, mine: tuple[FloatArray, ...], theirs: tuple[FloatArray, ...]
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Difference with its band: the comparison's own where it made one, else from both builds' bands."""
    own = sides.piston_speed
    if own is None:
        return opposite_ends((mine[0], mine[1], mine[2]), (theirs[0], theirs[1], theirs[2]))
    at = _rpm(sides.reference, speed)
    ratio, low, high = (np.interp(at, own.rpm, one) for one in (own.ratio, own.ratio_low, own.ratio_high))
    return ratio, low, high


def _stroke(side: Side) -> float:
    assert side.facts.build is not None
    stroke = side.facts.build.engine.stroke
    if not np.isfinite(stroke):
        raise cannot(side.name, "the engine's sheet states displacement without stroke", "give bore and stroke")
    return stroke


def _ranges(sides: Sides) -> list[tuple[float, float]]:
    """Lowest and highest piston speed of each build; those of the comparison's own view where it made one."""
    own = sides.piston_speed
    both: tuple[tuple[Side, tuple[float, float]], ...]
    if own is not None:
        both = ((sides.reference, (float(own.rpm[0]), float(own.rpm[-1]))),)
    else:
        both = tuple((side, side.group.tested) for side in (sides.reference, sides.other))
    speeds = [[float(engine.mean_piston_speed(_stroke(side), rpm)) for rpm in ends] for side, ends in both]
    return [(low, high) for low, high in speeds]


def _rpm(side: Side, speed: FloatArray) -> FloatArray:
    rpm = np.asarray(engine.rpm_at_piston_speed(_stroke(side), speed), dtype=np.float64)
    return np.clip(rpm, side.group.rpm[0], side.group.rpm[-1])  # rounding at the ends is not extrapolation


def _bmep(side: Side, speed: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray]:
    assert side.facts.build is not None
    machine = side.facts.build.engine
    per = float(engine.bmep(1.0, engine.displacement_of(machine), machine.strokes))
    torque, low, high = torque_at(side, _rpm(side, speed))
    return torque * per, low * per, high * per
