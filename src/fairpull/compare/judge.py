"""One air, all builds: noise learned, differences drawn, bands laid."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from fairpull.compare.bands import Band, simultaneous
from fairpull.compare.layout import Layout
from fairpull.compare.posterior import Cells, Draws, Frame, build_frame, draw, weigh
from fairpull.compare.prior import NoisePrior
from fairpull.compare.uneven import local_widening
from fairpull.terms.arrays import BoolArray, FloatArray

DRAWS = 2400


@dataclass(frozen=True, slots=True)
class Judged:
    """All builds judged in one air.

    Attributes:
        log_torque: log of corrected torque, shape (n, g).
        frame, cells, draws: the posterior.
        differences: draws of log torque against the reference, shape (s, k - 1, g).
        bands: one for each build but the reference.
        belief: noise prior, widened by the curves' own standard error.
    """

    log_torque: FloatArray
    frame: Frame
    cells: Cells
    draws: Draws
    differences: FloatArray
    bands: tuple[Band, ...]
    belief: NoisePrior


def judge(
    layout: Layout,
    factors: FloatArray,
    inside: BoolArray,
    prior: NoisePrior,
    alpha: float,
    seed: int,
    size: int = DRAWS,
) -> Judged:
    """Judge all builds against the first in one air.

    Args:
        layout: pulls on common nodes.
        factors: correction factor of each pull, shape (n,).
        inside: nodes of interest, shape (g,).
        prior: noise prior; its scatter is widened by the curves' own standard error.
        alpha: error probability of the simultaneous bands.
        seed: of the draws.
        size: number of draws.

    Returns:
        What the pulls say in this air.

    Source: own derivation, see posterior.py.
    """
    log_torque = layout.log_torque + np.log(factors)[:, None]
    belief = prior.blurred(layout.curve_se)
    frame = build_frame(layout, log_torque, prior)
    cells = weigh(frame, belief)
    widening = prior.widening(len(layout.names) - layout.builds)
    draws = draw(layout, log_torque, frame, cells, size, seed, widening)
    centre = draws.means.mean(axis=0)
    draws.means[:] = centre + local_widening(layout, log_torque, prior.evenness) * (draws.means - centre)
    differences = draws.means[:, 1:] - draws.means[:, :1]
    return Judged(log_torque, frame, cells, draws, differences, simultaneous(differences, inside, alpha), belief)
