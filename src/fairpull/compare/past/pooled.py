"""The mean of effects that truly differ, with honest intervals for few of them."""

from __future__ import annotations

import numpy as np

from fairpull.compare.past.spread import generalised_q
from fairpull.terms.arrays import FloatArray

LEVEL = 0.975


def plain_error(variances: FloatArray, between: float) -> float:
    """Standard error of the weighted mean if the variance between comparisons were known.

    Args:
        variances: squared standard errors, shape (k,), any unit squared [-].
        between: variance between comparisons, same unit [-].

    Returns:
        Standard error in that unit's root.

    Source: definition (inverse-variance weighting).
    """
    return float(1.0 / np.sqrt(np.sum(1.0 / (variances + between))))


def hartung_knapp_factor(sizes: FloatArray, variances: FloatArray, between: float) -> float:
    """Factor on the plain standard error that lets the effects' own spread speak; with Student's t, k - 1.

    Args:
        sizes: effects, shape (k,), any unit.
        variances: squared standard errors, shape (k,), that unit squared [-].
        between: variance between comparisons, that unit squared [-].

    Returns:
        Factor [1]; below 1 where effects happen to lie closer together than their errors say.

    Source: hartung-knapp-2001, variance of the weighted mean.
    """
    return float(np.sqrt(generalised_q(sizes, variances, between) / (len(sizes) - 1)))


def t_quantile(degrees: int) -> float:
    """Student's t, 97.5 % point.

    Args:
        degrees: degrees of freedom, 1 or more.

    Returns:
        Quantile [1].

    Source: definition; library routine.
    """
    import scipy.special

    return float(scipy.special.stdtrit(degrees, LEVEL))


def mean_interval(mean: float, error: float, quantile: float) -> tuple[float, float]:
    """Interval of a mean.

    Args:
        mean: any unit.
        error: standard error, same unit.
        quantile: of Student's t or the normal distribution [1].

    Returns:
        (low, high) in the same unit.

    Source: definition.
    """
    return mean - quantile * error, mean + quantile * error


def next_interval(mean: float, error: float, between: float, quantile: float) -> tuple[float, float]:
    """Interval for the true effect of the next comparison of this kind.

    Args:
        mean: any unit.
        error: standard error of the mean, same unit.
        between: variance between comparisons, that unit squared [-].
        quantile: of Student's t or the normal distribution [1].

    Returns:
        (low, high) in the same unit.

    Source: higgins-2009, prediction interval; k - 1 degrees of freedom are taken here, so that two effects have one.
    """
    reach = quantile * float(np.sqrt(between + error**2))
    return mean - reach, mean + reach


def spread_share(variances: FloatArray, between: float) -> float:
    """Share of the effects' spread that is more than noise, I squared.

    Args:
        variances: squared standard errors, shape (k,), any unit squared [-].
        between: variance between comparisons, same unit [-].

    Returns:
        Fraction, 0 to 1.

    Source: higgins-thompson-2002, I squared by the typical sampling variance.
    """
    weights = 1.0 / variances
    typical = (len(weights) - 1) * np.sum(weights) / (np.sum(weights) ** 2 - np.sum(weights**2))
    return float(between / (between + typical))
