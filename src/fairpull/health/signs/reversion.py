"""Reversion at low rpm: with much overlap, charge and exhaust flow back and the engine sags below its line.

Looked for below 2,500 rpm or in the lower third of the range: a lambda signal that hashes there, from sample to sample
2.5 times as much as above and by at least 0.006, while torque does not scatter (that would be combustion). With it are
told, where they can be seen, a sag of torque and of air, and a sensor that reads leaner than the flows. Against
references that do not have it: torque and air down there by more than 2.5 %, the loss gone by the middle of the range.

Thresholds: 2,500 rpm: practice; 2.5 % is four times the scatter of good pulls; 2.5 times: sound sensors stay within 1.6
at all rates that were tried.

Confirmed by: fog above the carburettor, exhaust opened or lengthened, less overlap; the sensor moved. False lean there
is the sensor's, not the mixture's.
"""

from __future__ import annotations

import numpy as np

from fairpull.health.along import middle, settled, upper
from fairpull.health.view import View
from fairpull.terms.arrays import BoolArray, FloatArray
from fairpull.terms.findings import Severity
from fairpull.terms.health import Sign, Unseen

KINDS = ("reversion",)
NEEDS = ("lambda sampled ten times a second or more", "or torque and air flow with references")
LOW_RPM = 2500.0
LOW_SHARE = 0.33
SAG = 0.025
HASH = 2.5
LEAST_HASH = 0.006  # lambda from sample to sample: below it even a great ratio is small
STEPS = 0.8  # of the rounding step of the log: a rounded signal flickers where it lies between two steps
FEWEST = 25  # samples on each side before a scatter is believed
CONFIRM = "Look for fog above the carburettor; change the exhaust's length or the overlap; lambda reads false there."


def look(view: View) -> Sign | Unseen | None:
    """Look for reversion at low rpm.

    Args:
        view: the pull.

    Returns:
        A warning (sag and hash) or a note (hash alone) over the low range; what is missing; or None.

    Source: practice.
    """
    if view.engine is not None and view.engine.induction.startswith("turbo"):
        return None
    low = _low(view)
    if np.count_nonzero(low) < 3 or np.count_nonzero(~low) < 6:
        return None
    sag, aired = _sag(view, low)
    hashed = _hash(view, low, _lambdas(view))
    if hashed is None and (sag is None or view.ratio("torque") is None):
        return Unseen(KINDS[0], ("lambda", "references"), "neither a lambda signal nor references to tell a sag by")
    sagging = sag is not None and sag > SAG and (aired is None or aired > 0.4 * sag)
    at = view.rpm[low]
    if hashed is not None and hashed[0] > HASH and hashed[1] > LEAST_HASH:
        shaken = _hash(view, low, ["torque"])
        if shaken is not None and shaken[0] > HASH:
            return None  # torque scatters as well: that is combustion, not the sensor's fresh air
        text = (
            f"Lambda hashes {hashed[0]:.1f} times as much below {at[-1]:,.0f} rpm ({hashed[1]:.3f} a sample)"
            f" as above{_told(view, low, sag, aired, sagging)}."
        )
        size = sag if sagging and sag is not None else hashed[0]
        return Sign(KINDS[0], Severity.WARNING, float(at[0]), float(at[-1]), size, "1", text, CONFIRM)
    if sagging and aired is not None and view.ratio("torque") is not None and sag is not None:
        text = f"Torque sags by {sag:.1%} and air by {aired:.1%} below {at[-1]:,.0f} rpm against the earlier pulls."
        return Sign(KINDS[0], Severity.WARNING, float(at[0]), float(at[-1]), sag, "1", text, CONFIRM)
    return None


def _told(view: View, low: BoolArray, sag: float | None, aired: float | None, sagging: bool) -> str:
    told = ""
    if sagging and sag is not None:
        told += f"; torque sags by {sag:.1%} there" + ("" if aired is None else f", air by {aired:.1%}")
    sensor, flow = view.on_grid("lambda_sensor"), view.on_grid("lambda_flow")
    if sensor is not None and flow is not None:
        lean = middle(sensor - flow, low) - middle(sensor - flow, ~low)
        if lean > 0.01:
            told += f"; the sensor reads {lean:.3f} leaner there than the flows: false lean"
    return told


def _low(view: View) -> BoolArray:
    span = float(view.rpm[-1] - view.rpm[0])
    edge = min(LOW_RPM, view.rpm[0] + LOW_SHARE * span)
    return np.asarray(view.rpm <= edge)


def _sag(view: View, low: BoolArray) -> tuple[float | None, float | None]:
    """Loss of torque and of air at low rpm over the loss above it, fractions; None where it cannot be told."""
    torque, air = view.ratio("torque"), view.ratio("air_each_rev")
    if torque is None:
        own, breathed = view.on_grid("torque"), view.on_grid("air_each_rev")
        sag = None if own is None else _below_curve(view.rpm, own, low)
        return sag, None if breathed is None else _below_curve(view.rpm, breathed, low)
    inside = low & settled(view) if np.count_nonzero(low & settled(view)) >= 3 else low
    sag = middle(torque.values, ~low) - middle(torque.values, inside)
    if middle(torque.values, ~low) - middle(torque.values, upper(view)) > 0.5 * sag:
        return 0.0, None  # the loss comes back at the top: not the low range's own
    return sag, None if air is None else middle(air.values, ~low) - middle(air.values, inside)


def _below_curve(rpm: FloatArray, values: FloatArray, low: BoolArray) -> float | None:
    """How far the low range lies below the parabola through the lower half of the rest, fraction."""
    basis = ~low & (rpm <= rpm[0] + 0.7 * (rpm[-1] - rpm[0])) & np.isfinite(values)
    if np.count_nonzero(basis) < 8:
        return None
    centred = rpm - rpm[basis].mean()
    line = np.polyval(np.polyfit(centred[basis], values[basis], 2), centred)
    with np.errstate(invalid="ignore", divide="ignore"):
        return middle(1.0 - values / line, low)


def _lambdas(view: View) -> list[str]:
    names = [f"lambda_{number}" for number in view.per_cylinder("lambda")]
    return names or (["lambda"] if view.has("lambda") else ["lambda_sensor"])


def _hash(view: View, low: BoolArray, names: list[str]) -> tuple[float, float] | None:
    """Change from sample to sample at low rpm over that above, and itself [1]; None where too few samples tell.

    The largest tenth of the changes is left out on both sides: a transient at the start is no hash.
    """
    rpm = view.raw("rpm")
    if view.pull.kind == "steps" or rpm is None:
        return None
    edge = float(view.rpm[low][-1])
    found = []
    for name in names:
        rest, values = view.rest(name), view.raw(name)
        if rest is None or values is None:
            continue
        jumps, at = np.abs(np.diff(rest)), rpm[1:]
        above = _trimmed(jumps[(at > edge) & np.isfinite(jumps)])
        for part in (1.0, 0.5):  # it may fill the lower half of the low range only
            low_edge = view.rpm[0] + part * (edge - view.rpm[0])
            below = _trimmed(jumps[(at <= low_edge) & np.isfinite(jumps)])
            if above > 0.0 and below > STEPS * _resolution(values):
                found.append((below / above, below))
    return max(found) if found else None


def _resolution(values: FloatArray) -> float:
    """Smallest step that a logged channel makes; next to nothing for one that is not rounded."""
    steps = np.abs(np.diff(values))
    steps = steps[steps > 1e-9]
    return float(steps.min()) if steps.size else 0.0


def _trimmed(jumps: FloatArray) -> float:
    """Mean without the largest tenth; 0 with too few."""
    if jumps.size < FEWEST:
        return 0.0
    return float(np.mean(np.sort(jumps)[: int(0.9 * jumps.size)]))
