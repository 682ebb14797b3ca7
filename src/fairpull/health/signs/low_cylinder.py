"""One cylinder low: it takes its share of air and fuel and gives too little work, or too much heat.

Signature: a uniform loss of torque, 3 to 20 %, with one exhaust temperature 100 to 300 degF off the pack (practice).
Against references the cylinder's own usual place in the pack is taken off first; alone, it has to leave the spread of
the others. Confirmed by cutting cylinders out one by one, leakdown and compression.

Thresholds: 100 degF off (the trade's lower figure, a quarter off for the sensor's lag), and ``FAR`` spreads of the
other cylinders about their middle. A sensor that never warms is no cylinder. Against references torque has to be
down; a cylinder that was as far off in the references already is told as a warning, for it may be its sensor.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from fairpull.health import saying
from fairpull.health.shapes import level, middle
from fairpull.health.view import View
from fairpull.terms.arrays import FloatArray
from fairpull.terms.findings import Severity
from fairpull.terms.health import Sign, Unseen

KINDS = ("low-cylinder",)
NEEDS = ("exhaust_temperature by cylinder, three or more",)
FEWEST = 3
FAR = 4.0
SENSOR_SHARE = 0.75  # of a difference that a slow sensor shows by the end of a quick sweep
SETTLED = 0.4  # share of the rows that a slow sensor is given to arrive
DEAD = 450.0  # [K]: below this at full load a sensor is dead or out
LEAST_SPREAD = 8.0  # [K], so that a lucky pack of three does not shrink the limit
LOSS = 0.012  # of torque, against references


def look(view: View) -> Sign | Unseen | None:
    """See the module.

    Args:
        view: the pull.

    Returns:
        The sign, what was missing, or None.
    """
    pack = _pack(view)
    if len(pack) < FEWEST:
        return saying.unseen(KINDS[0], "exhaust_temperature by cylinder")
    torque = level(view, "torque")
    down = torque is None or -torque.value > max(LOSS, 1.5 * torque.scatter)
    usual = _usual(view, pack)
    fresh = _off_the_pack(view, pack, usual)
    if fresh is not None and down:
        return _sign(view, fresh, len(pack), Severity.FAULT, "" if torque is None else _lost(torque.value))
    always = _off_the_pack(view, pack, {}) if usual else None
    if always is None:
        return None
    return _sign(view, always, len(pack), Severity.WARNING, ", as in its references: weak since then, or its sensor")


@dataclass(frozen=True, slots=True)
class _Odd:
    number: int
    off: float
    spread: float


def _lost(share: float) -> str:
    return f"; torque is {saying.percent(share)} against the references"


def _sign(view: View, odd: _Odd, cylinders: int, severity: Severity, more: str) -> Sign:
    evidence = (
        f"Cylinder {odd.number} runs {saying.warmer(odd.off)} off the middle of the other {cylinders - 1}, whose "
        f"spread is {odd.spread:.0f} K{' or less' if odd.spread <= LEAST_SPREAD else ''}{more}."
    )
    confirm = f"Cut cylinder {odd.number} out: little drops; then its lead and plug, leakdown, compression, lash."
    return Sign(KINDS[0], severity, float(view.rpm[0]), float(view.rpm[-1]), odd.off, "K", evidence, confirm)


def _off_the_pack(view: View, pack: dict[int, float], usual: dict[int, float]) -> _Odd | None:
    numbers = sorted(pack)
    away = np.array([pack[number] - usual.get(number, 0.0) for number in numbers])
    worst, off, spread = _odd_one(away)
    limit = max(SENSOR_SHARE * view.limits.cold_cylinder, FAR * spread)
    return _Odd(numbers[worst], off, spread) if abs(off) > limit else None


def _pack(view: View) -> dict[int, float]:
    """Exhaust temperature of each cylinder whose sensor lives, late in the pull [K]."""
    late = {number: _late(values) for number, values in view.per_cylinder("exhaust_temperature").items()}
    return {number: value for number, value in late.items() if value > DEAD}


def _late(values: FloatArray) -> float:
    return middle(values[int(SETTLED * values.size) :])


def _usual(view: View, pack: dict[int, float]) -> dict[int, float]:
    """Each cylinder's own place against the middle of the pack, from the references [K]; none without them."""
    packs = [_pack(one) for one in view.references]
    whole = [one for one in packs if set(pack) <= set(one)]
    if not whole:
        return {}
    return {
        number: float(np.mean([one[number] - np.median([one[n] for n in pack]) for one in whole])) for number in pack
    }


def _odd_one(away: FloatArray) -> tuple[int, float, float]:
    """The cylinder farthest from the middle of the others, how far, and how far the others lie apart."""
    best = (0, 0.0, LEAST_SPREAD)
    for i in range(away.size):
        others = np.delete(away, i)
        off = float(away[i] - np.median(others))
        spread = max(float(1.4826 * np.median(np.abs(others - np.median(others)))), LEAST_SPREAD)
        if abs(off) > abs(best[1]):
            best = (i, off, spread)
    return best
