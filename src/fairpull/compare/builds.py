"""Each build by itself: mean curve on its own tested range, peaks and averages."""

from __future__ import annotations

import numpy as np

from fairpull.compare.bands import interval
from fairpull.compare.judge import Judged
from fairpull.compare.layout import Layout
from fairpull.compare.posterior import pull_noise
from fairpull.compare.shapes import drift_factors
from fairpull.compare.summaries import peak, power_of
from fairpull.terms.arrays import FloatArray
from fairpull.terms.comparison import Group

BAND_HOW = "mean over equal rpm steps of the band; interval from draws of the noise model"


def describe_build(
    layout: Layout, judged: Judged, factors: FloatArray, index: int, band: tuple[float, float], seed: int
) -> Group:
    """One build's mean curve with its band, its peaks and its averages.

    Args:
        layout: pulls.
        judged: the posterior in the chosen air.
        factors: correction factor of each pull, shape (n,).
        index: which build.
        band: (low, high) rpm of the averages.
        seed: of the draws.

    Returns:
        The group record.

    Source: own definition.
    """
    mine = np.flatnonzero(layout.build == index)
    curves = tuple(layout.curves[i] for i in mine)
    rpm, torque = _own_range(layout, mine, factors)
    draws = _curve_draws(layout, judged, index, rpm, torque, len(mine), seed)
    centre, spread = draws.mean(axis=0), draws.std(axis=0)
    reach = float(np.quantile((np.abs(draws - centre) / spread).max(axis=1), 0.95))
    curve_draws = np.exp(draws)
    power_draws = power_of(curve_draws, rpm)
    torque_peak = peak(rpm, torque, curve_draws, "N m")
    power_peak = peak(rpm, power_of(torque, rpm), power_draws, "W")
    inside = (rpm >= band[0]) & (rpm <= band[1])
    area = np.asarray(np.trapezoid(power_draws[:, inside], rpm[inside], axis=1))
    return Group(
        name=layout.build_names[index],
        curves=curves,
        factors=factors[mine],
        rpm=rpm,
        torque=torque,
        torque_low=np.exp(np.log(torque) - reach * spread),
        torque_high=np.exp(np.log(torque) + reach * spread),
        tested=(float(rpm[0]), float(rpm[-1])),
        peak_torque=torque_peak.height,
        peak_torque_rpm=torque_peak.rpm,
        peak_power=power_peak.height,
        peak_power_rpm=power_peak.rpm,
        mean_torque=interval(curve_draws[:, inside].mean(axis=1), "N m", BAND_HOW, float(torque[inside].mean())),
        mean_power=interval(
            power_draws[:, inside].mean(axis=1), "W", BAND_HOW, float(power_of(torque, rpm)[inside].mean())
        ),
        power_area=interval(
            area,
            "W rpm",
            "area under power over the band, trapezium rule; interval from draws of the noise model",
            float(np.trapezoid(power_of(torque, rpm)[inside], rpm[inside])),
        ),
    )


def _own_range(layout: Layout, mine: np.ndarray, factors: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Nodes that all pulls of this build cover, and the geometric mean of their corrected torque there."""
    first = layout.curves[mine[0]].rpm
    shared = [r for r in first if all(_has(layout, i, r) for i in mine)]
    rpm = np.array(shared)
    rows = []
    for i in mine:
        curve = layout.curves[i]
        rows.append(np.log(curve.torque[np.searchsorted(curve.rpm, rpm)] * factors[i]))
    return rpm, np.exp(np.mean(rows, axis=0))


def _has(layout: Layout, pull: int, rpm: float) -> bool:
    curve = layout.curves[pull]
    i = int(np.searchsorted(curve.rpm, rpm))
    return i < len(curve.rpm) and curve.rpm[i] == rpm and bool(np.isfinite(curve.torque[i])) and curve.torque[i] > 0


def _curve_draws(
    layout: Layout, judged: Judged, index: int, rpm: FloatArray, torque: FloatArray, pulls: int, seed: int
) -> FloatArray:
    """Possible mean curves about the plain mean, log torque, shape (s, g): pull noise plus what drift leaves open."""
    if np.array_equal(rpm, layout.rpm):
        means = judged.draws.means[:, index]
        shown: FloatArray = np.log(torque) + means - means.mean(axis=0)
        return shown
    noise = pull_noise(rpm, torque, judged.frame, judged.cells, judged.draws.cell, (), seed + 2 + index)
    noise *= judged.belief.widening(len(layout.names) - layout.builds) / np.sqrt(pulls)
    moves = judged.draws.moves[:, index] - judged.draws.moves[:, index].mean(axis=0)
    drift: FloatArray = moves @ drift_factors(rpm, layout.rpm, judged.frame.slope_share).T
    curves: FloatArray = np.log(torque) + noise + drift
    return curves
