"""Possible mean curves of every build over its own tested range, drawn from the verdict's noise model."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from fairpull.compare.judge import DRAWS
from fairpull.compare.layout import Layout
from fairpull.compare.posterior import Cells, Draws, Frame, build_frame, draw, pull_noise, weigh
from fairpull.compare.prior import NoisePrior
from fairpull.compare.shapes import drift_factors
from fairpull.compare.uneven import local_widening
from fairpull.terms.arrays import FloatArray


@dataclass(frozen=True, slots=True)
class DrawnCurve:
    """One build's mean corrected curve at the crankshaft.

    rpm: nodes that all its pulls cover, shape (g,), ascending; torque: [N m], shape (g,); draws: possible curves [N m],
    shape (s, g). Row i of every build drawn together is one and the same possible day.
    """

    name: str
    rpm: FloatArray
    torque: FloatArray
    draws: FloatArray


@dataclass(frozen=True, slots=True)
class _Learned:
    """What one layout taught about noise.

    drift: expected move of each build's plain mean, (level, tilt), shape (k, 2); local: widening at the common nodes,
    shape (g,).
    """

    layout: Layout
    log_torque: FloatArray
    frame: Frame
    cells: Cells
    draws: Draws
    widening: float
    drift: FloatArray
    local: FloatArray


def draw_curves(layout: Layout, factors: Mapping[str, float], prior: NoisePrior, seed: int) -> tuple[DrawnCurve, ...]:
    """Mean curves of all builds of a layout, each over its own range.

    Args:
        layout: pulls in running order.
        factors: pull name -> factor on observed torque [1].
        prior: noise prior.
        seed: the same seed gives the same digits.

    Returns:
        One curve a build, in the layout's order, drift taken out as the verdict does it.

    Source: own definition; noise model of compare/posterior.py.
    """
    scale = np.array([factors[name] for name in layout.names])
    log_torque = layout.log_torque + np.log(scale)[:, None]
    frame = build_frame(layout, log_torque, prior)
    cells = weigh(frame, prior.blurred(layout.curve_se))
    widening = prior.widening(len(layout.names) - layout.builds)
    draws = draw(layout, log_torque, frame, cells, DRAWS, seed, widening)
    still = draw(layout, log_torque, frame, cells, DRAWS, seed, 0.0)  # no width: what is left is the drift expected
    local = local_widening(layout, log_torque, prior.evenness)
    drift = still.moves.mean(axis=0)
    learned = _Learned(layout, log_torque, frame, cells, draws, widening, drift, local)
    return tuple(_one(learned, scale, k, seed) for k in range(layout.builds))


def _one(learned: _Learned, scale: FloatArray, k: int, seed: int) -> DrawnCurve:
    layout, moves = learned.layout, learned.draws.moves[:, k]
    mine = np.flatnonzero(layout.build == k)
    rpm, plain = _own_range(layout, mine, scale)
    tilt = drift_factors(rpm, layout.rpm, learned.frame.slope_share).T
    centre = plain + learned.drift[k] @ tilt
    if np.array_equal(rpm, layout.rpm):
        away = learned.draws.means[:, k]
    else:
        away = pull_noise(rpm, np.exp(plain), learned.frame, learned.cells, learned.draws.cell, (), seed + 2 + k)
        away = away * learned.widening / np.sqrt(len(mine)) + moves @ tilt
    local = np.interp(rpm, layout.rpm, learned.local)
    draws = np.exp(centre + local * (away - away.mean(axis=0)))
    return DrawnCurve(layout.build_names[k], rpm, np.exp(centre), draws)


def _own_range(layout: Layout, mine: np.ndarray, scale: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Nodes that all pulls of this build cover, and the mean of their log corrected torque there."""
    tables = [
        {
            float(r): float(t)
            for r, t in zip(layout.curves[i].rpm, layout.curves[i].torque, strict=True)
            if np.isfinite(t) and t > 0
        }
        for i in mine
    ]
    shared = sorted(set.intersection(*(set(table) for table in tables)))
    rows = [[np.log(table[r] * scale[i]) for r in shared] for i, table in zip(mine, tables, strict=True)]
    return np.array(shared), np.mean(rows, axis=0)


def unpaired(curve: DrawnCurve, seed: int) -> DrawnCurve:
    """The same possible curves in another order, so that chance pairs them with those of another layout.

    Args:
        curve: of a build drawn by itself.
        seed: of the shuffle.

    Returns:
        The curve with its draws shuffled.

    Source: own definition.
    """
    rows = np.random.default_rng(seed).permutation(len(curve.draws))
    return DrawnCurve(curve.name, curve.rpm, curve.torque, curve.draws[rows])
