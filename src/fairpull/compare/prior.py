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
            likely on a log scale, so that two repeats on a poor brake are not talked down to a good one. Any share of
            its variance is as likely as another to move the whole curve at once instead of making it wiggle.
        scatter_edge: how softly that belief ends beyond low and high, standard deviation of log scatter.
        scatter_dof: degrees of freedom that this belief is worth, for the size of future bands.
        lengths: correlation lengths of the wiggle along rpm [rpm]; each is tried very smooth and rougher.
        levels: standard deviations tried for the part that moves the whole curve at once [fraction], equal log steps.
        zero_share: share of the wiggle's variance that is one constant torque (zero of the torque cell).
        white_shares: share of it that is independent from rpm to rpm.
        drifts, drift_weights: drift after one hour [fraction], and how likely each is held.
        jumps, jump_weights: standard deviation of a jump at each change of build [fraction]: parts off and on, cooled
            down and warmed up again; common practice knows it, no source gives its size.
        days, day_weights: between-day standard deviation [fraction], used where pulls lie on different days.
        trust: how far the wiggle of the repeats is believed (exponent on its likelihood): a real error is never quite
            of the assumed family, and taken at its word a very smooth one would look far better known than it is.
        evenness: degrees of freedom that the belief in one scatter at every rpm is worth; where repeats scatter more at
            some rpm than at others, bands widen there (never narrow).
        slope_share: how much a drift may differ from one end of the band to the other, relative to its level.
    """

    scatter: tuple[float, float] = (0.002, 0.011)
    scatter_edge: float = 0.35
    scatter_dof: float = 2.0
    lengths: tuple[float, ...] = (100.0, 250.0, 600.0, 1500.0)
    levels: tuple[float, ...] = (0.0006, 0.001, 0.0016, 0.0025, 0.004, 0.0063, 0.01, 0.016)
    zero_share: float = 0.08
    white_shares: tuple[float, ...] = (0.00002, 0.002, 0.1)
    drifts: tuple[float, ...] = (0.0004, 0.0015, 0.005)
    drift_weights: tuple[float, ...] = (0.45, 0.45, 0.10)
    jumps: tuple[float, ...] = (0.0003, 0.0015, 0.004, 0.010)
    jump_weights: tuple[float, ...] = (0.52, 0.28, 0.12, 0.08)
    days: tuple[float, ...] = (0.004, 0.011)
    day_weights: tuple[float, ...] = (0.4, 0.6)
    slope_share: float = 0.35
    trust: float = 0.5
    few: float = 0.30
    evenness: float = 6.0

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

    def log_density(self, wiggle: FloatArray, level: FloatArray) -> FloatArray:
        """Log density of wiggle and level [fraction], up to a constant, per unit of either's logarithm.

        The total is flat on a log scale between low and high; its split is uniform, which in these coordinates brings
        the factor ``share (1 - share)``.
        """
        low, high = np.log(self.scatter)
        total = wiggle**2 + level**2
        share = level**2 / total
        outside = np.maximum(np.maximum(low - 0.5 * np.log(total), 0.5 * np.log(total) - high), 0.0)
        density: FloatArray = np.log(share * (1.0 - share)) - 0.5 * (outside / self.scatter_edge) ** 2
        return density


DEFAULT_PRIOR = NoisePrior()

DEFAULT_GAP = 900.0
"""Seconds between pulls where no clock was stamped: 15 minutes, common practice."""
