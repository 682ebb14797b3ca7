"""Duties that average power or torque: bands with weights, time at rpm, and gears with a shift speed."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import numpy as np

from fairpull.compare.bands import interval
from fairpull.compare.purpose.shaft import ShaftCurve, middles, torque_at, untested
from fairpull.compare.purpose.tally import NAN, Tally, missing, stretch
from fairpull.compare.summaries import power_of
from fairpull.terms.arrays import FloatArray
from fairpull.terms.comparison import Estimate
from fairpull.terms.purpose import Duty

BAND_HOW = "weighted mean of the bands' averages over equal rpm steps at the output shaft"
TIME_HOW = "power at each speed, weighted by the time spent there, at the output shaft"
GEARS_HOW = "mean power from shift recovery to shift, weighted by the time an acceleration spends at each speed"


def _whole(
    rows: Sequence[tuple[float, FloatArray]], weights: Sequence[float], parts: dict[str, Estimate], unit: str, how: str
) -> Tally:
    shares = np.array(weights) / np.sum(weights)
    value = float(np.sum([share * row[0] for share, row in zip(shares, rows, strict=True)]))
    draws = np.sum([share * row[1] for share, row in zip(shares, rows, strict=True)], axis=0)
    return Tally(value, draws, unit, how, parts)


def bands_tally(curve: ShaftCurve, duty: Duty) -> Tally:
    """Weighted mean over the duty's bands of average power, or average torque, over equal rpm steps.

    Args:
        curve: at the output shaft.
        duty: its ``bands``.

    Returns:
        The tally in W or N m; a band that reaches beyond the tested range has no part, and there is no score.

    Source: own definition (common practice of the trade: declared bands and weights).
    """
    unit = "W" if duty.bands[0].quantity == "power" else "N m"
    rows: list[tuple[float, FloatArray]] = []
    parts: dict[str, Estimate] = {}
    gaps: list[str] = []
    for band in duty.bands:
        bare = untested(curve, band.low, band.high)
        gaps.extend(missing(f"band {stretch(band.low, band.high)}", bare))
        if bare:
            continue
        rpm = middles(band.low, band.high)
        torque, draws = torque_at(curve, rpm)
        if band.quantity == "power":
            torque, draws = power_of(torque, rpm), power_of(draws, rpm)
        rows.append((float(torque.mean()), draws.mean(axis=1)))
        how = f"average {band.quantity} over equal rpm steps of the band; weight {band.weight:g}"
        parts[stretch(band.low, band.high)] = interval(rows[-1][1], unit, how, rows[-1][0])
    if gaps:
        return Tally(NAN, None, unit, BAND_HOW, parts, tuple(gaps))
    return _whole(rows, [band.weight for band in duty.bands], parts, unit, BAND_HOW)


def histogram_tally(curve: ShaftCurve, duty: Duty) -> Tally:
    """Mean of full-load power over the time spent at each speed.

    Args:
        curve: at the output shaft.
        duty: its ``points``; a point's weight is its time, in any unit.

    Returns:
        The tally [W].

    Source: own definition, time-weighted mean.
    """
    rows: list[tuple[float, FloatArray]] = []
    parts: dict[str, Estimate] = {}
    gaps: list[str] = []
    for point in duty.points:
        bare = untested(curve, point.rpm, point.rpm)
        gaps.extend(missing("time", bare))
        if bare:
            continue
        rpm = np.array([point.rpm])
        torque, draws = torque_at(curve, rpm)
        rows.append((float(power_of(torque, rpm)[0]), power_of(draws, rpm)[:, 0]))
        how = f"full-load power there; time {point.weight:g}"
        parts[stretch(point.rpm, point.rpm)] = interval(rows[-1][1], "W", how, rows[-1][0])
    if gaps:
        return Tally(NAN, None, "W", TIME_HOW, parts, tuple(gaps))
    return _whole(rows, [point.weight for point in duty.points], parts, "W", TIME_HOW)


def recovery_speed(shift_rpm: float, ratio_now: float, ratio_next: float) -> float:
    """Engine speed right after a shift, road speed unchanged.

    Args:
        shift_rpm: engine speed of the shift [rpm].
        ratio_now: gear ratio before the shift [1].
        ratio_next: gear ratio after it [1].

    Returns:
        Engine speed [rpm].

    Source: common practice (kinematics of a gear change: engine speed is road speed times ratio).
    """
    return shift_rpm * ratio_next / ratio_now


def time_in_gear(rpm: FloatArray, torque: FloatArray, step: float, ratio: float) -> FloatArray:
    """Time that an acceleration of one mass spends over a stretch of engine speed, up to a constant of the vehicle.

    With drag and rolling left out, ``dN/dt`` is in proportion to ``ratio^2 T``, so ``dt`` to ``dN / (ratio^2 T)``.

    Args:
        rpm: middles of equal steps, shape (m,) [rpm].
        torque: there, shape (..., m) [N m].
        step: width of a step [rpm].
        ratio: gear ratio [1].

    Returns:
        Time in own units [rpm/(N m)], shape (...).

    Source: own derivation from Newton's second law.
    """
    time: FloatArray = np.asarray((step / torque).sum(axis=-1) / ratio**2)
    return time


def gears_tally(curve: ShaftCurve, duty: Duty) -> Tally:
    """Mean power between shift recovery and shift speed over all shifts, weighted by time.

    Args:
        curve: at the output shaft; the duty's speeds are engine speeds.
        duty: its ``gears`` and ``shift_rpm``.

    Returns:
        The tally [W]; power over a stretch is the work done there over its time.

    Source: own derivation; recovery speed common practice.
    """
    shift = float(duty.shift_rpm or NAN)
    work, time = 0.0, (0.0, np.zeros(len(curve.draws)))
    parts: dict[str, Estimate] = {}
    gaps: list[str] = []
    for number, (now, after) in enumerate(pairwise(duty.gears), 2):
        low = recovery_speed(shift, now, after)
        name = f"gear {number}, {stretch(low, shift)}"
        bare = untested(curve, low / curve.gear, shift / curve.gear)
        gaps.extend(missing(f"gear {number}", [(a * curve.gear, b * curve.gear) for a, b in bare]))
        if bare:
            continue
        rpm = middles(low / curve.gear, shift / curve.gear)
        step = (shift - low) / curve.gear / len(rpm)
        torque, draws = torque_at(curve, rpm)
        done = float(power_of(np.ones(len(rpm)), rpm).sum() * step / after**2)
        mine, drawn = float(time_in_gear(rpm, torque, step, after)), time_in_gear(rpm, draws, step, after)
        work, time = work + done, (time[0] + mine, time[1] + drawn)
        parts[name] = interval(done / drawn, "W", "work over time between recovery and shift", done / mine)
    if gaps:
        return Tally(NAN, None, "W", GEARS_HOW, parts, tuple(gaps))
    return Tally(work / time[0], work / time[1], "W", GEARS_HOW, parts)
