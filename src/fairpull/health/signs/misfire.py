"""Ignition misfire: charges go in and do not burn, now and then.

Signature: torque scatters at random, worst near the torque peak or under boost and at no resonant speed; air and fuel
stay, so specific air and fuel rise; a lambda sensor reads lean while lambda from flows stays; the cylinder's exhaust
runs cold (practice). Confirmed by another plug and lead, and by a scope.

Thresholds: scatter about the smooth curve, middle of a window 500 rpm wide or wider, over that of the references, or of
the quiet part of the same pull. Sound pulls of one cell reach 1.8 times in one of a hundred, and their scatter leans to
neither side; lost cycles lean downwards (skewness below ``LEANS``). So: ``RAISED`` with the lean, ``WITNESSED`` with
torque or lambda beside it, ``WILD`` without; more of each where no references say how scatter grows along the pull,
but not of the first: there a sound pull does not lean, and a misfire over most of the range has little quiet part.
``COARSE`` scatter without references is enough by itself. A stretch that lost torque without its air is named by one
exhaust that runs cold there (sound pulls: 5 K), by a lambda sensor that leans there against the flows (sound: 0.8 %),
or, where nobody metered the air, by scatter raised there (``ROUGH_THERE``) when the loss is over before the end.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from fairpull.health import saying
from fairpull.health.shapes import level, quietest, scatter_along, skewness, together
from fairpull.health.view import View
from fairpull.terms.arrays import BoolArray, FloatArray
from fairpull.terms.findings import Severity
from fairpull.terms.health import Sign, Unseen

KINDS = ("misfire",)
NEEDS = ("time trace", "better with earlier sound pulls, air and fuel flow, lambda or exhaust temperatures")
RAISED = 1.4
BESIDE = 0.15  # less is enough where what leans has a witness or a stretch of lost torque
FEW = 1.3  # over the root of a window's samples is added
WITNESSED = 1.85
WILD = 2.3
ALONE = 1.3
ALONE_WITNESSED = 2.7
ALONE_WILD = 4.0
LEANS = -0.35
WIDTH = 500.0  # rpm
SHARE = 0.15  # of the range, where that is wider
ENDS = (150.0, 100.0)  # rpm at start and end that the smooth curve follows less well
LEAST = 0.004  # of torque; less is no lost cycle
LEAST_LEANING = 0.0036  # the same where it leans downwards
COARSE = 0.025  # of torque; no sound pull of a cell scatters by half of it
QUIETEST = 0.0012  # of torque: references are not believed to scatter less
LEAN = 0.02  # sensor over flow lambda, against the references
LOSS = 0.008
PATCH = 0.012  # of torque lost in one stretch beyond what the gentlest quarter loses
SMALL = 0.0055  # the same where one exhaust runs cold there
COLD = 8.0  # [K] that one exhaust loses there more than the others, against the references
WARM = 3.0  # [K]; less off than this, and no cylinder missed
ROUGH_THERE = 1.3  # times the references' scatter
SPREAD = 0.014  # of torque lost in a stretch that is rough
TILT = -0.004  # of torque; where three quarters gained more than this, the curve's shape moved
OVER_BY = 400.0  # rpm before the end; what lasts to the end is a restriction's or a belt's
FILLED = 0.75  # of the nodes between its ends
WIDE, DEEP = 1000.0, 0.02  # rpm and of torque: the stretch is the misfire's range, wider than any float
LEAN_THERE = 0.010  # sensor over flow lambda there, beyond what they are apart elsewhere
CONFIRM = "Fit other plugs and leads, look at the ignition with a scope, repeat; find the cylinder that runs cold."


@dataclass(frozen=True, slots=True)
class _Scatter:
    own: float
    times: float
    low: float
    high: float
    skew: float
    against: str


@dataclass(frozen=True, slots=True)
class _Patch:
    there: BoolArray
    at: float
    most: float
    everywhere: float
    scatter: float
    low: float
    high: float
    width: float

    def meets(self, scatter: _Scatter) -> bool:
        """Whether most of the rough stretch lies in this one."""
        return min(self.high, scatter.high) - max(self.low, scatter.low) >= 0.5 * (scatter.high - scatter.low)


def look(view: View) -> Sign | Unseen | None:
    """See the module.

    Args:
        view: the pull.

    Returns:
        The sign, what was missing, or None.
    """
    if view.pull.kind == "steps":
        return saying.unseen(KINDS[0], "a time trace", why="held steps are means: their scatter is gone")
    scatter = _scatter(view)
    if scatter is None:
        return None
    patch = _patch(view)
    named = _named(view, patch, scatter) if patch is not None else None
    if named is not None:
        return named
    witnesses = _witnesses(view)
    leans = scatter.skew < LEANS
    referenced = scatter.against == REFERENCES
    coarse = not referenced and scatter.own >= COARSE
    least = LEAST_LEANING if leans else LEAST
    stretch = patch is not None and patch.meets(scatter)
    witnessed = bool(witnesses) or (leans and stretch and patch is not None and patch.most >= SPREAD)
    if scatter.own < least or not (coarse or scatter.times >= _needed(view, referenced, leans, witnessed)):
        return None
    told = [*(["drops more than it overshoots"] if leans else []), *witnesses]
    evidence = (
        f"Torque scatters by {100.0 * scatter.own:.1f} % about its own line, {scatter.times:.1f} times that of "
        f"{scatter.against}" + (f"; it {'; '.join(told)}." if leans else f"; {'; '.join(told)}." if told else ".")
    )
    low = scatter.low
    if (
        patch is not None
        and stretch
        and patch.most >= DEEP
        and patch.width >= WIDE
        and not _all_warm(view, patch.there)
    ):
        low = min(low, patch.low)
    return Sign(KINDS[0], Severity.FAULT, low, scatter.high, scatter.own, "1", evidence, CONFIRM)


def _needed(view: View, referenced: bool, leans: bool, witnessed: bool) -> float:
    """How many times the usual scatter is called misfire; more where a window holds few samples."""
    rungs = (RAISED, WITNESSED, WILD) if referenced else (ALONE, ALONE_WITNESSED, ALONE_WILD)
    samples = np.count_nonzero(view.rows) * WIDTH / max(float(np.ptp(view.rpm)), WIDTH)
    leaning = rungs[0] - (BESIDE if witnessed else 0.0)
    return (leaning if leans else rungs[1] if witnessed else rungs[2]) + FEW / float(np.sqrt(samples))


REFERENCES, QUIET_PART = "the references", "its quiet part"


def _scatter(view: View) -> _Scatter | None:
    own = scatter_along(view, "torque")
    if own is None:
        return None
    inside = (view.rpm >= view.rpm[0] + ENDS[0]) & (view.rpm <= view.rpm[-1] - ENDS[1])
    held = inside & np.isfinite(own)
    if np.count_nonzero(held) < 4:
        return None
    usual, against = quietest(view, "torque"), REFERENCES
    if usual is None or np.count_nonzero(held & np.isfinite(usual)) * 2 < np.count_nonzero(held):
        usual, against = np.full(own.size, float(np.percentile(own[held], 25))), QUIET_PART
    times = np.where(held, own / np.maximum(usual, QUIETEST), np.nan)
    at, most = _worst_window(view.rpm, times)
    raised = np.isfinite(times) & (times >= 1.0 + 0.4 * (most - 1.0))
    first, last = at, at
    while first > 0 and raised[first - 1]:
        first -= 1
    while last + 1 < raised.size and raised[last + 1]:
        last += 1
    size = float(np.nanmax(own[first : last + 1]))
    return _Scatter(size, most, float(view.rpm[first]), float(view.rpm[last]), _lean(view), against)


def _worst_window(rpm: FloatArray, times: FloatArray) -> tuple[int, float]:
    """Middle node and level of the roughest window; the highest node in it stands for its middle."""
    width = max(WIDTH, SHARE * float(np.ptp(rpm)))
    best, level_there = 0, 0.0
    for i in np.flatnonzero(np.isfinite(times)).tolist():
        near = np.abs(rpm - rpm[i]) <= 0.5 * width
        values = times[near & np.isfinite(times)]
        if values.size >= 4 and float(np.median(values)) > level_there:
            best, level_there = i, float(np.median(values))
    near = np.abs(rpm - rpm[best]) <= 0.5 * width
    return int(np.nanargmax(np.where(near, times, np.nan))), level_there


def _lean(view: View) -> float:
    rest, rpm = view.rest("torque"), view.raw("rpm")
    if rest is None or rpm is None:
        return 0.0
    inside = (rpm >= view.rpm[0] + ENDS[0]) & (rpm <= view.rpm[-1] - ENDS[1]) & np.isfinite(rest)
    return skewness(rest[inside])


def _patch(view: View) -> _Patch | None:
    """The stretch that lost most torque beyond what the pull lost elsewhere and beyond the air."""
    torque, air = view.ratio("torque"), view.ratio("air_mass_flow")
    if torque is None:
        return None
    lost = -np.log(torque.values) + (np.log(air.values) if air is not None else 0.0)
    inside = np.isfinite(lost) & (view.rpm >= view.rpm[0] + ENDS[0]) & (view.rpm <= view.rpm[-1] - ENDS[1])
    if np.count_nonzero(inside) < 8:
        return None
    everywhere = float(np.percentile(lost[inside], 25))
    beyond = np.where(inside, lost - everywhere, np.nan)
    at, most = _worst_window(view.rpm, beyond)
    there = inside & (np.nan_to_num(beyond) > 0.4 * most)
    if most < max(SMALL, everywhere) or not there.any():  # a loss at all speeds is a low cylinder's
        return None
    rpm = view.rpm[there]
    # Holes are not of it: a float and a wave far below it make no wide stretch.
    width = float(np.ptp(rpm)) if np.count_nonzero(there) * (view.rpm[1] - view.rpm[0]) > FILLED * np.ptp(rpm) else 0.0
    return _Patch(there, float(view.rpm[at]), most, everywhere, torque.scatter, float(rpm[0]), float(rpm[-1]), width)


def _named(view: View, patch: _Patch, scatter: _Scatter) -> Sign | None:
    """A slow cell shows a stretch of lost torque, no single lost cycle; a witness names it."""
    told = _cold_there(view, patch.there)
    if not told and patch.most >= max(PATCH, 2.5 * patch.scatter):
        told = _lean_there(view, patch.there) or _rough_there(view, patch, scatter)
    if not told:
        return None
    metered = " that the air did not lose" if view.has("air_mass_flow") else ""
    evidence = f"Torque loses {100.0 * patch.most:.1f} % about {patch.at:.0f} rpm{metered}; {told}."
    return Sign(KINDS[0], Severity.FAULT, patch.low, patch.high, patch.most, "1", evidence, CONFIRM)


def _rough_there(view: View, patch: _Patch, scatter: _Scatter) -> str:
    """Scatter raised in a stretch that is over before the end, where no meter followed the air; as a clause."""
    if view.has("air_mass_flow") or scatter.against != REFERENCES or not patch.meets(scatter):
        return ""
    loss = patch.most >= SPREAD and patch.everywhere >= TILT and patch.high <= view.rpm[-1] - OVER_BY
    if not loss or scatter.own < LEAST or scatter.times < ROUGH_THERE:
        return ""
    return f"it scatters there {scatter.times:.1f} times as much as {REFERENCES}, and less above"


def _coldest(view: View, there: BoolArray) -> tuple[int, float] | None:
    """The exhaust that lost most in the stretch, and how far it lies off the others [K], against the references."""
    away = {}
    for number in view.per_cylinder("exhaust_temperature"):
        against = view.difference(f"exhaust_temperature_{number}")
        if against is not None:
            away[number] = float(np.nanmedian(against.values[there]))
    if len(away) < 3:
        return None
    number = min(away, key=lambda key: away[key])
    return number, away[number] - float(np.median([value for key, value in away.items() if key != number]))


def _cold_there(view: View, there: BoolArray) -> str:
    """The cylinder whose exhaust runs cold in the stretch, as a clause."""
    found = _coldest(view, there)
    if found is None or found[1] >= -COLD:
        return ""
    return f"exhaust {found[0]} runs {saying.warmer(found[1])} against the others there"


def _all_warm(view: View, there: BoolArray) -> bool:
    """Exhausts were logged, and all burnt as ever."""
    found = _coldest(view, there)
    return found is not None and found[1] > -WARM


def _lean_there(view: View, there: BoolArray) -> str:
    sensor, flow = view.ratio("lambda_sensor"), view.ratio("lambda_flow")
    if sensor is None or flow is None:
        return ""
    apart = sensor.values / flow.values
    if np.count_nonzero(np.isfinite(apart) & ~there) < 3:
        return ""
    off = float(np.nanmedian(apart[there]) - max(np.nanmedian(apart[~there]), 1.0))
    return f"the lambda sensor reads {saying.percent(off)} leaner there than the flows say" if off > LEAN_THERE else ""


def _witnesses(view: View) -> list[str]:
    told = []
    found = together(view)
    if found is not None and -found.torque.value > LOSS and -found.apart > 1.5 * found.apart_scatter:
        told.append(f"torque is {saying.percent(found.torque.value)}, more than the air that went in explains")
    sensor, flow = level(view, "lambda_sensor"), level(view, "lambda_flow")
    if sensor is not None and flow is not None and sensor.value - flow.value > LEAN:
        told.append(f"the lambda sensor reads {saying.percent(sensor.value - flow.value)} leaner than the flows say")
    return told
