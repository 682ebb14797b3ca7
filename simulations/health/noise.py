"""Smooth wander, sensor lag and rounding, vectorised."""

from __future__ import annotations

import numpy as np

from fairpull.terms.arrays import FloatArray

WAVES = 6
SLOW = 0.35  # [s]; gauges with a longer time constant are filtered on fewer samples


def smooth(rng: np.random.Generator, along: FloatArray, length: float, rows: int = 1) -> FloatArray:
    """Smooth Gaussian-like fields of unit variance.

    Args:
        rng: generator.
        along: position, shape (n,).
        length: correlation length, in the unit of ``along``.
        rows: how many independent fields.

    Returns:
        Shape (rows, n).
    """
    coarse = np.linspace(along[0], along[-1], min(int(8.0 * abs(along[-1] - along[0]) / length) + 2, along.size))
    waves = 2.0 * np.pi / (length * rng.uniform(2.0, 8.0, (rows, WAVES, 1)))
    phases = rng.uniform(0.0, 2.0 * np.pi, (rows, WAVES, 1))
    sizes = rng.normal(0.0, 1.0, (rows, WAVES, 1))
    fields: FloatArray = (sizes * np.cos(waves * coarse + phases)).sum(axis=1) * np.sqrt(2.0 / WAVES)
    return fields if coarse.size == along.size else _spread(along, coarse, fields)


def _spread(along: FloatArray, coarse: FloatArray, fields: FloatArray) -> FloatArray:
    """Rows known at a few places, in a straight line between them."""
    return np.array([np.interp(along, coarse, row) for row in fields])


def curve_error(rng: np.random.Generator, rpm: FloatArray, sd: float) -> FloatArray:
    """How one pull differs from the next: mostly level, some tilt, the rest smooth. Shape (n,), a fraction."""
    if rpm.size < 2:
        return np.full(rpm.shape, float(rng.normal(0.0, sd)))
    span = float(rpm[-1] - rpm[0])
    place = (rpm - rpm.mean()) / span
    length = rng.uniform(0.08, 0.35) * span
    level, tilt = rng.normal(0.0, 1.0, 2)
    rest = smooth(rng, rpm, length)[0]
    return np.asarray(sd * (0.70 * level + 0.45 * tilt * 3.4 * place + 0.55 * rest), dtype=np.float64)


def lagged(values: FloatArray, step: float, taus: FloatArray) -> FloatArray:
    """First-order lag, settled at the first value.

    Args:
        values: shape (c, n).
        step: time between samples [s].
        taus: time constants [s], shape (c,); 0 leaves a row alone.

    Returns:
        Shape (c, n).
    """
    n = values.shape[1]
    slow, quick = taus > SLOW, (taus > 0.0) & (taus <= SLOW)
    moved = np.array(values)
    if quick.any() and n > 1:
        moved[quick] = _filtered(values[quick], step, taus[quick])
    every = max(int(0.05 / step), 1)  # a slow gauge does not need every sample
    if slow.any() and n > every:
        at = np.arange(0, n + every - 1, every)
        coarse = values[slow][:, np.minimum(at, n - 1)]
        moved[slow] = _spread(np.arange(n, dtype=np.float64), at * 1.0, _filtered(coarse, every * step, taus[slow]))
    return moved


def _filtered(values: FloatArray, step: float, taus: FloatArray) -> FloatArray:
    size = 1 << int(np.ceil(np.log2(values.shape[1] + 8.0 * float(taus.max()) / step)))
    keep = np.exp(-step / taus)[:, None]
    turn = np.exp(-2j * np.pi * np.arange(size // 2 + 1) / size)[None, :]
    start = values[:, :1]
    moved = np.fft.irfft(np.fft.rfft(values - start, size) * (1.0 - keep) / (1.0 - keep * turn), size)
    return np.asarray(moved[:, : values.shape[1]] + start, dtype=np.float64)


def rounded(values: FloatArray, steps: FloatArray) -> FloatArray:
    """Values as the logger wrote them: rounded to its step where it has one. ``steps`` has shape (c, 1)."""
    safe = np.where(steps > 0.0, steps, 1.0)
    return np.where(steps > 0.0, np.round(values / safe) * safe, values)
