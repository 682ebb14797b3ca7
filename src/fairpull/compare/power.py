"""How many pulls would tell: power of a future test, never computed from the difference seen."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from fairpull.compare.bands import Band
from fairpull.compare.layout import Layout
from fairpull.compare.posterior import Cells, Frame, stratified
from fairpull.compare.prior import DEFAULT_GAP, NoisePrior
from fairpull.compare.shapes import correlations, drift_factors, drift_over_time
from fairpull.terms.arrays import BoolArray, FloatArray

POWER = 0.80
MOST_PULLS = 60
NOISE_CELLS = 48
DRAWS_PER_CELL = 60


@dataclass(frozen=True, slots=True)
class FutureNoise:
    """Noise of a difference between two builds, ready to be scaled to any number of pulls; c candidates, m draws.

    wiggle: unit draws of pull-to-pull wiggle, shape (c, m, g); whole: unit draws of what moves the whole curve, shape
    (c, m, g); whole_sd: its standard deviation along rpm, shape (g,); wiggle_size, level_size: [fraction], shape (c,);
    drift: [fraction after one hour], shape (c,); gap: hours between pulls; prior: noise prior; dof_pull: degrees of
    freedom that one pull adds to what is known of scatter.
    """

    wiggle: FloatArray
    whole: FloatArray
    whole_sd: FloatArray
    wiggle_size: FloatArray
    level_size: FloatArray
    drift: FloatArray
    gap: float
    prior: NoisePrior
    dof_pull: float


def future_noise(layout: Layout, frame: Frame, cells: Cells, inside: BoolArray, prior: NoisePrior) -> FutureNoise:
    """What is known about noise, drawn from the posterior.

    Args:
        layout: pulls in hand.
        frame, cells: the posterior.
        inside: nodes of interest, shape (g,).
        prior: noise prior.

    Returns:
        The noise of future pulls.

    Source: own definition.
    """
    rng = np.random.default_rng(20)
    pick = stratified(cells.weight, NOISE_CELLS)
    rpm = layout.rpm[inside]
    typical = np.exp(layout.log_torque[:, inside].mean(axis=0))
    used, which = np.unique(cells.shape[pick], return_inverse=True)
    matrix = correlations(rpm, typical, [frame.shapes[p] for p in used])
    wiggle = rng.standard_normal((NOISE_CELLS, DRAWS_PER_CELL, len(rpm)))
    wiggle = wiggle @ np.swapaxes(np.linalg.cholesky(matrix), 1, 2)[which]
    factors = drift_factors(rpm, layout.rpm, frame.slope_share)
    freedom = (len(rpm) ** 2 / (matrix**2).sum(axis=(1, 2)))[which]
    wiggly = (cells.wiggle[pick] / cells.scatter[pick]) ** 2
    gaps = np.diff(layout.hours)
    return FutureNoise(
        wiggle=wiggle,
        whole=rng.standard_normal((NOISE_CELLS, DRAWS_PER_CELL, 2)) @ factors.T,
        whole_sd=np.sqrt((factors**2).sum(axis=1)),
        wiggle_size=cells.wiggle[pick],
        level_size=frame.level[cells.time[pick]],
        drift=frame.drift[cells.time[pick]],
        gap=float(np.clip(np.median(gaps), 1.0 / 60.0, 2.0)) if len(gaps) else DEFAULT_GAP / 3600.0,
        prior=prior,
        dof_pull=float(np.mean(wiggly * prior.trust * freedom + (1.0 - wiggly))),
    )


def power_with(noise: FutureNoise, pulls: int, difference: float, alpha: float) -> float:
    """Chance that a day of alternating pulls would say *differs*.

    Args:
        noise: noise of future pulls.
        pulls: pulls a side, taken in turn A B A B.
        difference: true uniform difference [fraction].
        alpha: error probability of the simultaneous band.

    Returns:
        Probability between 0 and 1.

    Source: own derivation; the band's reach is the normal one widened by Student's ratio for the scatter's freedom.
    """
    time = drift_over_time(np.arange(2 * pulls, dtype=np.float64) * noise.gap, np.zeros(2 * pulls, dtype=np.int64))
    weights = np.where(np.arange(2 * pulls) % 2 == 0, -1.0, 1.0) / pulls
    whole = 2.0 / pulls * noise.level_size**2 + noise.drift**2 * float(weights @ time @ weights)
    wiggle = 2.0 / pulls * noise.wiggle_size**2
    spread = np.sqrt(wiggle[:, None] + whole[:, None] * noise.whole_sd**2)
    error = np.sqrt(wiggle)[:, None, None] * noise.wiggle + np.sqrt(whole)[:, None, None] * noise.whole
    error /= spread[:, None, :]
    repeats = 2 * pulls - 2
    reach = float(np.quantile(np.abs(error).max(axis=2), 1.0 - alpha))
    reach *= student_ratio(noise.prior.scatter_dof + repeats * noise.dof_pull) * noise.prior.widening(repeats)
    seen = error + (math.log1p(difference) / spread)[:, None, :]
    return float((np.abs(seen).max(axis=2) > reach).mean())


def student_ratio(dof: float) -> float:
    """Two-sided 95 % point of Student's t over the normal one.

    Args:
        dof: degrees of freedom, 3 or more.

    Returns:
        The ratio; within 0.5 % of the exact one.

    Source: abramowitz-stegun, 26.7.5 (Cornish-Fisher expansion of t).
    """
    z = 1.959964
    first = (z**3 + z) / 4.0
    second = (5 * z**5 + 16 * z**3 + 3 * z) / 96.0
    third = (3 * z**7 + 19 * z**5 + 17 * z**3 - 15 * z) / 384.0
    return 1.0 + (first / dof + second / dof**2 + third / dof**3) / z


def pulls_needed(noise: FutureNoise, smallest: float, alpha: float) -> int | None:
    """Pulls a side that settle a difference of the smallest size worth having at 80 % power.

    Args:
        noise: noise of future pulls.
        smallest: smallest difference worth having [fraction].
        alpha: error probability of the simultaneous band.

    Returns:
        The number, at least 2; None where more than 60 would be needed.

    Source: own derivation.
    """
    low, high = 1, 2
    while power_with(noise, high, smallest, alpha) < POWER:
        if high >= MOST_PULLS:
            return None
        low, high = high, min(2 * high, MOST_PULLS)
    while high - low > 1:
        middle = (low + high) // 2
        if power_with(noise, middle, smallest, alpha) < POWER:
            low = middle
        else:
            high = middle
    return high


def smallest_provable(draws: FloatArray, band: Band, inside: BoolArray) -> float:
    """Smallest uniform difference that the pulls in hand would show at 80 % power.

    Args:
        draws: differences in log torque, shape (s, g).
        band: their band.
        inside: nodes of interest, shape (g,).

    Returns:
        Fraction of torque.

    Source: own derivation: bisection on the draws' spread about their mean.
    """
    wiggle = ((draws - band.centre) / band.spread)[::4, inside]
    spread = band.spread[inside]
    low, high = 0.0, 1.0
    for _ in range(16):
        middle = 0.5 * (low + high)
        shown = (np.abs(wiggle + middle / spread).max(axis=1) > band.reach).mean()
        low, high = (middle, high) if shown < POWER else (low, middle)
    return math.expm1(high)
