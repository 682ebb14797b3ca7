"""What is believed about noise on an engine brake before any repeat was made.

The noise model is a value handed in: another shop, or a book with years of repeats, hands in another one.
All scatters are standard deviations of log torque, that is fractions of torque.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class NoisePrior:
    """Prior of the noise model, as grids with weights.

    The defaults are trade figures (common practice, no source): pull-to-pull scatter of a good brake 0.3 to 0.5 %,
    excellent 0.2 %, poor over 1 %; drift 0.3 to 1.5 % over a day; day to day 1 to 1.5 %.

    Attributes:
        scatter: pull-to-pull standard deviation [fraction]; ``scatter_dof`` says how firmly it is believed: the scatter
            is a scaled inverse chi-square variable, so with 4 degrees of freedom its 5 to 95 % range is 0.29 to 1.07 %
            about a median of 0.49 % for a scale of 0.45 %.
        lengths: correlation lengths of the smooth error along rpm [rpm]; each is tried very smooth and rougher.
        level_shares: share of the error variance that moves the whole curve at once.
        zero_shares: share that is one constant torque (zero of the torque cell).
        white_shares: share that is independent from rpm to rpm.
        drifts, drift_weights: drift after one hour [fraction], and how likely each is held.
        days, day_weights: between-day standard deviation [fraction], used where pulls lie on different days.
        slope_share: how much a drift may differ from one end of the band to the other, relative to its level.
    """

    scatter: float = 0.0045
    scatter_dof: float = 4.0
    lengths: tuple[float, ...] = (80.0, 200.0, 400.0, 800.0, 1600.0)
    level_shares: tuple[float, ...] = (0.1, 0.45, 0.8)
    zero_shares: tuple[float, ...] = (0.02, 0.15)
    white_shares: tuple[float, ...] = (0.003, 0.1)
    drifts: tuple[float, ...] = (0.0004, 0.0015, 0.004, 0.009)
    drift_weights: tuple[float, ...] = (0.30, 0.35, 0.25, 0.10)
    days: tuple[float, ...] = (0.003, 0.008, 0.016)
    day_weights: tuple[float, ...] = (0.25, 0.5, 0.25)
    slope_share: float = 0.35


DEFAULT_PRIOR = NoisePrior()

DEFAULT_GAP = 900.0
"""Seconds between pulls where no clock was stamped: 15 minutes, common practice."""
