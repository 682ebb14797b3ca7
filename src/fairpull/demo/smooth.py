"""Lines through knots, smooth random errors and sensor lag: the generator's own small mathematics."""

from __future__ import annotations

import numpy as np

from fairpull.terms.arrays import FloatArray


def spline(knots: tuple[tuple[float, float], ...], at: FloatArray) -> FloatArray:
    """Natural cubic spline through knots, continued in a straight line beyond them.

    Args:
        knots: (x, y) pairs, x ascending, at least three.
        at: where to evaluate, any shape, [unit of x].

    Returns:
        Values, shape of ``at``, [unit of y].
    """
    x, y = (np.array(column, dtype=float) for column in zip(*knots, strict=True))
    step = np.diff(x)
    slope = np.diff(y) / step
    system = np.eye(len(x))
    right = np.zeros(len(x))
    inner = np.arange(1, len(x) - 1)
    system[inner, inner - 1] = step[:-1]
    system[inner, inner] = 2.0 * (step[:-1] + step[1:])
    system[inner, inner + 1] = step[1:]
    right[1:-1] = 6.0 * np.diff(slope)
    bend = np.linalg.solve(system, right)
    inside = np.clip(at, x[0], x[-1])
    k = np.clip(np.searchsorted(x, inside, side="right") - 1, 0, len(x) - 2)
    u, v = x[k + 1] - inside, inside - x[k]
    h = step[k]
    value = (bend[k] * u**3 + bend[k + 1] * v**3) / (6 * h)
    value += (y[k] / h - bend[k] * h / 6) * u + (y[k + 1] / h - bend[k + 1] * h / 6) * v
    first = slope[0] - step[0] * bend[1] / 6
    last = slope[-1] + step[-1] * bend[-2] / 6
    value += np.where(at < x[0], first * (at - x[0]), 0.0) + np.where(at > x[-1], last * (at - x[-1]), 0.0)
    out: FloatArray = value
    return out


def line(knots: tuple[tuple[float, float], ...], at: FloatArray) -> FloatArray:
    """Straight lines through knots, level beyond them.

    Args:
        knots: (x, y) pairs, x ascending.
        at: where to evaluate, any shape.

    Returns:
        Values, shape of ``at``.
    """
    x, y = zip(*knots, strict=True)
    out: FloatArray = np.interp(at, np.array(x, dtype=float), np.array(y, dtype=float))
    return out


def wander(rng: np.random.Generator, at: FloatArray, length: float, waves: int = 24) -> FloatArray:
    """A smooth random function with mean square 1: random waves with a Gaussian spectrum.

    Args:
        rng: the pull's own random source.
        at: where to evaluate, shape (n,).
        length: correlation length [unit of at].
        waves: how many waves are added up.

    Returns:
        Values, shape (n,), [-].
    """
    pace = rng.normal(0.0, 1.0 / length, waves)
    phase = rng.uniform(0.0, 2.0 * np.pi, waves)
    total: FloatArray = np.cos(at[:, None] * pace + phase).sum(axis=1) * float(np.sqrt(2.0 / waves))
    return total


def lagged(values: FloatArray, lag: float, rate: float) -> FloatArray:
    """First-order lag of a sensor.

    Args:
        values: evenly sampled, shape (n,).
        lag: time constant [s].
        rate: samples a second [1/s].

    Returns:
        Values, shape (n,), starting from a settled sensor.
    """
    if lag * rate < 0.2:
        return values
    keep = float(np.exp(-1.0 / (lag * rate)))
    taps = min(len(values), int(7 * lag * rate) + 2)
    kernel = (1.0 - keep) * keep ** np.arange(taps)
    start = values[0]
    out: FloatArray = np.convolve(values - start, kernel)[: len(values)] + start
    return out
