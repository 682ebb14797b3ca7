"""Sweep too fast for what was to be read: the channels lag, and every one by another stretch of speed.

Signature: the ramp is faster than the trade's 100 to 600 rpm/s; against slower references the torque curve lies to
the right of theirs by the ramp times the cell's lag. Confirmed by a sweep at a third of the rate.

Thresholds: 600 rpm/s, the upper end of practice (drag gearing), with a tenth for the ramp's own tolerance; below it a
shift of more than 100 rpm against the references, the width over which a curve is read anyway.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from fairpull.health.shapes import Shift, shift_along_rpm
from fairpull.health.view import View
from fairpull.terms.arrays import FloatArray
from fairpull.terms.findings import Severity
from fairpull.terms.health import Sign, Unseen

KINDS = ("sweep-too-fast",)
NEEDS = ("time or the sweep's rate", "slower references for the size of the lag")
FASTEST = 600.0  # rpm/s
RAMP = 0.05  # a ramp may be this much off its nominal rate
SHIFT = 100.0  # rpm
SURE = 4.0  # standard errors
FARTHEST = 0.45  # of the tested range: the longest lag that is looked for
BETTER = 2.0  # times that a long lag leaves less than none does
FASTER = 1.25  # times the references' rate: else a lag is in both


def look(view: View) -> Sign | Unseen | None:
    """See the module.

    Args:
        view: the pull.

    Returns:
        The sign, or None.
    """
    rate = abs(view.pull.sweep_rate)
    if view.pull.kind == "steps" or rate == 0.0:
        return None
    slower = [one for one in view.references if 0.0 < abs(one.pull.sweep_rate) * FASTER < rate]
    shift = shift_along_rpm(view, "torque", slower) if slower else None
    shift = _long(view, slower, shift)
    lag = shift is not None and shift.rpm > SHIFT and shift.rpm > SURE * shift.error
    if rate <= FASTEST * (1.0 + RAMP) and not lag:
        return None
    evidence = f"The sweep ran at {rate:.0f} rpm/s; practice ends at {FASTEST:.0f} rpm/s."
    size, unit = rate, "rpm"
    if shift is not None and shift.rpm > 0.0 and lag:
        evidence += (
            f" Torque comes {shift.rpm:.0f} rpm later than in slower pulls at "
            f"{np.mean([abs(one.pull.sweep_rate) for one in slower]):.0f} rpm/s."
        )
        size = shift.rpm
    confirm = "Sweep again at a third of the rate; what moves along speed was lag."
    low, high = float(view.rpm[0]), float(view.rpm[-1])
    return Sign("sweep-too-fast", Severity.WARNING, low, high, size, unit, evidence, confirm)


def _long(view: View, slower: Sequence[View], short: Shift | None) -> Shift | None:
    """A lag too long for the slope of the curve to tell: the references moved along speed until they fit best."""
    own = view.corrected("torque")
    tables = [laid for one in slower if (laid := one.corrected("torque")) is not None]
    if own is None or not tables:
        return short
    with np.errstate(invalid="ignore", divide="ignore"):
        curve, usual = np.log(own), np.log(np.mean(tables, axis=0))
    held = np.isfinite(curve) & np.isfinite(usual)
    if np.count_nonzero(held) < 12:
        return short
    rpm, curve, usual = view.rpm[held], curve[held], usual[held]
    moves = np.arange(0.0, FARTHEST * float(np.ptp(rpm)), SHIFT / 2.0)
    rest = np.array([_rest(rpm, curve, usual, move) for move in moves])
    best = int(np.argmin(rest))
    if moves[best] <= 2.0 * SHIFT or rest[0] < BETTER * rest[best]:
        return short
    return Shift(float(moves[best]), SHIFT / 2.0)


def _rest(rpm: FloatArray, curve: FloatArray, usual: FloatArray, move: float) -> float:
    """Scatter that is left with the references moved up by ``move`` rpm, their level free."""
    inside = rpm - move >= rpm[0]
    away = curve[inside] - np.interp(rpm[inside] - move, rpm, usual)
    return float(np.std(away))
