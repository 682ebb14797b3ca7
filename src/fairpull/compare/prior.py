"""What is believed about noise on an engine brake before any repeat was made.

The noise model is a value handed in: another shop, or a book with years of repeats, hands in another one.
All scatters are standard deviations of log torque, that is fractions of torque.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from fairpull.terms.arrays import FloatArray


@dataclass(frozen=True, slots=True)
class NoisePrior:
    """Prior of the noise model.

    The defaults are trade figures (common practice, no source): pull-to-pull scatter of a good brake 0.3 to 0.5 %,
    excellent 0.2 %, poor over 1 %; drift 0.3 to 1.5 % over a day; day to day 1 to 1.5 %.

    Attributes:
        scatter: (low, high) of the pull-to-pull standard deviation [fraction]; every scatter between is held equally
            likely on a log scale, so that two repeats on a poor brake are not talked down to a good one.
        scatter_edge: how softly that belief ends beyond low and high, standard deviation of log scatter.
        scatter_dof: degrees of freedom that this belief is worth, for the size of future bands.
        lengths: correlation lengths of the smooth error along rpm [rpm]; each is tried very smooth and rougher.
        level_shares: share of the error variance that moves the whole curve at once.
        zero_shares: share that is one constant torque (zero of the torque cell).
        white_shares: share that is independent from rpm to rpm.
        drifts, drift_weights: drift after one hour [fraction], and how likely each is held.
        days, day_weights: between-day standard deviation [fraction], used where pulls lie on different days.
        trust: how far the wiggle of the repeats is believed (exponent on its likelihood): a real error is never quite
            of the assumed family, and taken at its word a very smooth one would look far better known than it is.
        slope_share: how much a drift may differ from one end of the band to the other, relative to its level.
    """

    scatter: tuple[float, float] = (0.002, 0.011)
    scatter_edge: float = 0.35
    scatter_dof: float = 2.0
    lengths: tuple[float, ...] = (80.0, 200.0, 400.0, 800.0, 1600.0)
    level_shares: tuple[float, ...] = (0.1, 0.45, 0.8)
    zero_shares: tuple[float, ...] = (0.02, 0.15)
    white_shares: tuple[float, ...] = (0.00002, 0.002, 0.1)
    drifts: tuple[float, ...] = (0.0004, 0.0015, 0.004, 0.009)
    drift_weights: tuple[float, ...] = (0.20, 0.32, 0.32, 0.16)
    days: tuple[float, ...] = (0.003, 0.008, 0.016)
    day_weights: tuple[float, ...] = (0.25, 0.5, 0.25)
    slope_share: float = 0.35
    trust: float = 0.5
    few: float = 0.45

    def typical(self) -> float:
        """Scatter in the middle of the belief [fraction]."""
        return math.sqrt(self.scatter[0] * self.scatter[1])

    def blurred(self, curve_se: float) -> NoisePrior:
        """The same belief for curves that are themselves uncertain by ``curve_se`` [fraction]."""
        low, high = (math.hypot(value, curve_se) for value in self.scatter)
        return replace(self, scatter=(low, high))

    def widening(self, repeats: int) -> float:
        """Factor on the width of everything drawn, for this many repeats (pulls less builds)."""
        return 1.0 + self.few / (1.0 + repeats) if repeats else 1.0

    def log_density(self, scatter: FloatArray) -> FloatArray:
        """Log density of scatters [fraction], up to a constant, per unit of log scatter."""
        low, high = np.log(self.scatter)
        log = np.log(scatter)
        outside = np.maximum(np.maximum(low - log, log - high), 0.0)
        density: FloatArray = -0.5 * (outside / self.scatter_edge) ** 2
        return density


DEFAULT_PRIOR = NoisePrior()

DEFAULT_GAP = 900.0
"""Seconds between pulls where no clock was stamped: 15 minutes, common practice."""
