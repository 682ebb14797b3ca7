"""Peak at the end of the tested range: the engine may make more beyond it.

Signature: power still climbs at the last tested speed. What was read is then "at least", not a peak (practice).
Confirmed by a pull that runs further.
"""

from __future__ import annotations

import numpy as np

from fairpull.health.view import View
from fairpull.terms.arrays import FloatArray
from fairpull.terms.findings import Severity
from fairpull.terms.health import Sign, Unseen
from fairpull.terms.units import from_house

KINDS = ("peak-at-end",)
NEEDS = ("rpm", "torque")
END = 0.10  # share of the tested range over which the last climb is read
STANDS_OFF = 2.2  # standard errors of the climb, and the largest power has to be at the end as well
JUMP = 0.01  # of power from the last but one node to the last: the brake letting go, not the engine
LEAST_CLIMB = 0.0015  # of power over that share: less is a flat top, and its peak is told well enough


def look(view: View) -> Sign | Unseen | None:
    """See the module.

    Args:
        view: the pull.

    Returns:
        The sign, or None.
    """
    power = view.corrected("power")
    if power is None or np.count_nonzero(np.isfinite(power)) < 6:
        return None
    held = np.isfinite(power)
    rpm, curve = view.rpm[held], power[held]
    if abs(curve[-1] / curve[-2] - 1.0) > max(JUMP, 5.0 * float(np.median(np.abs(np.diff(curve[-10:]) / curve[-1])))):
        rpm, curve = rpm[:-1], curve[:-1]
    climb, error = _climb(view, rpm, curve)
    top = int(np.argmax(curve))
    last = rpm.size - 1
    near_end = rpm[last] - rpm[top] <= 0.25 * END * float(np.ptp(rpm))
    if not near_end or climb < LEAST_CLIMB or climb < STANDS_OFF * error:
        return None
    best, end = float(curve.max()), float(rpm[last])
    kilowatt, horse = best / 1e3, from_house(best, "hp", "W")
    evidence = (
        f"Power still climbs where the test ended ({100.0 * climb:.1f} % over the last {END * np.ptp(rpm):.0f} rpm): "
        f"at least {kilowatt:.1f} kW ({horse:.0f} hp) at {end:.0f} rpm, the limit of the test."
    )
    confirm = "A pull that runs further would show the peak; until then say 'at least'."
    low = float(end - END * np.ptp(rpm))
    return Sign("peak-at-end", Severity.WARNING, low, end, end, "rpm", evidence, confirm)


def _climb(view: View, rpm: FloatArray, curve: FloatArray) -> tuple[float, float]:
    """Relative climb of a line through the last stretch, and its standard error from the samples' scatter."""
    stretch = END * float(np.ptp(rpm))
    near = rpm >= rpm[-1] - stretch
    if np.count_nonzero(near) < 3:
        near[-3:] = True
    x = rpm[near] - rpm[near].mean()
    slope = float((x * curve[near]).sum() / (x * x).sum())
    span = float(np.ptp(rpm[near]))
    samples = view.raw("rpm")
    within = np.count_nonzero(samples >= rpm[near][0]) if samples is not None else x.size
    noise = view.noise("torque") / float(np.nanmean(view.on_grid("torque")))  # type: ignore[arg-type]
    error = noise * np.sqrt(12.0 / max(0.25 * within, 3.0))  # a fourth of the samples counts: filtered cells repeat
    return slope * span / float(curve.max()), float(error)
