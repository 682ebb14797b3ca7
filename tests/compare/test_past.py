"""Past work with none, one, two and many comparisons; effects that share pulls; laws."""

from __future__ import annotations

import math

import numpy as np
import pytest

from fairpull.compare import compare
from fairpull.compare.past import effect_of, summarise
from fairpull.compare.past.effects import sharing
from fairpull.compare.past.spread import BETWEEN, restricted_likelihood, restricted_log_likelihood
from fairpull.terms.errors import UnknownName, ValueRefused
from fairpull.terms.tuning import Effect
from tests.compare.days import alternating


def effects(*sizes: float, error: float = 0.004) -> list[Effect]:
    return [Effect(f"day {n}", size, error) for n, size in enumerate(sizes, 1)]


def test_none() -> None:
    none = summarise("camshaft", [])
    assert none.mean is None
    assert none.expected is None
    assert none.sentence.startswith("No past comparison of camshaft")


def test_one_is_its_own_interval_and_no_expectation() -> None:
    one = summarise("header", effects(0.036))
    assert one.mean is not None
    assert (one.mean.low, one.mean.high) == pytest.approx((0.036 - 1.96 * 0.004, 0.036 + 1.96 * 0.004), abs=1e-6)
    assert one.expected is None
    assert "One comparison only of header: +3.6 % (+2.8 to +4.4 %)" in one.sentence
    assert [finding.code for finding in one.findings] == ["few-comparisons"]


def test_two_are_wide() -> None:
    two = summarise("header", effects(0.036, 0.041))
    assert two.mean is not None
    assert two.mean.value == pytest.approx(0.0385)
    # by hand: sd of the mean 0.004/sqrt 2, t with 1 degree 12.706; the two agree, so no spread between them
    assert two.mean.high - two.mean.value == pytest.approx(12.706 * 0.004 / math.sqrt(2), rel=1e-4)
    assert two.between == 0.0
    assert two.expected is not None
    assert two.expected.high == pytest.approx(two.mean.high)


def test_two_that_differ_give_a_spread() -> None:
    two = summarise("header", effects(0.01, 0.09, error=0.002))
    # by hand: restricted likelihood of two equal errors is the sample variance less the error's: 0.0032 - 0.000004
    assert two.between == pytest.approx(math.sqrt(0.0032 - 4e-6), rel=1e-6)
    assert two.heterogeneity == pytest.approx(1.0 - 4e-6 / 0.0032, rel=1e-6)


@pytest.mark.parametrize("key", BETWEEN)
def test_equal_errors_have_a_closed_form(key: str) -> None:
    sizes = (0.01, 0.03, 0.035, 0.05, 0.02)
    summary = summarise("header", effects(*sizes, error=0.003), between=key)
    assert summary.between**2 == pytest.approx(np.var(sizes, ddof=1) - 0.003**2, rel=1e-9)
    assert summary.mean is not None
    assert summary.mean.value == pytest.approx(np.mean(sizes))


def test_effects_that_happen_to_agree_do_not_narrow_the_interval() -> None:
    alike = summarise("header", effects(0.03, 0.0301, 0.0299, 0.03))
    assert alike.mean is not None
    assert alike.mean.high - alike.mean.value == pytest.approx(3.18245 * 0.004 / 2.0, rel=1e-4)


def test_expectation_is_wider_than_the_mean() -> None:
    many = summarise("header", effects(0.01, 0.03, 0.035, 0.05, 0.02, 0.06, error=0.003))
    assert many.mean is not None
    assert many.expected is not None
    assert many.expected.low < many.mean.low < many.mean.value < many.mean.high < many.expected.high
    assert many.sentence.startswith(
        "Next time expect of header +3 %, 95 % of cases -2 to +9 % (mean of 6 comparisons +1.5 "
    )
    assert many.findings == ()


def test_units_scale_through() -> None:
    plain = effects(0.01, 0.03, 0.035, 0.05, 0.02, error=0.003)
    scaled = [Effect(one.name, one.size / 6895.0, one.standard_error / 6895.0) for one in plain]
    share, each = summarise("boost", plain), summarise("boost", scaled, unit="1/Pa")
    assert share.mean is not None
    assert each.mean is not None
    assert each.mean.low * 6895.0 == pytest.approx(share.mean.low, rel=1e-6)
    assert each.heterogeneity == pytest.approx(share.heterogeneity, rel=1e-6)
    assert "% per kPa" in each.sentence
    first = each.sentence.split()[5]  # a half-width of some 0.6 % per kPa earns one decimal
    assert first == f"{1e5 * each.mean.value:+.1f}"


def test_the_likelihood_is_greatest_there() -> None:
    rng = np.random.default_rng(5)
    for _ in range(20):
        variances = rng.uniform(0.5, 3.0, 7) ** 2
        sizes = rng.normal(0.0, np.sqrt(variances + 2.0))
        found = restricted_likelihood(sizes, variances)
        top = restricted_log_likelihood(sizes, variances, found)
        for other in (0.0, 0.9 * found, 1.1 * found, found + 0.01, 10.0 * found):
            assert top >= restricted_log_likelihood(sizes, variances, other) - 1e-12


def test_the_mean_is_covered_by_its_interval() -> None:
    rng = np.random.default_rng(11)
    inside = ahead = 0
    for _ in range(200):
        error = rng.uniform(0.002, 0.008, 5)
        truth = 0.03 + 0.01 * rng.standard_normal(6)
        found = summarise(
            "header",
            [Effect(str(n), truth[n] + error[n] * rng.standard_normal(), error[n]) for n in range(5)],
            between="paule-mandel",
        )
        assert found.mean is not None
        assert found.expected is not None
        inside += found.mean.low <= 0.03 <= found.mean.high
        ahead += found.expected.low <= truth[5] <= found.expected.high
    assert inside >= 184  # 92 %: 95 % less two standard errors of 200 draws
    assert ahead >= 180


def test_shared_pulls_are_said() -> None:
    shared = [
        Effect("C against A", 0.03, 0.004, pulls=("A1", "A2", "C1")),
        Effect("D against B", 0.02, 0.004, pulls=("B1", "D1")),
        Effect("E against A", 0.05, 0.004, pulls=("A2", "E1")),
    ]
    assert sharing(shared) == (("C against A", "E against A"),)
    found = {finding.code: finding for finding in summarise("header", shared).findings}
    assert found["effects-share-pulls"].where == "C against A; E against A"
    chain = [Effect("1", 0, 1, pulls=("a",)), Effect("2", 0, 1, pulls=("b",)), Effect("3", 0, 1, pulls=("a", "b"))]
    assert sharing(chain) == (("1", "2", "3"),)


def test_effects_without_an_error_are_refused_all_at_once() -> None:
    bad = [Effect("one", 0.03, 0.0), Effect("two", float("nan"), 0.004), Effect("three", 0.02, 0.004)]
    with pytest.raises(ValueRefused) as refusal:
        summarise("header", bad)
    assert [fault.where for fault in refusal.value.faults] == ["comparison one", "comparison two"]
    with pytest.raises(UnknownName):
        summarise("header", effects(0.01, 0.02), between="guess")


def test_a_comparison_becomes_an_effect() -> None:
    difference = compare(alternating(3, lambda rpm: 0.03 + 0.0 * rpm)).differences[0]
    effect = effect_of(difference, pulls=("A0", "B0"))
    assert effect.name == "B against A"
    assert effect.size == difference.mean_ratio.value
    assert effect.standard_error == pytest.approx(
        (difference.mean_ratio.high - difference.mean_ratio.low) / 3.92, rel=1e-4
    )
    assert effect.pulls == ("A0", "B0")
    assert effect_of(difference, per=-2.0).standard_error == pytest.approx(effect.standard_error / 2.0)
