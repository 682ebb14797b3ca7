"""Running in: settled, still rising, cannot tell."""

from __future__ import annotations

import numpy as np
import pytest

from fairpull.terms.tuning import RunningIn
from fairpull.tune import running_in
from fairpull.tune.running_in import USUAL_HOURS


def trend(rise: float, n: int, *, seed: int = 0, build: str = "a" * 40, tau: float = 4.0) -> RunningIn:
    rng = np.random.default_rng(seed)
    hours = np.arange(1.0, n + 1.0)
    torque = 300.0 * (1.0 - rise * np.exp(-hours / tau)) * (1.0 + 0.003 * rng.standard_normal(n))
    torque *= np.where(np.array(list(build[:n])) == "b", 1.05, 1.0)
    return running_in("Anvil", [f"p{i}" for i in range(n)], list(build[:n]), hours, torque)


def test_an_old_engine_has_settled_and_a_new_one_has_not() -> None:
    old = running_in(
        "Anvil",
        ["p0", "p1", "p2"],
        ["a"] * 3,
        np.array([60.0, 60.1, 60.2]),
        np.array([300.0, 301.0, 300.2]),
        usual=USUAL_HOURS,
    )
    assert old.settled_at == "p0"
    assert old.still_to_come is None
    young = trend(0.06, 4)
    assert young.settled_at == ""
    assert young.still_to_come is not None
    assert "settled since" not in young.sentence


def test_a_long_day_settles() -> None:
    late = trend(0.05, 24, tau=3.0)
    assert late.settled_at not in ("", "p0", "p1")
    assert late.sentence.startswith(f"Anvil has settled since {late.settled_at}")


def test_a_better_part_is_not_running_in() -> None:
    """Five per cent from a part in the middle of a settled day must not look like a rise of the engine."""
    changed = trend(0.0, 20, build="a" * 10 + "b" * 10)
    assert changed.settled_at != ""


def test_what_is_to_come_holds_the_truth() -> None:
    """60 engines drawn from the belief: 95 % less three binomial standard errors is 86.5 %."""
    rng = np.random.default_rng(1)
    held = 0
    for seed in range(60):
        rise, tau = 0.02 * rng.standard_normal(), 6.0 * np.exp(0.6 * rng.standard_normal())
        found = trend(rise, 6, seed=seed, tau=tau)
        if found.still_to_come is None:
            held += 1
            continue
        truth = rise * np.exp(-6.0 / tau)
        held += int(found.still_to_come.low <= truth <= found.still_to_come.high)
    assert held >= 0.865 * 60


def test_blow_by_that_still_falls_holds_the_verdict_back() -> None:
    hours = np.arange(40.0, 46.0)
    torque = np.full(6, 300.0)
    falling = np.linspace(1.0e-3, 0.8e-3, 6)
    found = running_in("Anvil", list("abcdef"), ["x"] * 6, hours, torque, falling)
    assert found.settled_at == ""
    assert [finding.code for finding in found.findings] == ["blow-by-still-falling"]
    assert found.sentence == "Anvil is still running in: blow-by is falling."
    steady = running_in("Anvil", list("abcdef"), ["x"] * 6, hours, torque, np.full(6, 1.0e-3))
    assert steady.settled_at == "a"


def test_uneven_oil_is_said() -> None:
    hours = np.arange(40.0, 46.0)
    oil = np.array([360.0, 361.0, 368.0, 361.0, 361.0, 361.0])
    found = running_in("Anvil", list("abcdef"), ["x"] * 6, hours, np.full(6, 300.0), None, oil)
    assert [finding.code for finding in found.findings] == ["running-in-oil"]


@pytest.mark.parametrize("n", [0, 1, 2])
def test_two_pulls_say_nothing(n: int) -> None:
    found = running_in("Anvil", ["p"] * n, ["a"] * n, np.arange(float(n)), np.full(n, 300.0))
    assert found.trend is None
    assert "3 that agree would" in found.sentence


def test_trends_of_blow_by_and_oil_come_with_intervals() -> None:
    """Straight lines by hand: blow-by 10, 9, 8, 7 falls by 1 of 8.5 a pull, without scatter; oil 90, 91, 92, 95 K."""
    gone = np.nan
    hours, torque = np.arange(1.0, 6.0), np.array([300.0, 300.5, 300.2, 300.4, 300.3])
    blow, oil = np.array([gone, 10.0, 9.0, 8.0, 7.0]), np.array([gone, 363.0, 364.0, 365.0, 368.0])
    made = running_in("Anvil", list("abcde"), ["x"] * 5, hours, torque, blow, oil)
    assert (made.age, made.latest) == ("pulls", 4)
    assert made.blow_by_trend is not None
    assert made.blow_by_trend.value == pytest.approx(-1.0 / 8.5)
    assert made.blow_by_trend.high - made.blow_by_trend.low == pytest.approx(0.0, abs=1e-9)
    assert made.oil_trend is not None
    # slope (1.5 x 5 + 0.5 x 1) / 5 = 1.6; residuals 0.4, -0.2, -0.8, 0.6: error sqrt(1.2 / 2 / 5); t(2) = 4.3027
    assert made.oil_trend.value == pytest.approx(1.6)
    assert made.oil_trend.high - made.oil_trend.value == pytest.approx(4.3027 * np.sqrt(0.6 / 5.0), rel=1e-4)
    aged = running_in("Anvil", list("abc"), ["x"] * 3, hours[:3], torque[:3], usual=USUAL_HOURS, age="h")
    assert (aged.age, aged.blow_by_trend, aged.oil_trend) == ("h", None, None)
