"""Local regression on nodes, all channels in one pass, the weights of each node in hand."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from fairpull.terms.arrays import BoolArray, FloatArray, IntArray

LEAST_SAMPLES = 3


@dataclass(frozen=True, slots=True)
class Weights:
    """A linear smoother on a few nodes; each node weighs a run of the samples sorted by place.

    Attributes:
        order: sample indices sorted by place, shape (n,).
        low, high: run of sorted samples [low, high) of each node, shape (g,).
        table: weights of that run, shape (g, w); zero where a run is shorter than w.
        usable: nodes with data on both sides, shape (g,).
    """

    order: IntArray
    low: IntArray
    high: IntArray
    table: FloatArray
    usable: BoolArray


def local_weights(x: FloatArray, nodes: FloatArray, half_width: float, degree: int, tolerance: float) -> Weights:
    """Weights of a local polynomial regression with the tricube kernel.

    Args:
        x: where the samples are, shape (n,), any unit, any order, no missing values.
        nodes: where the fit is wanted, shape (g,), unit of x.
        half_width: half-width of the kernel, unit of x.
        degree: 1 (local line) or 2 (local quadratic).
        tolerance: a node this far beyond the outermost sample still counts as reached, unit of x.

    Returns:
        The weights. A node is usable when its window holds enough samples and reaches it from both sides.

    Source:
        cleveland-1979 (tricube kernel, local regression); fan-gijbels-1996, section 3.1 (equivalent weights).
    """
    order = np.argsort(x, kind="stable")
    ordered = x[order]
    low = np.searchsorted(ordered, nodes - half_width)
    high = np.searchsorted(ordered, nodes + half_width, side="right")
    width = int(max((high - low).max(initial=0), 1))
    at = low[:, None] + np.arange(width)
    inside = at < high[:, None]
    at = np.minimum(at, x.size - 1)
    d = (ordered[at] - nodes[:, None]) / half_width
    a = np.abs(d)
    kernel = np.where(inside, np.clip(1.0 - a * a * a, 0.0, None) ** 3, 0.0)
    near = tolerance / half_width
    both = (np.where(inside, d, 9.0).min(axis=1) <= near) & (np.where(inside, d, -9.0).max(axis=1) >= -near)
    usable = both & (np.count_nonzero(kernel > 0, axis=1) >= LEAST_SAMPLES)
    return Weights(order, low, high, _solve(kernel, d, degree), usable)


def _solve(kernel: FloatArray, d: FloatArray, degree: int) -> FloatArray:
    """First row of the weighted normal equations' inverse, applied to the samples."""
    s0, s1, s2 = (kernel.sum(axis=1), (kernel * d).sum(axis=1), (kernel * d * d).sum(axis=1))
    with np.errstate(divide="ignore", invalid="ignore"):
        line = s0 * s2 - s1 * s1
        degenerate = line <= 1e-12 * np.maximum(s0 * s0, 1e-300)
        if degree == 1:
            table = kernel * (s2[:, None] - s1[:, None] * d) / line[:, None]
        else:
            s3, s4 = (kernel * d**3).sum(axis=1), (kernel * d**4).sum(axis=1)
            c0, c1, c2 = s2 * s4 - s3 * s3, s2 * s3 - s1 * s4, s1 * s3 - s2 * s2
            whole = s0 * c0 + s1 * c1 + s2 * c2
            degenerate |= np.abs(whole) <= 1e-14 * np.maximum(s0**3, 1e-300)
            table = kernel * (c0[:, None] + c1[:, None] * d + c2[:, None] * d * d) / whole[:, None]
        mean = kernel / s0[:, None]
    return np.asarray(np.nan_to_num(np.where(degenerate[:, None], mean, table)))


def fit(weights: Weights, values: FloatArray) -> FloatArray:
    """The regression of one or many channels on the nodes.

    Args:
        weights: from ``local_weights``.
        values: samples, shape (n,) or (c, n), any unit, no missing values.

    Returns:
        Shape (g,) or (c, g), unit of the values; NaN on nodes that are not usable.

    Source:
        definition of a linear smoother: weights times samples.
    """
    ordered = values[..., weights.order]
    out = np.full((*values.shape[:-1], weights.low.size), np.nan)
    # One short product a node: a product of whole tables would spend its time on zeros and wake every core.
    for node in np.flatnonzero(weights.usable).tolist():
        first, end = int(weights.low[node]), int(weights.high[node])
        out[..., node] = ordered[..., first:end] @ weights.table[node, : end - first]
    return out


def dense(weights: Weights) -> FloatArray:
    """The weights as a matrix over all samples.

    Args:
        weights: from ``local_weights``.

    Returns:
        Shape (g, n), columns in the samples' own order.
    """
    matrix = np.zeros((weights.low.size, weights.order.size))
    at = weights.low[:, None] + np.arange(weights.table.shape[1])
    node, place = np.nonzero(at < weights.high[:, None])
    matrix[node, weights.order[at[node, place]]] = weights.table[node, place]
    return matrix
