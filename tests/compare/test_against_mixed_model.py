"""The band average of compare, held against two classical methods in a case where all three should agree.

Five pulls a side, alternating, no drift: a two-sample t interval of the pulls' band averages, and a linear
mixed model (statsmodels) with builds and rpm as fixed effects and the pull as a random one.
"""

from __future__ import annotations

import warnings
from dataclasses import dataclass

import numpy as np
import pytest
from scipy import stats
from statsmodels.regression.mixed_linear_model import MixedLM
from statsmodels.tools.sm_exceptions import ConvergenceWarning

from fairpull.compare import compare
from fairpull.terms.arrays import FloatArray
from fairpull.terms.comparison import Estimate
from fairpull.terms.pull import Curve

RPM = np.arange(2000.0, 6000.0 + 50.0, 100.0)
PULLS = 5
GAIN = 0.015
DAYS = 20


@dataclass(frozen=True)
class Three:
    """One day judged three ways; fractions of the reference's torque."""

    ours: Estimate
    classical: float
    classical_half: float
    classical_se: float
    mixed: float
    mixed_se: float


def pulls_of_a_day(seed: int) -> FloatArray:
    """Log torque of A, B, A, B ... shape (10, g): a level and a tilt of each pull, and white noise."""
    rng = np.random.default_rng([seed, 55])
    mean = np.log(400.0 - 60.0 * ((RPM - 4000.0) / 2000.0) ** 2)
    level = 0.004 * rng.standard_normal((2 * PULLS, 1))
    tilt = 0.002 * rng.standard_normal((2 * PULLS, 1)) * (RPM - 4000.0) / 2000.0
    gain = np.where(np.arange(2 * PULLS) % 2 == 1, np.log1p(GAIN), 0.0)[:, None]
    drawn: FloatArray = mean + gain + level + tilt + 0.001 * rng.standard_normal((2 * PULLS, len(RPM)))
    return drawn


def judged(log_torque: FloatArray) -> Estimate:
    curves: dict[str, list[Curve]] = {"A": [], "B": []}
    for k, row in enumerate(np.exp(log_torque)):
        start = 1_700_000_000.0 + 900.0 * k
        letter = "AB"[k % 2]
        curves[letter].append(
            Curve(f"{letter}{k}", RPM, row, 0.001 * row, {}, (float(RPM[0]), float(RPM[-1])), started_at=start)
        )
    return compare([("A", curves["A"]), ("B", curves["B"])]).differences[0].mean_ratio


def mixed_model(log_torque: FloatArray) -> tuple[float, float]:
    """Difference of the builds and its standard error from a random intercept and slope for every pull."""
    points = len(RPM)
    pull = np.repeat(np.arange(2 * PULLS), points)
    x = np.tile((RPM - 4000.0) / 2000.0, 2 * PULLS)
    build = pull % 2
    fixed = np.column_stack([np.ones_like(x), build, x, build * x, x**2, x**3, x**4])
    free = np.column_stack([np.ones_like(x), x])
    model = MixedLM(100.0 * log_torque.ravel(), fixed, groups=pull, exog_re=free)  # in per cent: numbers near 1
    with warnings.catch_warnings():  # with five pulls a side, level and tilt can come out wholly correlated
        warnings.simplefilter("ignore", ConvergenceWarning)
        fit = model.fit(reml=True, method="lbfgs")
    return float(fit.fe_params[1]) / 100.0, float(fit.bse_fe[1]) / 100.0


@pytest.fixture(scope="module")
def judged_days() -> list[Three]:
    """Twenty days, each judged three ways."""
    rows = []
    for seed in range(DAYS):
        log_torque = pulls_of_a_day(seed)
        a, b = log_torque[0::2].mean(axis=1), log_torque[1::2].mean(axis=1)
        pooled = np.sqrt((np.var(a, ddof=1) + np.var(b, ddof=1)) / 2.0)
        se = float(pooled * np.sqrt(2.0 / PULLS))
        half = float(stats.t.ppf(0.975, 2 * PULLS - 2)) * se
        mixed, mixed_se = mixed_model(log_torque)
        rows.append(Three(judged(log_torque), float(np.expm1(b.mean() - a.mean())), half, se, mixed, mixed_se))
    return rows


def test_mixed_model_agrees_with_the_t_interval(judged_days: list[Three]) -> None:
    """The two references agree with each other, or neither is one."""
    for day in judged_days:
        assert np.expm1(day.mixed) == pytest.approx(day.classical, abs=0.1 * day.classical_se)
        assert day.mixed_se == pytest.approx(day.classical_se, rel=0.10)


def test_band_average_agrees(judged_days: list[Three]) -> None:
    """Drift is allowed for even where there is none: the answer may move by a part of its error."""
    moved = np.array([(day.ours.value - day.classical) / day.classical_se for day in judged_days])
    assert np.max(np.abs(moved)) < 1.0
    assert np.sqrt(np.mean(moved**2)) < 0.4
    assert abs(np.mean(moved)) < 0.2


def test_interval_is_as_wide(judged_days: list[Three]) -> None:
    """As wide as Student's on average; a prior may steady it within one day."""
    ours = np.array([(day.ours.high - day.ours.low) / 2.0 for day in judged_days])
    classical = np.array([day.classical_half for day in judged_days])
    assert 0.80 < np.mean(ours) / np.mean(classical) < 1.35
    assert np.min(ours / classical) > 0.45
    assert np.max(ours / classical) < 2.5


def test_interval_covers_the_truth_as_often(judged_days: list[Three]) -> None:
    inside = sum(day.ours.low <= GAIN <= day.ours.high for day in judged_days)
    assert inside >= 16  # 95 % of 20 is 19; 15 or fewer has a chance of 0.3 %
