"""The loop's fit on published data with one clear top.

Source: N. D. Brinkman, Ethanol Fuel - A Single-Cylinder Engine Study of Efficiency and Exhaust Emissions, SAE
Transactions 90 (1981), 1410-1424; the table as distributed with W. S. Cleveland, Visualizing Data (1993). READ (data
file). It holds NOx against equivalence ratio at five compression ratios, no torque: it checks the curve fit, not the
trade's rules. The reference answer is least squares by statsmodels on the same points.
"""

from __future__ import annotations

import csv
from pathlib import Path

import numpy as np
import pytest
import statsmodels.api as sm

from fairpull.tune.parabola import Belief, fit_tops

# NOx falls by half within 0.15 of equivalence ratio either side of its top: read off the plotted data, not fitted.
BELIEF = Belief(curvature=25.0, curvature_spread=0.8, noise=0.06, noise_spread=0.8)
NEAR_TOP = (0.78, 1.05)


def near_top(folder: Path, ratio: float) -> tuple[np.ndarray, np.ndarray]:
    with (folder / "ethanol-single-cylinder" / "ethanol.csv").open(encoding="utf-8", newline="") as stream:
        rows = [row for row in csv.DictReader(stream) if float(row["compression_ratio"]) == ratio]
    x = np.array([float(row["equivalence_ratio"]) for row in rows])
    y = np.array([float(row["NOx"]) for row in rows])
    inside = (x > NEAR_TOP[0]) & (x < NEAR_TOP[1])
    return x[inside], y[inside]


@pytest.mark.parametrize("ratio", [7.5, 9.0, 12.0, 15.0, 18.0])
def test_the_top_is_where_least_squares_puts_it(reference_data: Path, ratio: float) -> None:
    x, y = near_top(reference_data, ratio)
    assert x.size >= 5
    fit = sm.OLS(y, np.column_stack([np.ones(x.size), x, x**2])).fit()
    vertex = -fit.params[1] / (2.0 * fit.params[2])
    slope = np.array([0.0, -1.0 / (2.0 * fit.params[2]), fit.params[1] / (2.0 * fit.params[2] ** 2)])
    error = float(np.sqrt(slope @ fit.cov_params() @ slope))
    tops = fit_tops(x, y, BELIEF)
    low, high = np.quantile(tops.place, (0.025, 0.975))
    assert abs(float(np.median(tops.place)) - vertex) < max(error, 0.004)
    assert low < vertex < high


def test_the_top_lies_a_little_lean_of_stoichiometric_at_every_ratio(reference_data: Path) -> None:
    """Brinkman's finding, as plotted by Cleveland: a top near an equivalence ratio of 0.9 at all compression ratios."""
    tops = [
        float(np.median(fit_tops(*near_top(reference_data, ratio), BELIEF).place)) for ratio in (7.5, 9, 12, 15, 18)
    ]
    assert min(tops) > 0.86
    assert max(tops) < 0.96
