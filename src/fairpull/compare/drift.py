"""How much of each pull the model puts down to drift."""

from __future__ import annotations

import numpy as np

from fairpull.compare.posterior import Cells, Frame
from fairpull.terms.arrays import FloatArray


def expected_drift(frame: Frame, cells: Cells) -> FloatArray:
    """Level of drift of each pull against the day's mean, under the likeliest candidate.

    Args:
        frame: whitened data.
        cells: posterior.

    Returns:
        Fractions, shape (n,), mean zero.

    Source: best linear unbiased prediction, textbook definition.
    """
    best = int(cells.weight.argmax())
    p, d, wiggle = cells.shape[best], cells.time[best], cells.wiggle[best]
    design, time = frame.design, frame.time[d]
    drift_only = time - frame.level[d] ** 2 * np.eye(len(design))
    level = np.zeros(len(design))
    for axis in range(frame.along.shape[2]):
        data, strength = frame.along[p][:, axis], frame.strength[p, axis]
        covariance = wiggle**2 * np.eye(len(design)) + strength * time
        weighted = np.linalg.solve(covariance, design)
        mean = np.linalg.solve(design.T @ weighted, weighted.T @ data)
        predicted = strength * drift_only @ np.linalg.solve(covariance, data - design @ mean)
        level += frame.back[p][0, axis] * predicted
    drift: FloatArray = level - level.mean()
    return drift
