"""Valve float or spring surge: the valves leave the cam, the charge with them.

Signature: torque dips at one speed in the upper part of the range, 1 to 8 % deep and a few hundred rpm wide, perhaps
recovers 100 to 200 rpm later, and air falls with it (practice). An honest dip of tuning is broader and stands in every
pull of the build; a dip that is narrow stands out from the pull's own line. Confirmed by a stiffer spring, a
stroboscope, a sweep at 100 rpm/s, spring loads.

Thresholds: depth below the line between shoulders 100 to 250 rpm away, ``far`` times the robust scatter of the
same measure over the rest of the pull, and narrow: at half the width more than ``narrow`` of the depth is left (a broad
hump keeps a quarter). Air, where measured, takes at least ``AIR`` of it. Valves that leave the cam send pulses back:
lambda and manifold pressure hash at that speed. Where every one of the two that is logged does, a smaller dip is
believed (``HASHED``) than where they are quiet (``QUIET_THERE``) or not logged (``UNHEARD``).
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from fairpull.health.shapes import dip_depth, hash_about
from fairpull.health.view import View
from fairpull.terms.arrays import FloatArray
from fairpull.terms.findings import Severity
from fairpull.terms.health import Sign, Unseen

KINDS = ("valve-float",)
NEEDS = ("torque along speed", "air_mass_flow to tell it from misfire")
SHOULDERS = (100.0, 150.0, 200.0, 250.0)  # rpm; a float is 100 to 300 rpm wide at any speed
UPPER = 0.5  # share of the tested range below which no valve floats
# Of torque, by shoulder: a wide dip is likelier a wave of this one pull.
LEAST = {100.0: 0.005, 150.0: 0.005, 200.0: 0.0075, 250.0: 0.010}
AIR = 0.4
HASHES = {"lambda_sensor": 8.0, "manifold_pressure": 4.0}  # standard errors; lambda wanders more by itself
BASIS = 800.0  # rpm before the dip that its line is laid through
CLEAR = 150.0  # rpm between that line's last node and the dip's shoulder, where the loss may have begun
BEGUN, BACK = 0.1, 0.3  # of the loss: where the dip has begun, and where it is over
LEAST_GONE = 0.004  # of torque
DEEPEST = 0.25  # of torque: beyond it the line is not to be believed
GUARD = 100.0  # rpm below the onset: what the smooth curve spreads, and a step
QUIET = 0.0005  # of torque: no curve is told better
REACH = 150.0  # rpm, how late an air meter may see it


@dataclass(frozen=True, slots=True)
class _Doubt:
    """What a dip has to show: scatters, share of ``LEAST``, share of the depth left at half the width."""

    far: float
    least: float
    narrow: float


QUIET_THERE = _Doubt(3.5, 1.0, 0.28)
UNHEARD = _Doubt(3.2, 0.9, 0.24)
HASHED = _Doubt(2.2, 0.5, 0.2)


@dataclass(frozen=True, slots=True)
class _Dip:
    at: int
    shoulder: int
    depth: float
    strength: float
    hashed: bool
    of_own: bool = True


def look(view: View) -> Sign | Unseen | None:
    """See the module.

    Args:
        view: the pull.

    Returns:
        The sign, or None.
    """
    floor = _floor(view)
    curves = _curves(view, "torque")
    dips = [
        replace(dip, of_own=curve is curves[0]) for curve in curves if (dip := _deepest(view, curve, floor)) is not None
    ]
    dip = max(dips, key=lambda one: one.strength, default=None)
    if dip is None or not _air_shares(view, dip):
        return None
    reach = _reach(view.rpm, curves[0] if dip.of_own else curves[1], dip)
    middle = float(view.rpm[dip.at])
    air = " and air falls with it" if view.has("air_mass_flow") else ""
    hashes = " Lambda or manifold pressure hashes there." if dip.hashed else ""
    back = (
        f"It is back on the line at {reach.high:.0f} rpm." if reach.recovers else "It does not come back to the line."
    )
    evidence = (
        f"Torque leaves its own line at {reach.low:.0f} rpm and lies {100.0 * reach.loss:.1f} % below it about "
        f"{middle:.0f} rpm{air}.{hashes} {back}"
    )
    confirm = "Check spring loads, sweep again at 100 rpm/s past this speed with a stroboscope, or fit stiffer springs."
    return Sign(
        KINDS[0],
        Severity.FAULT,
        reach.low,
        reach.high,
        -reach.loss,
        "1",
        evidence,
        confirm,
        counts_to=max(reach.low - GUARD, float(view.rpm[0])),
    )


@dataclass(frozen=True, slots=True)
class _Reach:
    low: float
    high: float
    loss: float
    recovers: bool


def _reach(rpm: FloatArray, curve: FloatArray, dip: _Dip) -> _Reach:
    """From where to where the curve lies below the line of the speeds before the dip, and how far."""
    before = max(dip.at - dip.shoulder - max(1, round(CLEAR / float(rpm[1] - rpm[0]))), 0)
    basis = np.isfinite(curve) & (rpm <= rpm[before]) & (rpm >= rpm[before] - BASIS)
    below = np.full(rpm.size, np.nan)
    if np.count_nonzero(basis) >= 6:
        x = (rpm - rpm[before]) / BASIS
        below = np.polyval(np.polyfit(x[basis], curve[basis], 2), x) - curve
    loss = float(below[dip.at]) if np.isfinite(below[dip.at]) else dip.depth
    if not dip.depth < loss < DEEPEST:  # the line does not carry: keep to what the dip itself says
        last = min(dip.at + dip.shoulder, rpm.size - 1)
        return _Reach(float(rpm[max(dip.at - dip.shoulder, 0)]), float(rpm[last]), dip.depth, True)
    gone = below > max(BEGUN * loss, LEAST_GONE)
    first = dip.at
    while first > 0 and gone[first - 1]:
        first -= 1
    back = np.flatnonzero(below[dip.at :] < BACK * loss)
    last = dip.at + int(back[0]) if back.size else rpm.size - 1
    return _Reach(float(rpm[first]), float(rpm[last]), loss, bool(back.size))


def _curves(view: View, channel: str) -> list[FloatArray]:
    """The logarithm along speed, and that of the ratio to the references where there are any."""
    own, against = view.on_grid(channel), view.ratio(channel)
    with np.errstate(invalid="ignore", divide="ignore"):
        curves = [] if own is None else [np.log(own)]
        if against is not None:
            curves.append(np.log(against.values))
    return curves


def _doubt(view: View, at: float) -> _Doubt:
    heard = {name: found for name in HASHES if (found := hash_about(view, name, at)) is not None}
    if not heard:
        return UNHEARD
    return HASHED if all(found > HASHES[name] for name, found in heard.items()) else QUIET_THERE


def _deepest(view: View, curve: FloatArray, floor: float) -> _Dip | None:
    rpm = view.rpm
    step = float(rpm[1] - rpm[0])
    low = rpm[0] + UPPER * (rpm[-1] - rpm[0])
    best: _Dip | None = None
    for span in SHOULDERS:
        k = max(2, round(span / step))
        depth = dip_depth(curve, k)
        held = np.isfinite(depth)
        if np.count_nonzero(held) < 8:
            continue
        noise = max(float(1.4826 * np.median(np.abs(depth[held]))), floor)
        at = int(np.argmax(np.where(held & (rpm >= low), depth, -np.inf)))
        if not depth[at] > min(HASHED.far * noise, HASHED.least * LEAST[span]):
            continue
        doubt = _doubt(view, float(rpm[at]))
        strength = depth[at] / max(doubt.far * noise, doubt.least * LEAST[span])
        if strength > 1.0 and _narrow(curve, at, k, doubt.narrow):
            found = _Dip(at, k, float(depth[at]), float(strength), doubt is HASHED)
            best = found if best is None or found.strength > best.strength else best
    return best


def _floor(view: View) -> float:
    """What the samples' scatter alone does to the measure: three nodes of the smooth curve, halves and whole."""
    own = view.on_grid("torque")
    if own is None:
        return QUIET
    rows = np.count_nonzero(view.rows)
    inside = max(rows * 75.0 / max(float(np.ptp(view.rpm)), 1.0), 1.0)
    return max(QUIET, 1.2 * view.noise("torque") / float(np.nanmean(own)) / float(np.sqrt(inside)))


def _narrow(curve: FloatArray, at: int, k: int, least: float) -> bool:
    half = dip_depth(curve, max(1, k // 2))[at]
    return bool(half > least * dip_depth(curve, k)[at])


def _air_shares(view: View, dip: _Dip) -> bool:
    if not view.has("air_mass_flow"):
        return True
    step = float(view.rpm[1] - view.rpm[0])
    reach = max(1, round(REACH / step))
    for curve in _curves(view, "air_mass_flow"):
        depth = dip_depth(curve, dip.shoulder)
        near = depth[max(dip.at - 1, 0) : dip.at + reach + 1]
        near = near[np.isfinite(near)]
        if near.size and float(near.max()) > AIR * dip.depth:
            return True
    return False
