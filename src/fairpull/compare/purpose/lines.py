"""Duties that need a certain power at each speed: load lines, and the points of published cycles."""

from __future__ import annotations

import numpy as np

from fairpull.compare.bands import interval
from fairpull.compare.purpose.shaft import STEP, ShaftCurve, covered, torque_at, untested
from fairpull.compare.purpose.tally import NAN, Tally, missing, stretch
from fairpull.compare.summaries import power_of
from fairpull.terms.arrays import FloatArray
from fairpull.terms.comparison import Estimate
from fairpull.terms.purpose import Duty

LINE_HOW = "least of available over needed power, minus one, along the load line at the output shaft"
CYCLE_HOW = "least of full-load over needed power, minus one, over the cycle's loaded points"
LOWEST_SHARE = 0.5  # of the rated speed: where a power law without a lower end begins
MET_DRAWS = 600  # enough for the interval of a speed


def power_law(rpm: FloatArray, rated_rpm: float, rated_power: float, exponent: float) -> FloatArray:
    """Power that a load of the propeller kind takes.

    Args:
        rpm: speed, shape (m,) [rpm].
        rated_rpm: speed of the rated point [rpm].
        rated_power: power there [W].
        exponent: 3 for a displacement hull, 2.5 for a planing one, 0 for a constant power [1].

    Returns:
        Power [W], shape (m,).

    Source: common practice (propeller law; the points of 40cfr1042 and 40cfr1045 lie on it).
    """
    power: FloatArray = rated_power * (rpm / rated_rpm) ** exponent
    return power


def line_range(duty: Duty) -> tuple[float, float]:
    """Lowest and highest speed of a load line.

    Args:
        duty: a load line.

    Returns:
        (low, high) [rpm] at the output shaft.

    Source: own definition.
    """
    speeds = [point.rpm for point in duty.points]
    if duty.exponent is None:
        return min(speeds), max(speeds)
    return (min(speeds) if len(speeds) > 1 else LOWEST_SHARE * speeds[0]), speeds[0]


def needed_power(duty: Duty, rpm: FloatArray) -> FloatArray:
    """Power that a load line needs, without its margin.

    Args:
        duty: a load line by points or by exponent.
        rpm: output speeds, shape (m,) [rpm].

    Returns:
        Power [W], shape (m,); straight lines between points.

    Source: own definition.
    """
    if duty.exponent is not None:
        return power_law(rpm, duty.points[0].rpm, duty.points[0].power, duty.exponent)
    points = sorted(duty.points, key=lambda point: point.rpm)
    needed: FloatArray = np.interp(rpm, [point.rpm for point in points], [point.power for point in points])
    return needed


def margin_of(available: FloatArray, needed: FloatArray) -> FloatArray:
    """Power left over, as a fraction of what is needed.

    Args:
        available: full-load power, shape (..., m) [W].
        needed: power of the load, shape (m,), above 0 [W].

    Returns:
        Margin [1], shape (..., m).

    Source: definition.
    """
    return available / needed - 1.0


def widest_met(rpm: FloatArray, spare: FloatArray) -> tuple[float, float]:
    """Ends of the widest stretch over which something is not negative, by straight line between points.

    Args:
        rpm: ascending, shape (m,) [rpm].
        spare: what is left over, shape (m,), any unit; NaN where unknown.

    Returns:
        (low, high) [rpm]; (NaN, NaN) where it is negative throughout.

    Source: own definition.
    """
    fine = np.concatenate([[False], spare >= 0.0, [False]])
    starts = np.flatnonzero(fine[1:] & ~fine[:-1])
    ends = np.flatnonzero(~fine[1:] & fine[:-1]) - 1
    if not len(starts):
        return NAN, NAN
    best = int(np.argmax(rpm[ends] - rpm[starts]))
    first, last = int(starts[best]), int(ends[best])
    return _end(rpm, spare, first, first - 1), _end(rpm, spare, last, last + 1)


def _end(rpm: FloatArray, spare: FloatArray, met: int, beyond: int) -> float:
    """Where it reaches zero between a point that is met and its neighbour that is not; the point itself where the
    neighbour does not exist or is unknown."""
    if not 0 <= beyond < len(rpm) or not np.isfinite(spare[beyond]):
        return float(rpm[met])
    share = spare[met] / (spare[met] - spare[beyond])
    return float(rpm[met] + share * (rpm[beyond] - rpm[met]))


def _grid(low: float, high: float) -> FloatArray:
    steps = max(int(np.ceil((high - low) / STEP)), 1) if high > low else 0
    return np.linspace(low, high, steps + 1)


def _margins(curve: ShaftCurve, rpm: FloatArray, needed: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Margin and its draws, NaN where the pulls say nothing."""
    known = covered(curve, rpm)
    margin, draws = np.full(len(rpm), NAN), np.full((len(curve.draws), len(rpm)), NAN)
    torque, drawn = torque_at(curve, rpm[known])
    margin[known] = margin_of(power_of(torque, rpm[known]), needed[known])
    draws[:, known] = margin_of(power_of(drawn, rpm[known]), needed[known])
    return margin, draws


def line_tally(curve: ShaftCurve, duty: Duty) -> Tally:
    """Least margin along a load line, where it lies, and the range over which the demand is met.

    Args:
        curve: at the output shaft.
        duty: a load line; its ``margin`` must be left over for the demand to count as met.

    Returns:
        The tally [1]; parts are the margins at the declared points, the speed of the least margin and the ends of the
        widest stretch over which the demand is met [rpm].

    Source: own definition.
    """
    low, high = line_range(duty)
    gaps = untested(curve, low, high)
    rpm = _grid(low, high)
    rpm = rpm[needed_power(duty, rpm) > 0]
    words = missing("load line", gaps)
    if not covered(curve, rpm).any():
        return Tally(NAN, None, "1", LINE_HOW, {}, words)
    margin, draws = _margins(curve, rpm, needed_power(duty, rpm))
    parts = _point_margins(curve, duty, [point.rpm for point in duty.points if low <= point.rpm <= high])
    if duty.exponent is not None:
        parts |= _point_margins(curve, duty, [low])
    tight = rpm[np.nanargmin(draws, axis=1)]
    parts["speed of least margin"] = interval(tight, "rpm", LINE_HOW, float(rpm[np.nanargmin(margin)]))
    met = widest_met(rpm, margin - duty.margin)
    if np.isfinite(met[0]):
        rows = draws[:: max(len(draws) // MET_DRAWS, 1)] - duty.margin
        ends = np.array([widest_met(rpm, row) for row in rows])
        for name, one, values in (("met from", met[0], ends[:, 0]), ("met up to", met[1], ends[:, 1])):
            how = f"end of the widest tested stretch with {duty.margin * 100:g} % of power left over"
            parts[name] = interval(values[np.isfinite(values)], "rpm", how, one)
    if gaps:
        return Tally(NAN, None, "1", LINE_HOW, parts, words, met)
    return Tally(float(margin.min()), draws.min(axis=1), "1", LINE_HOW, parts, (), met)


def _point_margins(curve: ShaftCurve, duty: Duty, speeds: list[float]) -> dict[str, Estimate]:
    parts = {}
    for speed in sorted(set(speeds)):
        at = np.array([speed])
        needed = needed_power(duty, at)
        if untested(curve, speed, speed) or needed[0] <= 0:
            continue
        torque, draws = torque_at(curve, at)
        value, spread = margin_of(power_of(torque, at), needed), margin_of(power_of(draws, at), needed)
        how = "available over needed power, minus one"
        parts[f"margin at {stretch(speed, speed)}"] = interval(spread[:, 0], "1", how, float(value[0]))
    return parts


def cycle_tally(curve: ShaftCurve, duty: Duty) -> Tally:
    """Margin of the full-load curve over each loaded point of a cycle, and the least of them.

    Points without load ask for nothing. The cycle's weights belong to fuel and emissions, which a full-load curve knows
    nothing of; they are not used.

    Args:
        curve: at the output shaft.
        duty: a cycle's points with their loads.

    Returns:
        The tally [1].

    Source: own definition over the points of 40cfr1039, 40cfr1042 and 40cfr1045.
    """
    parts: dict[str, Estimate] = {}
    gaps: list[str] = []
    values, rows = [], []
    for number, point in enumerate(duty.points, 1):
        if point.power <= 0.0:
            continue
        at = np.array([point.rpm])
        bare = untested(curve, point.rpm, point.rpm)
        gaps.extend(missing(f"point {number}", bare))
        if bare:
            continue
        torque, draws = torque_at(curve, at)
        needed = np.array([point.power])
        values.append(float(margin_of(power_of(torque, at), needed)[0]))
        rows.append(margin_of(power_of(draws, at), needed)[:, 0])
        name = f"point {number}, {stretch(point.rpm, point.rpm)}"
        parts[name] = interval(rows[-1], "1", "full-load over needed power, minus one", values[-1])
    if gaps:
        return Tally(NAN, None, "1", CYCLE_HOW, parts, tuple(gaps))
    return Tally(min(values), np.min(rows, axis=0), "1", CYCLE_HOW, parts)
