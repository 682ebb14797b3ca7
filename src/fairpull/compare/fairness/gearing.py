"""Through each build's own gearing: what reaches the output shaft."""

from __future__ import annotations

import numpy as np

from fairpull.compare.fairness.missing import cannot
from fairpull.compare.fairness.piston_speed import common_speeds
from fairpull.compare.fairness.sides import LIKE_GROUPS, Side, Sides, opposite_ends, plain_ratio, torque_at
from fairpull.compare.fairness.wording import mean_over, more_or_less, per_cent
from fairpull.terms.arrays import FloatArray, Number
from fairpull.terms.ledger import FairLook

STEP = 50.0  # [rpm]
NAME = "through each build's own gearing"


def applies(sides: Sides) -> bool:
    """Does a build have a gear, or a loss in it, that the other has not?

    Args:
        sides: the builds.

    Returns:
        True where the view says something that equal rpm does not.
    """
    one, two = (side.facts.build for side in (sides.reference, sides.other))
    if one is None or two is None:
        return False
    return (one.gear, one.gear_efficiency) != (two.gear, two.gear_efficiency)


def output_rpm(rpm: Number, gear: Number) -> Number:
    """Speed of the output shaft.

    Args:
        rpm: of the engine, scalar or shape (n,).
        gear: engine speed over output speed, above zero, ratio [1].

    Returns:
        Speed [rpm], broadcast shape.

    Source: definition.
    """
    return rpm / gear


def output_torque(torque: Number, gear: Number, efficiency: Number) -> Number:
    """Torque of the output shaft.

    Args:
        torque: of the engine, scalar or shape (n,) [N m].
        gear: engine speed over output speed, ratio [1].
        efficiency: of the gear, fraction [1].

    Returns:
        Torque [N m], broadcast shape; power is the engine's times the efficiency.

    Source: definition.
    """
    return torque * gear * efficiency


def through_gearing(sides: Sides) -> FairLook:
    """Compare torque at the output shaft at equal speed of that shaft; the ratio of powers is the same.

    Args:
        sides: the builds, with their gears.

    Returns:
        The view along output-shaft speed.

    Raises:
        NotComparable: output speeds do not meet.

    Source: practice (gear so that output speeds match before comparing).
    """
    ranges = [_range(side) for side in (sides.reference, sides.other)]
    x = common_speeds(ranges[0], ranges[1], STEP)
    if not x.size:
        told = " against ".join(f"{low:.0f}-{high:.0f} rpm" for low, high in ranges)
        raise cannot(f"{sides.reference.name}, {sides.other.name}", f"output speeds do not meet: {told}", "gear closer")
    mine, theirs = _torque(sides.reference, x), _torque(sides.other, x)
    ratio, low, high = opposite_ends(mine, theirs)
    mean = mean_over(ratio, low, high)
    assert mean is not None
    plain = plain_ratio(sides, _engine_rpm(sides.reference, x))[0]
    known = plain[np.isfinite(plain)]
    beside = f"; at equal engine rpm it is {per_cent(float(known.mean()))}" if known.size else ""
    names = (sides.reference.name, sides.other.name)
    return FairLook(
        NAME,
        f"Each gear turns and loses what its sheet says ({_told(sides.reference)}; {_told(sides.other)}), the same at "
        "every speed and load.",
        "output shaft rpm",
        "torque",
        "N m",
        x,
        mine[0],
        theirs[0],
        ratio,
        low,
        high,
        plain,
        mean,
        f"At the output shaft, {x[0]:,.0f} to {x[-1]:,.0f} rpm, {more_or_less(names, mean, 'torque and power')}"
        f"{beside}.",
        "practice",
        LIKE_GROUPS,
    )


def _gear(side: Side) -> tuple[float, float]:
    assert side.facts.build is not None
    return side.facts.build.gear, side.facts.build.gear_efficiency


def _told(side: Side) -> str:
    gear, efficiency = _gear(side)
    return f"{side.name} {gear:g}:1 at {efficiency * 100:g} %"


def _range(side: Side) -> tuple[float, float]:
    gear, _ = _gear(side)
    return side.group.tested[0] / gear, side.group.tested[1] / gear


def _engine_rpm(side: Side, output: FloatArray) -> FloatArray:
    rpm: FloatArray = np.clip(output * _gear(side)[0], side.group.rpm[0], side.group.rpm[-1])
    return rpm


def _torque(side: Side, output: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray]:
    gear, efficiency = _gear(side)
    torque, low, high = (
        np.asarray(output_torque(one, gear, efficiency), dtype=np.float64)
        for one in torque_at(side, _engine_rpm(side, output))
    )
    return torque, low, high
