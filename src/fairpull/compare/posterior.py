"""What the pulls in hand say about noise and about the builds' mean curves, all unknowns averaged out.

Model, in log torque: ``Y = X M + E``. A pull's error wiggles along rpm (covariance ``s^2 R``) and moves the whole
curve (level and tilt, covariance ``F F'``); the first is independent between pulls, the second has covariance ``D``
between pulls: ``l^2 I`` for the pull itself, plus drift, a jump at each change of build, and the day. Whitening by
``R`` and turning the axes so that the first two span ``F`` splits the problem into components that do not know each
other: two carry level, tilt and drift, all others are plain repeats. The restricted likelihood of a candidate (shape,
wiggle, level, drift) is then a few sums.

The likelihood is taken on a few nodes across the range, not on every grid step: a smooth error has only a few degrees
of freedom, and on a fine grid the many directions in which it does nothing would drown the few that matter.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from fairpull.compare.layout import Layout
from fairpull.compare.prior import NoisePrior
from fairpull.compare.shapes import Shape, candidate_shapes, correlations, drift_factors, drift_over_time
from fairpull.terms.arrays import FloatArray, IntArray

SCATTER_NODES = 12
EVIDENCE_NODES = 9
DRIFT_AXES = 2
NEGLIGIBLE = 1e-5
DRAWS_PER_CELL = 8  # draws that share one candidate: enough candidates are left, at an eighth of their cost


@dataclass(frozen=True, slots=True)
class Frame:
    """The data in whitened, turned axes; p shapes, d drift candidates, n pulls, k builds, g nodes.

    Attributes:
        shapes: candidates, length p.
        log_det: log determinant of each correlation matrix, shape (p,).
        nodes: number of evidence nodes.
        rest: residual sum of squares off the drift axes, shape (p,).
        along: data along the drift axes, shape (p, n, 2).
        strength: squared strength of drift on each axis, shape (p, 2).
        back: from a move along an axis to drift coefficients (level, tilt), shape (p, 2, 2).
        time: covariance between pulls of what moves the whole curve, for each candidate, shape (d, n, n).
        time_weight: prior weight of each of these candidates, shape (d,).
        level: standard deviation of one pull's own level in each, shape (d,).
        drift: drift after one hour in each, shape (d,).
        design: indicator of builds, shape (n, k).
        slope_share: tilt of drift at either end relative to its level.
    """

    shapes: tuple[Shape, ...]
    log_det: FloatArray
    nodes: int
    rest: FloatArray
    along: FloatArray
    strength: FloatArray
    back: FloatArray
    time: FloatArray
    time_weight: FloatArray
    level: FloatArray
    drift: FloatArray
    design: FloatArray
    slope_share: float


@dataclass(frozen=True, slots=True)
class Cells:
    """Candidates with their posterior weights, each of shape (c,).

    shape, time: index into the frame's candidates; wiggle: of one pull [fraction]; scatter: of one pull, wiggle and
    level together [fraction]; weight: adds up to 1.
    """

    shape: IntArray
    time: IntArray
    wiggle: FloatArray
    scatter: FloatArray
    weight: FloatArray


def build_frame(layout: Layout, log_torque: FloatArray, prior: NoisePrior) -> Frame:
    """Whiten and turn the data for every candidate shape.

    Args:
        layout: pulls on common nodes.
        log_torque: log of corrected torque, shape (n, g).
        prior: noise prior.

    Returns:
        The frame.

    Source: own derivation; restricted likelihood as in any text on mixed linear models.
    """
    pick = np.unique(np.linspace(0, len(layout.rpm) - 1, EVIDENCE_NODES).round().astype(np.int64))
    rpm, data = layout.rpm[pick], log_torque[:, pick]
    shapes = candidate_shapes(prior)
    lower = np.linalg.cholesky(correlations(rpm, np.exp(data.mean(axis=0)), shapes))
    factors = drift_factors(rpm, layout.rpm, prior.slope_share)
    stacked = np.concatenate([data.T, factors], axis=1)
    white = np.linalg.solve(lower, np.broadcast_to(stacked, (len(shapes), *stacked.shape)))
    axes, singular, turn = np.linalg.svd(white[:, :, len(data) :], full_matrices=False)
    design = layout.design()
    counts = design.sum(axis=0)
    centre = np.eye(len(data)) - (design / counts) @ design.T
    values = white[:, :, : len(data)]
    along = np.swapaxes(values, 1, 2) @ axes
    rest = ((values @ centre) ** 2).sum(axis=(1, 2)) - ((centre @ along) ** 2).sum(axis=(1, 2))
    time, weight, level, drift = _time_candidates(layout, prior)
    return Frame(
        shapes=shapes,
        log_det=2.0 * np.log(np.diagonal(lower, axis1=1, axis2=2)).sum(axis=1),
        nodes=len(rpm),
        rest=np.maximum(rest, 0.0),
        along=along,
        strength=singular**2,
        back=np.swapaxes(turn, 1, 2) / singular[:, None, :],
        time=time,
        time_weight=weight,
        level=level,
        drift=drift,
        design=design,
        slope_share=prior.slope_share,
    )


def _time_candidates(layout: Layout, prior: NoisePrior) -> tuple[FloatArray, FloatArray, FloatArray, FloatArray]:
    """Every combination of level, drift, jump and day: covariances, weights, levels, drifts."""
    several = layout.day.max() > 0
    days, day_weights = (prior.days, prior.day_weights) if several else ((0.0,), (1.0,))
    grids = np.meshgrid(prior.levels, prior.drifts, prior.jumps, days, indexing="ij")
    level, drift, jump, day = (grid.ravel() for grid in grids)
    shares = (np.ones(len(prior.levels)), prior.drift_weights, prior.jump_weights, day_weights)
    weight = np.prod(np.meshgrid(*shares, indexing="ij"), axis=0).ravel()
    block = np.cumsum(np.concatenate([[0], (np.diff(layout.build) != 0) | (np.diff(layout.day) != 0)]))
    parts = (
        np.eye(len(block)),
        drift_over_time(layout.hours, layout.day),
        (block[:, None] == block[None, :]).astype(np.float64),
        (layout.day[:, None] == layout.day[None, :]).astype(np.float64),
    )
    time = sum(size[:, None, None] ** 2 * part for size, part in zip((level, drift, jump, day), parts, strict=True))
    return np.asarray(time), weight / weight.sum(), level, drift


def weigh(frame: Frame, prior: NoisePrior) -> Cells:
    """Posterior weight of every candidate.

    Args:
        frame: whitened data.
        prior: noise prior.

    Returns:
        The cells that matter, weights adding up to one.

    Source: own derivation.
    """
    pulls, builds = frame.design.shape
    repeats = pulls - builds
    dof = repeats * (frame.nodes - DRIFT_AXES)
    sigma = _scatter_nodes(frame, prior, dof)
    log_like = -dof * np.log(sigma) - frame.rest[:, None] / (2.0 * sigma**2) - 0.5 * repeats * frame.log_det[:, None]
    total = prior.trust * log_like[:, None, :] + np.log(frame.time_weight)[None, :, None]
    total = total + prior.log_density(sigma[:, None, :], frame.level[None, :, None])
    if repeats:
        total = total + _drift_axes_likelihood(frame, sigma)
    weight = np.exp(total - total.max())
    weight /= weight.sum()
    shape, time, _ = np.indices(weight.shape)
    keep = weight.ravel() > NEGLIGIBLE
    kept = weight.ravel()[keep]
    wiggle = np.broadcast_to(sigma[:, None, :], weight.shape).ravel()[keep]
    times = time.ravel()[keep]
    return Cells(shape.ravel()[keep], times, wiggle, np.hypot(wiggle, frame.level[times]), kept / kept.sum())


def _scatter_nodes(frame: Frame, prior: NoisePrior, dof: int) -> FloatArray:
    """Scatters at equal steps of log about each shape's own estimate, shape (p, s): fine where data are many."""
    total = prior.scatter_dof + dof
    centre = np.sqrt((prior.scatter_dof * prior.typical() ** 2 + frame.rest) / total)
    width = np.sqrt(1.0 / (2.0 * total))
    sigma: FloatArray = centre[:, None] * np.exp(np.linspace(-5.0 * width, 6.0 * width, SCATTER_NODES))[None, :]
    return sigma


def _drift_axes_likelihood(frame: Frame, sigma: FloatArray) -> FloatArray:
    """Restricted log likelihood of the two drift axes, shape (p, d, s)."""
    contrasts = np.linalg.qr(frame.design, mode="complete")[0][:, frame.design.shape[1] :]
    seen = contrasts.T @ frame.along
    values, vectors = np.linalg.eigh(contrasts.T @ frame.time @ contrasts)
    # single precision: these are sums of a few logarithms, and this is where the time goes
    turned = (np.swapaxes(vectors, 1, 2)[None] @ seen[:, None]).astype(np.float32) ** 2
    strength = (np.maximum(values, 0.0)[None, :, :, None] * frame.strength[:, None, None, :]).astype(np.float32)
    spread = sigma.astype(np.float32)[:, None, None, None, :] ** 2 + strength[..., None]
    result: FloatArray = -0.5 * (np.log(spread) + turned[..., None] / spread).sum(axis=(2, 3)).astype(np.float64)
    return result


@dataclass(frozen=True, slots=True)
class Draws:
    """Draws from the posterior.

    Attributes:
        means: log torque of each build, shape (s, k, g).
        moves: what moves each build's whole curve from its plain mean, (level, tilt), shape (s, k, 2).
        cell: index of the cell of each draw, shape (s,), ascending.
    """

    means: FloatArray
    moves: FloatArray
    cell: IntArray


def draw(
    layout: Layout, log_torque: FloatArray, frame: Frame, cells: Cells, size: int, seed: int, widening: float
) -> Draws:
    """Draw the builds' mean curves on all nodes.

    Args:
        layout: pulls on common nodes.
        log_torque: log of corrected torque, shape (n, g).
        frame: whitened data.
        cells: candidates with weights.
        size: number of draws, a multiple of DRAWS_PER_CELL.
        seed: the same seed gives the same draws.
        widening: factor on every draw's distance from the middle, 1 or more.

    Returns:
        The draws, ordered by cell.

    Source: own derivation.
    """
    cell = np.repeat(stratified(cells.weight, size // DRAWS_PER_CELL), DRAWS_PER_CELL)
    counts = frame.design.sum(axis=0)
    plain = (frame.design / counts).T @ log_torque
    noise = pull_noise(layout.rpm, np.exp(plain.mean(axis=0)), frame, cells, cell, (len(counts),), seed)
    noise *= widening / np.sqrt(counts)[None, :, None]
    moves = _drift_moves(frame, cells, cell, seed, widening)
    factors = drift_factors(layout.rpm, layout.rpm, frame.slope_share)
    return Draws(plain + noise + moves @ factors.T, moves, cell)


def pull_noise(
    rpm: FloatArray,
    torque: FloatArray,
    frame: Frame,
    cells: Cells,
    cell: IntArray,
    size: tuple[int, ...],
    seed: int,
) -> FloatArray:
    """Wiggles of single pulls, drawn for given cells.

    Args:
        rpm: nodes, shape (g,).
        torque: a typical curve [N m], shape (g,).
        frame, cells: the posterior.
        cell: which cell each draw belongs to, shape (s,).
        size: how many for each draw.
        seed: of the draws.

    Returns:
        Wiggles in log torque, shape (s, *size, g).

    Source: definition of the model.
    """
    noise = _normals(seed, (len(cell), *size, len(rpm))).copy()
    shape = cells.shape[cell]
    used, which = np.unique(shape, return_inverse=True)
    lower = np.linalg.cholesky(correlations(rpm, torque, [frame.shapes[p] for p in used]))
    for p in range(len(used)):
        rows = which == p
        noise[rows] = noise[rows] @ lower[p].T
    noise *= cells.wiggle[cell].reshape(-1, *([1] * (len(size) + 1)))
    return noise


@lru_cache(maxsize=8)
def _normals(seed: int, shape: tuple[int, ...]) -> FloatArray:
    """Standard normals; kept, since every correction standard is judged with the same ones. Not to be written to."""
    return np.random.default_rng([seed, len(shape)]).standard_normal(shape)


def stratified(weight: FloatArray, size: int) -> IntArray:
    """Indices in proportion to weight, evenly spread, ascending.

    Args:
        weight: shape (c,), adds up to one.
        size: how many.

    Returns:
        Indices, shape (size,).

    Source: systematic sampling from the middle of each stratum, definition.
    """
    points = (np.arange(size) + 0.5) / size
    index: IntArray = np.minimum(np.searchsorted(np.cumsum(weight), points), len(weight) - 1)
    return index


def _drift_moves(frame: Frame, cells: Cells, cell: IntArray, seed: int, widening: float) -> FloatArray:
    """What moves each build's whole mean curve: coefficients (level, tilt) on its plain mean, shape (s, k, 2)."""
    used, which = np.unique(cell, return_inverse=True)
    p, d = cells.shape[used], cells.time[used]
    variance = cells.wiggle[used] ** 2
    counts = frame.design.sum(axis=0)
    pulls, builds = frame.design.shape
    covariance = frame.strength[p][:, :, None, None] * frame.time[d][:, None, :, :]
    covariance = covariance + variance[:, None, None, None] * np.eye(pulls)
    weighted = np.linalg.solve(covariance, np.broadcast_to(frame.design, (*covariance.shape[:2], pulls, builds)))
    spread = np.linalg.inv(frame.design.T @ weighted)
    along = np.swapaxes(frame.along[p], 1, 2)
    mean = (spread @ (np.swapaxes(weighted, 2, 3) @ along[..., None]))[..., 0]
    shift = mean - along @ (frame.design / counts)
    extra = spread - variance[:, None, None, None] * np.diag(1.0 / counts)
    jitter = 1e-9 * np.trace(spread, axis1=2, axis2=3)
    root = np.linalg.cholesky(extra + jitter[..., None, None] * np.eye(builds))
    normal = widening * _normals(seed + 1, (len(cell), DRIFT_AXES, builds, 1))
    moved = shift[which] + (root[which] @ normal)[..., 0]
    return np.swapaxes(frame.back[cells.shape[cell]] @ moved, 1, 2)
