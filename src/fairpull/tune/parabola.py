"""A loop near its top: torque against a setting is a parabola; all that the points leave open is averaged over.

``T(x) = T0 (1 - c (x - x0)^2) + e``. Place ``x0``, curvature ``c`` and noise ``s`` are tried on a grid, the height
``T0`` is integrated out. What points cannot say about curvature and noise comes from a documented belief, so that two
or three points still give an honest, wide answer.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from fairpull.terms.arrays import FloatArray

PLACES, CURVATURES, NOISES = 181, 31, 13
REACH = 1.5  # the top is looked for this many widths of the points beyond them, at least
NOTHING = 1e-6  # of the largest weight
DRAWS = 4000


@dataclass(frozen=True, slots=True)
class Belief:
    """What is believed of a loop before its points are seen.

    Attributes:
        curvature: most likely ``c`` [1/setting^2]; curvature_spread: standard deviation of its logarithm.
        noise: most likely scatter of one point, fraction of torque; noise_spread: standard deviation of its logarithm.
        place, place_spread: where the top is thought to be, and how surely, in the setting's unit; None: anywhere.
    """

    curvature: float
    curvature_spread: float
    noise: float
    noise_spread: float
    place: float | None = None
    place_spread: float = 0.0


@dataclass(frozen=True, slots=True)
class Tops:
    """Draws of loops that the points allow, each of shape (s,).

    place: of the top, in the setting's unit; curvature [1/setting^2]; height: torque at the top; noise: fraction.
    """

    place: FloatArray
    curvature: FloatArray
    height: FloatArray
    noise: FloatArray

    def torque(self, setting: FloatArray) -> FloatArray:
        """Torque of every draw at settings of shape (m,); shape (s, m)."""
        off = setting[None, :] - self.place[:, None]
        values: FloatArray = self.height[:, None] * (1.0 - self.curvature[:, None] * off**2)
        return values


def fit_tops(setting: FloatArray, torque: FloatArray, belief: Belief, seed: int = 0) -> Tops:
    """Loops that points allow.

    Args:
        setting: of each point, shape (n,), any unit; at least two different ones.
        torque: at each, shape (n,), any unit above 0.
        belief: before the points.
        seed: of the draws.

    Returns:
        Draws from the posterior.

    Raises:
        ValueError: fewer than two different settings, or torque at or below 0.

    Source: own model, docs/tuning.md.
    """
    if np.unique(setting).size < 2 or (torque <= 0).any():
        raise ValueError("a loop needs two different settings and torque above 0")
    scale = float(torque.mean())
    coarse = _weighed(setting, torque / scale, _grid(setting, belief), belief)
    # a second look with all nodes where the first found anything
    fine = _weighed(setting, torque / scale, _closer(coarse), belief)
    rng = np.random.default_rng(seed)
    at, bend, scatter = np.unravel_index(_drawn(fine.weight.ravel(), rng), fine.weight.shape)
    step = fine.place[1] - fine.place[0]
    heights = fine.height[at, bend] + fine.spread[at, bend] * fine.noise[scatter] * rng.standard_normal(DRAWS)
    place = fine.place[at] + step * (rng.random(DRAWS) - 0.5)
    return Tops(place, fine.curvature[bend], heights * scale, fine.noise[scatter])


@dataclass(frozen=True, slots=True)
class Weighed:
    """A grid of loops with its posterior weight; p places, c curvatures, s noises.

    place, curvature, noise: shape (p,), (c,), (s,). weight: shape (p, c, s), largest 1. height, spread: of the top and
    its standard error per unit noise, shape (p, c).
    """

    place: FloatArray
    curvature: FloatArray
    noise: FloatArray
    weight: FloatArray
    height: FloatArray
    spread: FloatArray


def _weighed(
    setting: FloatArray, y: FloatArray, grid: tuple[FloatArray, FloatArray, FloatArray], belief: Belief
) -> Weighed:
    place, curvature, noise = grid
    log_weight = _prior(place, curvature, noise, belief)
    height = np.empty((place.size, curvature.size))
    spread = np.empty_like(height)
    for j, c in enumerate(curvature):
        shape = 1.0 - c * (setting[None, :] - place[:, None]) ** 2
        norm = (shape**2).sum(axis=1)
        best = (shape * y).sum(axis=1) / norm
        rest = ((y - best[:, None] * shape) ** 2).sum(axis=1)
        height[:, j], spread[:, j] = best, 1.0 / np.sqrt(norm)
        fit = -0.5 * rest[:, None] / noise**2 - (y.size - 1) * np.log(noise) - 0.5 * np.log(norm)[:, None]
        fit[best <= 0] = -np.inf  # a parabola that turns its points negative is no loop
        log_weight[:, j, :] += fit
    return Weighed(place, curvature, noise, np.exp(log_weight - log_weight.max()), height, spread)


def _closer(found: Weighed) -> tuple[FloatArray, FloatArray, FloatArray]:
    """As many nodes over the stretch of each that holds anything."""
    axes = []
    for axis, nodes in enumerate((found.place, np.log(found.curvature), np.log(found.noise))):
        share = found.weight.max(axis=tuple({0, 1, 2} - {axis}))
        held = np.flatnonzero(share > NOTHING)
        low, high = max(held[0] - 1, 0), min(held[-1] + 1, nodes.size - 1)
        axes.append(np.linspace(nodes[low], nodes[high], nodes.size))
    return axes[0], np.exp(axes[1]), np.exp(axes[2])


def _grid(setting: FloatArray, belief: Belief) -> tuple[FloatArray, FloatArray, FloatArray]:
    five_off = math.sqrt(0.05 / belief.curvature)  # where 5 % are lost
    width = max(float(np.ptp(setting)) * REACH, five_off)
    place = np.linspace(float(setting.min()) - width, float(setting.max()) + width, PLACES)
    sides = np.linspace(-2.5, 2.5, CURVATURES)
    curvature = belief.curvature * np.exp(belief.curvature_spread * sides)
    noise = belief.noise * np.exp(belief.noise_spread * np.linspace(-2.5, 2.5, NOISES))
    return place, curvature, noise


def _prior(place: FloatArray, curvature: FloatArray, noise: FloatArray, belief: Belief) -> FloatArray:
    """Log prior on the grid; flat in place where nothing is believed of it."""
    where = np.zeros(place.size)
    if belief.place is not None:
        where = -0.5 * ((place - belief.place) / belief.place_spread) ** 2
    bend = -0.5 * (np.log(curvature / belief.curvature) / belief.curvature_spread) ** 2
    scatter = -0.5 * (np.log(noise / belief.noise) / belief.noise_spread) ** 2
    total: FloatArray = where[:, None, None] + bend[None, :, None] + scatter[None, None, :]
    return total


def _drawn(weight: FloatArray, rng: np.random.Generator) -> np.ndarray:
    """Grid cells drawn by weight; stratified, so that few draws tell much."""
    edges = np.cumsum(weight) / weight.sum()
    cells = np.searchsorted(edges, (np.arange(DRAWS) + rng.random(DRAWS)) / DRAWS)
    return np.minimum(cells, weight.size - 1)


def next_point(tops: Tops, candidates: FloatArray) -> tuple[float, float]:
    """The setting whose measurement would tell most about where the top is.

    The gain of a point is taken in the linear-Gaussian approximation: the squared covariance of place and torque there,
    over the variance of what would be measured.

    Args:
        tops: what is known.
        candidates: settings that may be run, shape (m,) [unit of the setting].

    Returns:
        The setting, and the share of the variance of the top's place that one point there would take away.

    Source: chaloner-verdinelli-1995, linear Bayesian design; own approximation.
    """
    torque = tops.torque(candidates)
    place = tops.place - tops.place.mean()
    about = torque - torque.mean(axis=0)
    covariance = (place[:, None] * about).mean(axis=0)
    measured = about.var(axis=0) + float((tops.noise * tops.height).mean()) ** 2
    gain = covariance**2 / measured / max(float(tops.place.var()), 1e-300)
    best = int(np.argmax(gain))
    return float(candidates[best]), float(gain[best])
