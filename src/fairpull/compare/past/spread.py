"""How much true effects differ from one comparison to the next: estimates of the variance between them."""

from __future__ import annotations

from collections.abc import Callable, Mapping

import numpy as np

from fairpull.terms.arrays import FloatArray

STEPS = 100  # halvings: beyond the last digit
GRID = 200


def weighted_mean(sizes: FloatArray, variances: FloatArray, between: float) -> float:
    """Mean of effects, each weighted by the inverse of its whole variance.

    Args:
        sizes: effects, shape (k,), any unit.
        variances: squared standard errors, shape (k,), that unit squared [-].
        between: variance between comparisons, that unit squared [-].

    Returns:
        Mean in the same unit.

    Source: definition (inverse-variance weighting).
    """
    weights = 1.0 / (variances + between)
    return float(np.sum(weights * sizes) / np.sum(weights))


def generalised_q(sizes: FloatArray, variances: FloatArray, between: float) -> float:
    """Weighted sum of squares about the mean; Cochran's Q where ``between`` is 0.

    Args:
        sizes: effects, shape (k,), any unit.
        variances: squared standard errors, shape (k,), that unit squared [-].
        between: variance between comparisons, that unit squared [-].

    Returns:
        Q [1].

    Source: paule-mandel-1982, generalised Q statistic.
    """
    mean = weighted_mean(sizes, variances, between)
    return float(np.sum((sizes - mean) ** 2 / (variances + between)))


def dersimonian_laird(sizes: FloatArray, variances: FloatArray) -> float:
    """Variance between comparisons by the method of moments, in one step.

    Args:
        sizes: effects, shape (k,), any unit.
        variances: squared standard errors, shape (k,), that unit squared [-].

    Returns:
        Variance in that unit squared, 0 or more.

    Source: dersimonian-laird-1986, moment estimate.
    """
    weights = 1.0 / variances
    scale = np.sum(weights) - np.sum(weights**2) / np.sum(weights)
    return max(0.0, float((generalised_q(sizes, variances, 0.0) - (len(sizes) - 1)) / scale))


def paule_mandel(sizes: FloatArray, variances: FloatArray) -> float:
    """Variance between comparisons at which the weighted sum of squares is what chance would make it, k - 1.

    Args:
        sizes: effects, shape (k,), any unit.
        variances: squared standard errors, shape (k,), that unit squared [-].

    Returns:
        Variance in that unit squared, 0 or more.

    Source: paule-mandel-1982; found by halving, since Q falls with the variance.
    """
    wanted = len(sizes) - 1.0
    if generalised_q(sizes, variances, 0.0) <= wanted:
        return 0.0
    low, high = 0.0, _widest(sizes)
    for _ in range(STEPS):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if generalised_q(sizes, variances, middle) > wanted else (low, middle)
    return 0.5 * (low + high)


def restricted_log_likelihood(sizes: FloatArray, variances: FloatArray, between: float) -> float:
    """Restricted log likelihood of the variance between comparisons, up to a constant.

    Args:
        sizes: effects, shape (k,), any unit.
        variances: squared standard errors, shape (k,), that unit squared [-].
        between: variance between comparisons, that unit squared [-].

    Returns:
        Log likelihood [1].

    Source: viechtbauer-2005, restricted likelihood of the random-effects model.
    """
    whole = variances + between
    precision = float(np.sum(np.log(whole)) + np.log(np.sum(1.0 / whole)))
    return -0.5 * (precision + generalised_q(sizes, variances, between))


def restricted_slope(sizes: FloatArray, variances: FloatArray, between: float) -> float:
    """Slope of the restricted log likelihood with the variance between comparisons.

    Args:
        sizes: effects, shape (k,), any unit.
        variances: squared standard errors, shape (k,), that unit squared [-].
        between: variance between comparisons, that unit squared [-].

    Returns:
        Slope, one over that unit squared.

    Source: viechtbauer-2005, derivative of the restricted likelihood.
    """
    weights = 1.0 / (variances + between)
    away = sizes - np.sum(weights * sizes) / np.sum(weights)
    expected = np.sum(weights) - np.sum(weights**2) / np.sum(weights)
    return float(0.5 * (np.sum((weights * away) ** 2) - expected))


def restricted_likelihood(sizes: FloatArray, variances: FloatArray) -> float:
    """Variance between comparisons of greatest restricted likelihood (REML).

    Args:
        sizes: effects, shape (k,), any unit.
        variances: squared standard errors, shape (k,), that unit squared [-].

    Returns:
        Variance in that unit squared, 0 or more.

    Source: viechtbauer-2005; highest of a grid, then the zero of the slope beside it by halving.
    """
    grid = np.concatenate([[0.0], _widest(sizes) * np.geomspace(1e-8, 1.0, GRID)])
    best = int(np.argmax([restricted_log_likelihood(sizes, variances, between) for between in grid]))
    low, high = float(grid[max(best - 1, 0)]), float(grid[min(best + 1, GRID)])
    if restricted_slope(sizes, variances, low) <= 0.0:
        return low
    for _ in range(STEPS):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if restricted_slope(sizes, variances, middle) > 0.0 else (low, middle)
    return 0.5 * (low + high)


def _widest(sizes: FloatArray) -> float:
    """No estimate lies beyond this: the squared range of the effects, times their number."""
    return max(float(np.ptp(sizes)) ** 2 * len(sizes), 1e-300)


BETWEEN: Mapping[str, tuple[str, Callable[[FloatArray, FloatArray], float]]] = {
    "reml": ("restricted maximum likelihood", restricted_likelihood),
    "paule-mandel": ("Paule and Mandel", paule_mandel),
    "dersimonian-laird": ("DerSimonian and Laird", dersimonian_laird),
}
