"""Error generators: what goes wrong between an engine's true torque curve and the curve a pull gives.

An observed pull is ``exp(log true torque + drift + pull error) + torque zero + reading noise``. The pull
error is a smooth random function of rpm, made here by passing white noise through a raised-cosine window:
its correlation has compact support and belongs to none of the usual covariance families. Two families break
the usual assumptions on purpose (heavy tails; ripple tied to fixed rpm, and scatter that grows with rpm).

Sizes are common practice, no source: pull-to-pull scatter 0.2 to 1 % of torque, drift 0.3 to 1.5 % over a
working day of eight hours, a torque zero good to about 0.5 lb-ft.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from fairpull.terms.arrays import FloatArray

WORKING_DAY = 8.0 * 3600.0  # [s]
DRIFT_SIZE = (0.003, 0.015)  # fraction of torque over a working day, or in one step; either sign
OUTLIER_SIZE = (0.02, 0.04)  # fraction of torque, either sign
OUTLIER_DAYS = 0.1  # one day in ten has one outlier pull
READING_NOISE = 0.001  # fraction of torque: standard error of a curve's local regression
PRIOR_SCATTER_MEDIAN = 0.0045  # "good brake 0.3 to 0.5 %, excellent 0.2, poor over 1"
PRIOR_SCATTER_LOG_SD = 0.6  # 5 to 95 %: 0.17 to 1.2 %
PRIOR_LENGTH = (200.0, 1500.0)  # [rpm], log-uniform

FAMILIES = ("gaussian", "level and tilt", "heavy tails", "ripple", "growing with rpm")
DRIFTS = ("none", "linear", "step")


@dataclass(frozen=True, slots=True)
class World:
    """How a brake and its day err.

    Attributes:
        scatter: standard deviation of the pull error at one rpm, fraction of torque; None draws it for each
            day from the documented prior (log-normal, see PRIOR_SCATTER_MEDIAN).
        length: correlation length of the pull error [rpm]: the lag at which correlation has fallen to
            exp(-1/2); None draws it for each day, log-uniform over PRIOR_LENGTH.
        family: one of FAMILIES.
        drift: one of DRIFTS; sizes are drawn from DRIFT_SIZE with a random sign.
        outliers: one day in ten holds one pull that is off by OUTLIER_SIZE at every rpm.
        zero_pull: standard deviation of a torque-zero error, new at every pull [N m].
        zero_block: standard deviation of a torque-zero error, new whenever the build is changed [N m].
        noise: standard error of a curve's local regression, fraction of torque.
        ragged: every pull starts and ends at slightly different rpm.
    """

    scatter: float | None = 0.005
    length: float | None = 500.0
    family: str = "gaussian"
    drift: str = "none"
    outliers: bool = False
    zero_pull: float = 0.0
    zero_block: float = 0.0
    noise: float = READING_NOISE
    ragged: bool = False


@lru_cache(maxsize=64)
def _window(low: float, step: float, count: int, length: float) -> FloatArray:
    """Rows that turn white noise into a smooth error of unit variance on the grid, shape (count, m)."""
    rpm = low + step * np.arange(count)
    half = length / 0.54665  # correlation of two raised cosines is exp(-1/2) at this share of the half width
    spacing = min(step, half / 12.0)
    knots = np.arange(rpm[0] - half - spacing, rpm[-1] + half + 2.0 * spacing, spacing)
    lag = (rpm[:, None] - knots[None, :]) / half
    rows = np.where(np.abs(lag) < 1.0, 1.0 + np.cos(np.pi * lag), 0.0)
    scaled: FloatArray = rows / np.sqrt(np.sum(rows**2, axis=1, keepdims=True))
    return scaled


def smooth_errors(rng: np.random.Generator, rpm: FloatArray, length: float, count: int) -> FloatArray:
    """Draw smooth Gaussian errors of unit standard deviation.

    Args:
        rng: source of randomness.
        rpm: evenly spaced grid, shape (g,) [rpm].
        length: correlation length [rpm].
        count: how many.

    Returns:
        Shape (count, g), dimensionless.
    """
    rows = _window(float(rpm[0]), float(rpm[1] - rpm[0]), len(rpm), length)
    drawn: FloatArray = rng.standard_normal((count, rows.shape[1])) @ rows.T
    return drawn


def _ripple(rng: np.random.Generator, rpm: FloatArray, count: int) -> FloatArray:
    """A wave at fixed rpm (a resonance of shaft or brake), new amplitude at every pull; mean square 1."""
    wavelength = rng.uniform(200.0, 600.0)
    centre = rng.uniform(rpm[0], rpm[-1])
    wave = np.sin(2.0 * np.pi * rpm / wavelength + rng.uniform(0.0, 2.0 * np.pi))
    wave = wave * np.exp(-0.5 * ((rpm - centre) / 800.0) ** 2)
    drawn: FloatArray = rng.standard_normal((count, 1)) * wave / np.sqrt(np.mean(wave**2))
    return drawn


def pull_errors(rng: np.random.Generator, rpm: FloatArray, world: World, count: int) -> FloatArray:
    """Pull-to-pull errors of one day in log torque.

    Args:
        rng: source of randomness.
        rpm: evenly spaced grid, shape (g,) [rpm].
        world: how the brake errs.
        count: number of pulls.

    Returns:
        Shape (count, g), fraction of torque; standard deviation ``world.scatter`` averaged over the grid.
    """
    scatter, length = draw_scatter(rng, world)
    errors = smooth_errors(rng, rpm, length, count)
    if world.family == "level and tilt":
        # the whole curve moves and leans (oil, heat, air): the plainest error of all
        lean = np.linspace(-1.0, 1.0, len(rpm))
        lean *= np.sqrt(0.2 / np.mean(lean**2))
        errors = np.sqrt(0.8) * rng.standard_normal((count, 1)) + rng.standard_normal((count, 1)) * lean
    elif world.family == "heavy tails":
        # a whole pull is good or bad: Student t with 3 degrees of freedom has variance 3
        errors *= np.sqrt(3.0 / rng.chisquare(3.0, size=(count, 1))) / np.sqrt(3.0)
    elif world.family == "ripple":
        errors = np.sqrt(0.5) * (errors + _ripple(rng, rpm, count))
    elif world.family == "growing with rpm":
        growth = np.linspace(0.4, 1.6, len(rpm))
        errors *= growth / np.sqrt(np.mean(growth**2))
    return scatter * errors


def draw_scatter(rng: np.random.Generator, world: World) -> tuple[float, float]:
    """Scatter (fraction) and correlation length [rpm] of one day: as the world says, or from the prior."""
    scatter, length = world.scatter, world.length
    if scatter is None:
        scatter = PRIOR_SCATTER_MEDIAN * float(np.exp(PRIOR_SCATTER_LOG_SD * rng.standard_normal()))
    if length is None:
        length = float(np.exp(rng.uniform(*np.log(PRIOR_LENGTH))))
        length = 50.0 * max(1, round(length / 50.0))  # few distinct lengths keep the windows cached
    return scatter, length


def drift(rng: np.random.Generator, clock: FloatArray, kind: str) -> FloatArray:
    """Drift of the day at every pull.

    Args:
        rng: source of randomness.
        clock: start of every pull, ascending, shape (n,) [s].
        kind: "none"; "linear": a straight line whose size over eight hours is drawn from DRIFT_SIZE;
            "step": one jump of that size at a moment drawn evenly between the first pull and the last.

    Returns:
        Shape (n,), fraction of torque, zero at the first pull.

    Raises:
        ValueError: on another kind.
    """
    if kind == "none":
        return np.zeros_like(clock)
    size = rng.uniform(*DRIFT_SIZE) * rng.choice((-1.0, 1.0))
    if kind == "linear":
        line: FloatArray = size * (clock - clock[0]) / WORKING_DAY
        return line
    if kind == "step":
        moment = rng.uniform(clock[0], clock[-1])
        return np.where(clock > moment, size, 0.0)
    raise ValueError(f"drift {kind!r} is none of {DRIFTS}")


def outliers(rng: np.random.Generator, count: int) -> FloatArray:
    """Shift of every pull, shape (count,), fraction: one pull off by OUTLIER_SIZE on one day in ten."""
    shift = np.zeros(count)
    if rng.random() < OUTLIER_DAYS:
        shift[rng.integers(count)] = rng.uniform(*OUTLIER_SIZE) * rng.choice((-1.0, 1.0))
    return shift


def torque_zero(rng: np.random.Generator, blocks: FloatArray, world: World) -> FloatArray:
    """Additive torque-zero error of every pull.

    Args:
        rng: source of randomness.
        blocks: running number of the stretch without a change that each pull belongs to, shape (n,).
        world: gives both standard deviations.

    Returns:
        Shape (n,) [N m].
    """
    index = blocks.astype(np.int64)
    per_block = world.zero_block * rng.standard_normal(int(index.max()) + 1)
    zero: FloatArray = world.zero_pull * rng.standard_normal(len(index)) + per_block[index]
    return zero


def reading_noise(rng: np.random.Generator, torque: FloatArray, size: float = READING_NOISE) -> FloatArray:
    """Noise of a curve's local regression, alike at neighbouring grid points because their windows overlap.

    Args:
        rng: source of randomness.
        torque: shape (n, g) [N m].
        size: standard deviation, fraction of torque.

    Returns:
        Shape (n, g) [N m].
    """
    count, points = torque.shape
    white = rng.standard_normal((count, points + 2))
    blurred = 0.25 * white[:, :-2] + 0.5 * white[:, 1:-1] + 0.25 * white[:, 2:]
    noise: FloatArray = size * torque * blurred / np.sqrt(0.375)
    return noise
