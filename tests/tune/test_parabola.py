"""The loop's top out of points: against ordinary least squares, by simulation, and what the next point would tell."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import statsmodels.api as sm

from fairpull.tune.parabola import Belief, Tops, fit_tops, next_point

WIDE = Belief(curvature=5e-4, curvature_spread=1.5, noise=0.003, noise_spread=1.5)
TRADE = Belief(curvature=4.8e-4, curvature_spread=0.4, noise=0.003, noise_spread=0.45)
SETTINGS = np.array([18.0, 22.0, 26.0, 30.0, 34.0, 38.0, 42.0])


def points(rng: np.random.Generator, setting: np.ndarray, top: float, curvature: float, noise: float) -> np.ndarray:
    """Torque of a loop with independent noise, own code."""
    clean = 300.0 - 300.0 * curvature * (setting - top) ** 2
    return np.asarray(clean * (1.0 + noise * rng.standard_normal(setting.size)))


def test_many_points_and_little_belief_give_the_vertex_of_least_squares() -> None:
    rng = np.random.default_rng(3)
    setting = np.repeat(SETTINGS, 8)
    torque = points(rng, setting, 29.0, 5e-4, 0.004)
    fit = sm.OLS(torque, np.column_stack([np.ones(setting.size), setting, setting**2])).fit()
    vertex = -fit.params[1] / (2.0 * fit.params[2])
    slope = np.array([0.0, -1.0 / (2.0 * fit.params[2]), fit.params[1] / (2.0 * fit.params[2] ** 2)])
    error = float(np.sqrt(slope @ fit.cov_params() @ slope))  # delta method
    tops = fit_tops(setting, torque, WIDE)
    assert abs(np.median(tops.place) - vertex) < 0.15 * error
    assert tops.place.std() == pytest.approx(error, rel=0.12)


@pytest.mark.parametrize(("count", "widest"), [(2, 20.0), (3, 9.0), (5, 4.0)])
def test_the_interval_holds_the_top_as_often_as_it_says(count: int, widest: float) -> None:
    """150 loops drawn from the belief: coverage of 95 % less three binomial standard errors is 89.7 %."""
    rng = np.random.default_rng(count)
    held, widths = 0, []
    for _ in range(150):
        top = rng.uniform(27.0, 33.0)
        curvature = TRADE.curvature * np.exp(TRADE.curvature_spread * rng.standard_normal())
        noise = TRADE.noise * np.exp(TRADE.noise_spread * rng.standard_normal())
        setting = np.linspace(24.0, 36.0, count)
        low, high = np.quantile(
            fit_tops(setting, points(rng, setting, top, curvature, noise), TRADE).place, (0.025, 0.975)
        )
        held += int(low <= top <= high)
        widths.append(high - low)
    assert held >= 0.897 * 150
    assert np.mean(widths) < widest


def test_the_unit_of_the_setting_does_not_matter() -> None:
    torque = points(np.random.default_rng(5), SETTINGS, 30.0, 5e-4, 0.003)
    degrees = fit_tops(SETTINGS, torque, TRADE)
    share = np.pi / 180.0
    radians = fit_tops(SETTINGS * share, torque, replace(TRADE, curvature=TRADE.curvature / share**2))
    np.testing.assert_allclose(radians.place / share, degrees.place, rtol=1e-9)
    np.testing.assert_allclose(radians.height, degrees.height, rtol=1e-9)


def test_a_place_believed_beforehand_pulls_the_top() -> None:
    setting, torque = np.array([28.0, 31.0]), np.array([300.0, 300.0])
    free = fit_tops(setting, torque, TRADE)
    told = fit_tops(setting, torque, replace(TRADE, place=35.0, place_spread=1.0))
    assert np.median(told.place) > np.median(free.place) + 1.0


@pytest.mark.parametrize(("setting", "torque"), [([30.0, 30.0], [1.0, 1.0]), ([28.0, 30.0], [1.0, 0.0])])
def test_points_that_are_no_loop_are_an_error(setting: list[float], torque: list[float]) -> None:
    with pytest.raises(ValueError, match="two different settings"):
        fit_tops(np.array(setting), np.array(torque), TRADE)


def test_the_next_point_takes_away_what_it_promises() -> None:
    """The promised point, run on loops drawn from what is known, takes that share of the variance away on average."""
    rng = np.random.default_rng(9)
    setting = np.array([22.0, 25.0, 28.0])
    torque = points(rng, setting, 31.0, 5e-4, 0.003)
    known = fit_tops(setting, torque, TRADE)
    best, gain = next_point(known, np.arange(18.0, 37.0))
    assert best > 28.0
    left = []
    for draw in rng.integers(0, known.place.size, 60):
        one = Tops(*(np.array([part[draw]]) for part in (known.place, known.curvature, known.height, known.noise)))
        measured = one.torque(np.array([best]))[0, 0] * (1.0 + one.noise[0] * rng.standard_normal())
        after = fit_tops(np.append(setting, best), np.append(torque, measured), TRADE)
        left.append(after.place.var())
    assert np.mean(left) / known.place.var() == pytest.approx(1.0 - gain, abs=0.2)
    _, near = next_point(known, np.array([25.0]))
    assert near < gain
