"""What spark and mixture loops have in common: estimates out of draws, the curve with its band, beyond the points."""

from __future__ import annotations

import numpy as np

from fairpull.terms.arrays import FloatArray
from fairpull.terms.comparison import Estimate
from fairpull.terms.findings import Finding, Severity
from fairpull.terms.tuning import LoopPoints
from fairpull.tune.parabola import Tops

GRID = 61
BEYOND = 0.5  # share of draws beyond the last point from which the top is said to lie there
WORTH = 0.001  # torque that not knowing the top may still cost, fraction; below it no point is worth a pull
ONE_PERCENT = 0.01


def estimate(draws: FloatArray, unit: str, how: str) -> Estimate:
    """Median and 95 % interval of draws, shape (s,).

    Args:
        draws: shape (s,), [unit].
        unit: house unit.
        how: how the number was made.

    Returns:
        The estimate.

    Source: definition.
    """
    low, middle, high = (float(one) for one in np.quantile(draws, (0.025, 0.5, 0.975)))
    return Estimate(middle, low, high, unit, how)


def usable(points: LoopPoints) -> LoopPoints:
    """Points with setting and torque, in rising setting.

    Args:
        points: as collected.

    Returns:
        The same without gaps.

    Source: definition.
    """
    known = np.flatnonzero(np.isfinite(points.setting) & np.isfinite(points.torque) & (points.torque > 0))
    order = known[np.argsort(points.setting[known], kind="stable")]
    pulls = tuple(points.pull[i] for i in order) if points.pull else ()
    return LoopPoints(points.rpm, points.setting[order], points.torque[order], points.knock[order], pulls)


def fitted(tops: Tops, points: LoopPoints) -> tuple[FloatArray, FloatArray, FloatArray, FloatArray]:
    """The loop's curve with its pointwise 95 % band over the points and a little beyond.

    Args:
        tops: draws.
        points: that went in.

    Returns:
        Settings, torque, low, high, each of shape (m,).

    Source: own definition.
    """
    low, high = float(points.setting.min()), float(points.setting.max())
    more = 0.15 * (high - low)
    setting = np.linspace(low - more, high + more, GRID)
    torque = tops.torque(setting)
    bottom, middle, top = np.quantile(torque, (0.025, 0.5, 0.975), axis=0)
    return setting, middle, bottom, top


def beyond(tops: Tops, points: LoopPoints) -> int:
    """+1 where the top lies above the points, -1 below, 0 among them.

    Args:
        tops: draws.
        points: that went in.

    Returns:
        The side.

    Source: own definition.
    """
    if float((tops.place > points.setting.max()).mean()) > BEYOND:
        return 1
    return -1 if float((tops.place < points.setting.min()).mean()) > BEYOND else 0


def regret(tops: Tops) -> float:
    """Torque that is expected to be lost by running at the best guess of the top, fraction.

    Args:
        tops: draws.

    Returns:
        Mean over the draws of ``c (x - x0)^2`` at the median place.

    Source: definition.
    """
    return float((tops.curvature * (tops.place - np.median(tops.place)) ** 2).mean())


def different(setting: FloatArray, apart: float) -> int:
    """How many different settings were run: logged values scatter a little about each.

    Args:
        setting: of the points, shape (n,), any unit.
        apart: settings closer than this are one, same unit.

    Returns:
        The number of settings.

    Source: own definition.
    """
    return 0 if setting.size == 0 else 1 + int((np.diff(np.sort(setting)) > apart).sum())


def too_few(points: LoopPoints, what: str, apart: float) -> tuple[Finding, ...]:
    """A finding where a loop cannot be drawn, or rests on belief more than on points.

    Args:
        points: usable ones.
        what: "spark" or "mixture".
        apart: as for ``different`` [unit of the setting].

    Returns:
        Findings.

    Source: practice.
    """
    count = different(points.setting, apart)
    if count >= 3:
        return ()
    where = f"{what} loop at {points.rpm:.0f} rpm"
    severity = Severity.WARNING if count == 2 else Severity.FAULT
    text = f"{count} different setting{'s' if count != 1 else ''}: the curvature is the trade's, not measured."
    return (Finding("loop-few-points", severity, where, text, "Run at least three settings, five for a good loop."),)
