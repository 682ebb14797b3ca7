"""Past work against a published meta-analysis, and against an independent library.

Birth certificates. Data: Colditz and others (1994), thirteen trials of BCG vaccine, two-by-two tables as reproduced in
the documentation of statistics packages (READ, second-hand). Results by restricted likelihood (log relative risk):
Viechtbauer (2010) and package output printed since, READ second-hand: -0.7145 (se 0.1798), -1.0669 to -0.3622,
tau squared 0.3132, tau 0.5597, I squared 92.22 %, Q 152.2330; relative risk of a next trial 0.1546 to 1.5490 by
normal quantiles. By DerSimonian and Laird: -0.7141 (0.1787), -1.0644 to -0.3638, tau squared 0.3088, I squared 92.12 %;
with the error of Hartung and Knapp 0.1807, t -3.9520, -1.1078 to -0.3204. Equal effects: -0.4303 (0.0405).
"""

from __future__ import annotations

import math
import warnings

import numpy as np
import pytest
from statsmodels.stats.meta_analysis import combine_effects

from fairpull.compare.past import summarise
from fairpull.compare.past.effects import NORMAL
from fairpull.compare.past.pooled import (
    hartung_knapp_factor,
    mean_interval,
    next_interval,
    plain_error,
    spread_share,
    t_quantile,
)
from fairpull.compare.past.spread import (
    dersimonian_laird,
    generalised_q,
    paule_mandel,
    restricted_likelihood,
    weighted_mean,
)
from fairpull.terms.arrays import FloatArray
from fairpull.terms.tuning import Effect

TRIALS = """
4 119 11 128  6 300 29 274  3 228 11 209  62 13536 248 12619  33 5036 47 5761  180 1361 372 1079  8 2537 10 619
505 87886 499 87892  29 7470 45 7232  17 1699 65 1600  186 50448 141 27197  5 2493 3 2338  27 16886 29 17825
"""


def log_relative_risks() -> tuple[FloatArray, FloatArray]:
    ill, well, ill_control, well_control = np.array(TRIALS.split(), dtype=np.float64).reshape(-1, 4).T
    treated, control = ill + well, ill_control + well_control
    sizes = np.log((ill / treated) / (ill_control / control))
    return sizes, 1.0 / ill - 1.0 / treated + 1.0 / ill_control - 1.0 / control


SIZES, VARIANCES = log_relative_risks()


def test_the_data_are_those_printed() -> None:
    assert len(SIZES) == 13
    assert np.round(SIZES[:3], 4).tolist() == [-0.8893, -1.5854, -1.3481]
    assert np.round(VARIANCES[[0, 5, 12]], 4).tolist() == [0.3256, 0.0069, 0.0714]


def test_restricted_likelihood() -> None:
    between = restricted_likelihood(SIZES, VARIANCES)
    assert round(between, 4) == 0.3132
    assert round(math.sqrt(between), 4) == 0.5597
    mean, error = weighted_mean(SIZES, VARIANCES, between), plain_error(VARIANCES, between)
    assert (round(mean, 4), round(error, 4)) == (-0.7145, 0.1798)
    assert [round(end, 4) for end in mean_interval(mean, error, NORMAL)] == [-1.0669, -0.3622]
    assert round(100 * spread_share(VARIANCES, between), 2) == 92.22
    ahead = np.exp(next_interval(mean, error, between, NORMAL))
    assert np.round(ahead, 4).tolist() == [0.1546, 1.5490]


def test_moments_and_the_error_of_hartung_and_knapp() -> None:
    between = dersimonian_laird(SIZES, VARIANCES)
    assert round(between, 4) == 0.3088
    assert round(generalised_q(SIZES, VARIANCES, 0.0), 4) == 152.2330
    assert round(100 * spread_share(VARIANCES, between), 2) == 92.12
    mean, error = weighted_mean(SIZES, VARIANCES, between), plain_error(VARIANCES, between)
    assert (round(mean, 4), round(error, 4)) == (-0.7141, 0.1787)
    assert [round(end, 4) for end in mean_interval(mean, error, NORMAL)] == [-1.0644, -0.3638]
    wider = error * hartung_knapp_factor(SIZES, VARIANCES, between)
    assert (round(wider, 4), round(mean / wider, 4)) == (0.1807, -3.9520)
    assert [round(end, 4) for end in mean_interval(mean, wider, t_quantile(12))] == [-1.1078, -0.3204]


def test_equal_effects() -> None:
    assert round(weighted_mean(SIZES, VARIANCES, 0.0), 4) == -0.4303
    assert round(plain_error(VARIANCES, 0.0), 4) == 0.0405


@pytest.mark.parametrize(("key", "theirs"), [("dersimonian-laird", "chi2"), ("paule-mandel", "iterated")])
def test_against_an_independent_library(key: str, theirs: str) -> None:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # about intervals of single trials, not used here
        found = combine_effects(SIZES, VARIANCES, method_re=theirs, use_t=True)
        low, high = found.conf_int(use_t=True)[3]  # random effects, error of Hartung and Knapp
    ours = {"dersimonian-laird": dersimonian_laird, "paule-mandel": paule_mandel}[key](SIZES, VARIANCES)
    assert ours == pytest.approx(found.tau2, rel=1e-9)
    effects = [
        Effect(f"trial {n}", size, math.sqrt(v)) for n, (size, v) in enumerate(zip(SIZES, VARIANCES, strict=True))
    ]
    summary = summarise("vaccine", effects, between=key)
    assert summary.mean is not None
    assert summary.mean.value == pytest.approx(found.mean_effect_re, rel=1e-9)
    if key == "dersimonian-laird":  # the factor is above 1, so the modified form is the plain one
        assert [summary.mean.low, summary.mean.high] == pytest.approx([low, high], rel=1e-9)
    else:  # by definition the factor is 1 here
        assert hartung_knapp_factor(SIZES, VARIANCES, ours) == pytest.approx(1.0, abs=1e-9)


def test_the_summary_of_the_trials() -> None:
    effects = [
        Effect(f"trial {n}", size, math.sqrt(v)) for n, (size, v) in enumerate(zip(SIZES, VARIANCES, strict=True))
    ]
    summary = summarise("vaccine", effects)
    assert summary.mean is not None
    assert round(summary.mean.value, 4) == -0.7145
    assert round(summary.between, 4) == 0.5597
    assert round(summary.heterogeneity, 4) == 0.9222
    # computed by hand from the printed 0.1798 times the factor 1.0056, t of 12 degrees 2.1788
    assert [round(summary.mean.low, 3), round(summary.mean.high, 3)] == [-1.108, -0.321]
