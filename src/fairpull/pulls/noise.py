"""Standard error of a smoothed curve whose samples carry correlated noise."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from fairpull.terms.arrays import FloatArray

_HALF_GAIN = 0.5
_OCTAVES = 3
_BANDS = 12
# Corner frequencies of the first-order noise, in units of the half-gain frequency (slower noise cannot be told from
# the curve), and its strength over the white part there. White noise alone has half of the prior weight.
_CORNERS = np.geomspace(0.5, 4.0, 6)
_STRENGTHS = np.array([0.0, 0.5, 2.0, 8.0, 32.0, 1000.0])
_PRIOR = np.tile([0.5, 0.1, 0.1, 0.1, 0.1, 0.1], _CORNERS.size)

ComplexArray = NDArray[np.complex128]


def fit_errors(matrix: FloatArray, residual: FloatArray) -> FloatArray:
    """Standard error of a linear smoother under stationary, correlated noise.

    The noise spectrum is the residuals' periodogram divided by the gain that the smoother left of it,
    ``(1 - H)^2``, with H the smoother's mean gain; below the frequency where the smoother passes more than half, the
    residuals say little, and the spectrum is carried on by a mixture of white and first-order noise fitted to the
    three octaves above. The error is then ``sqrt(mean over f of |H_g|^2 S)`` for each node's own weights.

    Args:
        matrix: smoother weights, shape (g, n), in time order.
        residual: samples less the smooth curve, shape (n,), in time order, unit of the channel.

    Returns:
        Standard error of each node, shape (g,), same unit.

    Valid range:
        Noise that is stationary over the pull, with a correlation time up to half the time in which the ramp crosses
        the kernel's half-width; slower noise cannot be told from the curve and is understated.

    Source:
        opsomer-2001 (smoothing with correlated errors); whittle-1953 (fit of the spectrum); variance of a linear
        filter: plain spectral theory.
    """
    n = residual.size
    size = _quick_size(n)
    filters = np.fft.rfft(matrix, size, axis=1)
    transfer = np.square(filters.real) + np.square(filters.imag)
    gain = _mean_gain(matrix, filters, size)
    rest = residual - residual.mean()
    periodogram = np.abs(np.fft.rfft(rest, size)) ** 2 / n
    left = np.square(1.0 - gain)
    told = gain < _HALF_GAIN
    spectrum = np.where(told, periodogram / np.where(told, left, 1.0), 0.0)
    if not told.any():  # hardly more samples than nodes: only neighbours tell the noise
        return np.asarray(np.sqrt(np.square(matrix).sum(axis=1) * np.mean(np.square(np.diff(residual))) / 2.0))
    first = int(np.argmax(told))
    spectrum[:first] = _carried_on(spectrum, first)
    both_sides = np.full(gain.size, 2.0)
    both_sides[0] = 1.0
    if size % 2 == 0:
        both_sides[-1] = 1.0
    return np.asarray(np.sqrt(np.einsum("gf,f->g", transfer, both_sides * spectrum) / size))


def _quick_size(n: int) -> int:
    """Smallest length from n with no prime factor above 5: a transform of prime length is slow."""
    size = n
    while True:
        rest = size
        for prime in (2, 3, 5):
            while rest % prime == 0:
                rest //= prime
        if rest == 1:
            return size
        size += 1


def _mean_gain(matrix: FloatArray, filters: ComplexArray, size: int) -> FloatArray:
    """Signed gain of the smoother, seen from each node's own place; a few nodes inside stand for all."""
    inner = np.unique(np.linspace(0, matrix.shape[0] - 1, 9).astype(np.int64)[1:-1])
    place = np.einsum("gn,n->g", matrix[inner], np.arange(matrix.shape[1], dtype=np.float64))
    turn = np.exp(2j * np.pi / size * np.outer(place, np.arange(filters.shape[1])))
    return np.asarray((filters[inner] * turn).real.mean(axis=0))


def _carried_on(spectrum: FloatArray, first: int) -> FloatArray:
    """The spectrum of the bins below ``first``, from the octaves above.

    Every mixture of a grid is fitted by its likelihood (gamma-distributed band means), and the mixtures are averaged
    with their likelihoods as weights: a single best one would be too sure where several fit.
    """
    if first == 0:
        return spectrum[:0]
    stop = min(spectrum.size, max(first << _OCTAVES, first + 8))
    edges = np.unique(np.geomspace(first, stop, _BANDS + 1).round().astype(np.int64))[:-1]
    counts = np.diff(np.append(edges, stop)).astype(np.float64)
    power = np.add.reduceat(spectrum[first:stop], edges - first) / counts
    if not power.any():
        return np.zeros(first)
    middle = (edges + 0.5 * (counts - 1.0)) / first
    shape = _shapes(middle)  # (models, bands)
    level = (counts * power / shape).sum(axis=1, keepdims=True) / counts.sum()
    cost = (counts * (np.log(level * shape) + power / (level * shape))).sum(axis=1)
    weight = _PRIOR * np.exp(cost.min() - cost)
    below = level * _shapes(np.arange(first) / first)
    return np.asarray(weight @ below / weight.sum())


def _shapes(frequency: FloatArray) -> FloatArray:
    """Spectra of the mixtures at frequencies in units of the half-gain frequency, shape (models, f)."""
    first_order = 1.0 / (1.0 + np.square(frequency / _CORNERS[:, None, None]))
    shapes = 1.0 + _STRENGTHS[:, None] * (1.0 + np.square(1.0 / _CORNERS[:, None, None])) * first_order
    return np.asarray(shapes.reshape(-1, frequency.size))
