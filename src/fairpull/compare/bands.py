"""Bands and intervals from posterior draws."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from fairpull.terms.arrays import BoolArray, FloatArray
from fairpull.terms.comparison import Estimate, Span

POINTWISE = 1.959964  # normal 97.5 % point; draws carry the heavier tails themselves


@dataclass(frozen=True, slots=True)
class Band:
    """A difference in log torque with its bands, each of shape (g,).

    centre, spread: mean and standard deviation of the draws; reach: multiple of spread of the simultaneous band;
    low, high: simultaneous; point_low, point_high: pointwise 95 %.
    """

    centre: FloatArray
    spread: FloatArray
    reach: float
    low: FloatArray
    high: FloatArray
    point_low: FloatArray
    point_high: FloatArray


def simultaneous(draws: FloatArray, inside: BoolArray, alpha: float) -> tuple[Band, ...]:
    """Bands that hold over all nodes of interest, and over all comparisons asked for, at once.

    The half-width is one multiple of the pointwise spread, the (1 - alpha) quantile of the draws' greatest standardised
    distance from the mean.

    Args:
        draws: differences in log torque, shape (s, c, g), c comparisons.
        inside: nodes of interest, shape (g,).
        alpha: error probability over all of them together.

    Returns:
        One band a comparison.

    Source: simultaneous credible band, definition.
    """
    centre, spread = draws.mean(axis=0), draws.std(axis=0)
    distance = np.abs(draws - centre) / spread
    reach = float(np.quantile(distance[:, :, inside].max(axis=(1, 2)), 1.0 - alpha))
    tails = int(0.025 * len(draws)), int(0.975 * len(draws))
    lows, highs = np.partition(draws, tails, axis=0)[list(tails)]
    return tuple(
        Band(c, s, reach, c - reach * s, c + reach * s, low, high)
        for c, s, low, high in zip(centre, spread, lows, highs, strict=True)
    )


def interval(draws: FloatArray, unit: str, how: str, value: float | None = None) -> Estimate:
    """Mean (or a given value) with the central 95 % of the draws.

    Args:
        draws: shape (s,), in ``unit`` (any unit).
        unit: house unit.
        how: how the number was made, one sentence.
        value: shown instead of the draws' mean, same unit.

    Returns:
        The estimate.

    Source: definition.
    """
    low, high = np.quantile(draws, [0.025, 0.975])
    return Estimate(float(draws.mean()) if value is None else value, float(low), float(high), unit, how)


def spans(rpm: FloatArray, band: Band, inside: BoolArray) -> tuple[Span, ...]:
    """Stretches of rpm where the simultaneous band excludes zero.

    Args:
        rpm: nodes, shape (g,).
        band: the difference.
        inside: nodes of interest, shape (g,).

    Returns:
        Spans in ascending rpm; a single node gives a span of no width.

    Source: definition.
    """
    sign = np.where(band.low > 0, 1, np.where(band.high < 0, -1, 0)) * inside
    found: list[Span] = []
    start = 0
    for i in range(1, len(sign) + 1):
        if i == len(sign) or sign[i] != sign[start]:
            if sign[start]:
                found.append(Span(float(rpm[start]), float(rpm[i - 1]), int(sign[start])))
            start = i
    return tuple(found)
