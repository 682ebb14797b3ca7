"""How one pull's error runs along rpm: candidate correlation shapes, and how drift runs along the day."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import product

import numpy as np

from fairpull.compare.prior import NoisePrior
from fairpull.terms.arrays import FloatArray, IntArray

STEADY = 0.25  # share of drift that is a steady line after one hour


@dataclass(frozen=True, slots=True)
class Shape:
    """One candidate: how the wiggle of a single pull's error is correlated along rpm.

    length: correlation length [rpm]; rough: Matern 3/2 instead of squared exponential; zero, white: shares of the
    variance that act as one constant torque, or differ freely from rpm to rpm.
    """

    length: float
    rough: bool
    zero: float
    white: float


def matern32(rpm: FloatArray, length: float) -> FloatArray:
    """Matern correlation with smoothness 3/2: continuous, with honest wiggle.

    Args:
        rpm: nodes, shape (g,) [rpm].
        length: correlation length [rpm], above 0.

    Returns:
        Correlation matrix, shape (g, g).

    Source: rasmussen-williams, eq. 4.17.
    """
    scaled = np.sqrt(3.0) * np.abs(rpm[:, None] - rpm[None, :]) / length
    matrix: FloatArray = (1.0 + scaled) * np.exp(-scaled)
    return matrix


def squared_exponential(rpm: FloatArray, length: float) -> FloatArray:
    """Squared-exponential correlation: very smooth.

    Args:
        rpm: nodes, shape (g,) [rpm].
        length: correlation length [rpm], above 0.

    Returns:
        Correlation matrix, shape (g, g).

    Source: rasmussen-williams, eq. 4.9.
    """
    matrix: FloatArray = np.exp(-0.5 * ((rpm[:, None] - rpm[None, :]) / length) ** 2)
    return matrix


def candidate_shapes(prior: NoisePrior) -> tuple[Shape, ...]:
    """Every combination of smoothness, correlation length and shares that the prior allows.

    Args:
        prior: the noise prior.

    Returns:
        The candidates, equally likely beforehand.

    Source: own definition.
    """
    grid = product(prior.lengths, (False, True), (prior.zero_share,), prior.white_shares)
    return tuple(Shape(*row) for row in grid)


def correlations(rpm: FloatArray, torque: FloatArray, shapes: Sequence[Shape]) -> FloatArray:
    """Correlation matrices of candidates on given nodes.

    Args:
        rpm: nodes, shape (g,) [rpm].
        torque: a typical curve, shape (g,) [N m]; gives the zero term its shape 1/T.
        shapes: p candidates.

    Returns:
        Matrices of mean diagonal 1, shape (p, g, g).

    Source: own definition.
    """
    zero = 1.0 / torque
    zeros = np.outer(zero, zero) / np.mean(zero**2)
    eye = np.eye(len(rpm))
    smooth: dict[tuple[float, bool], FloatArray] = {}
    rows = []
    for shape in shapes:
        key = (shape.length, shape.rough)
        if key not in smooth:
            smooth[key] = (matern32 if shape.rough else squared_exponential)(rpm, shape.length)
        rest = 1.0 - shape.zero - shape.white
        rows.append(rest * smooth[key] + shape.zero * zeros + (shape.white + 1e-9) * eye)
    return np.array(rows)


def drift_factors(rpm: FloatArray, span: FloatArray, slope_share: float) -> FloatArray:
    """How a drift acts along rpm: the whole curve, plus a tilt.

    Args:
        rpm: where, shape (g,).
        span: the nodes that set centre and width of the tilt, shape (any,) [rpm].
        slope_share: tilt at either end relative to the level.

    Returns:
        Factor matrix F, shape (g, 2); the drift's covariance along rpm is F F'.

    Source: own definition.
    """
    low, high = float(span.min()), float(span.max())
    tilt = (2.0 * rpm - low - high) / max(high - low, 1.0)
    return np.stack([np.ones_like(rpm), slope_share * tilt], axis=1)


def drift_over_time(hours: FloatArray, day: IntArray) -> FloatArray:
    """Covariance of drift between pulls for a drift of one unit after one hour.

    Part of it is a steady line in time, the rest a random walk, so that steps and turns are expected too; each day
    starts afresh, and the first pull of a day stands at zero (build differences do not depend on that).

    Args:
        hours: running time [h], shape (n,).
        day: index of the day, shape (n,).

    Returns:
        Matrix of shape (n, n).

    Source: own definition; random-walk part rasmussen-williams, eq. B.31 (Wiener process).
    """
    start = np.array([hours[day == d].min() for d in range(int(day.max()) + 1)])
    since = hours - start[day]
    same = day[:, None] == day[None, :]
    walk = np.minimum(since[:, None], since[None, :])
    line = since[:, None] * since[None, :]
    matrix: FloatArray = np.where(same, (1.0 - STEADY) * walk + STEADY * line, 0.0)
    return matrix
