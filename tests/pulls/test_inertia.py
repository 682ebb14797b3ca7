"""Rotating inertia: the correction takes the sweep rate out, and both estimators find the inertia put in."""

from __future__ import annotations

import numpy as np
import pytest

from fairpull.pulls import PullOptions, curve, find, inertia_from_coast_down, inertia_from_sweep_rates
from fairpull.pulls.speed import rate_of_change
from fairpull.terms.errors import NotComparable
from fairpull.terms.pull import Pull
from tests.pulls.rig import RAD, Rig, truth

INERTIA = 0.25


def pull_at(rate: float, seed: int = 1, hunting: float = 0.0, inertia: float | None = None) -> Pull:
    recording = Rig(seed=seed, inertia=INERTIA, hunting=hunting).idle().pull(rate=rate).recording()
    return find(recording, PullOptions(inertia=inertia))[0]


@pytest.mark.parametrize("rate", [100.0, 300.0, 600.0])
def test_correction_takes_the_rate_out(rate: float) -> None:
    raw, corrected = curve(pull_at(rate)), curve(pull_at(rate, inertia=INERTIA))
    hidden = INERTIA * rate * RAD
    assert np.nanmean(raw.torque - truth(raw.rpm)) == pytest.approx(-hidden, abs=0.15)
    assert np.nanmean(corrected.torque - truth(corrected.rpm)) == pytest.approx(0.0, abs=0.15)
    assert "I = 0.25 kg m2" in corrected.choices["inertia"]
    assert raw.choices["inertia"].startswith("none")


def test_correction_follows_a_hunting_brake() -> None:
    raw, corrected = pull_at(250.0, hunting=20.0), pull_at(250.0, hunting=20.0, inertia=INERTIA)

    def scatter(pull: Pull) -> float:
        return float(np.std(pull.channels["torque"] - truth(pull.channels["rpm"])))

    assert scatter(corrected) < 0.75 * scatter(raw)


def test_corrected_power_follows_corrected_torque() -> None:
    recording = Rig(inertia=INERTIA).idle().pull().recording()
    power = recording.channels["torque"] * recording.channels["rpm"] * RAD
    given = Rig(inertia=INERTIA).idle().pull().recording(power=power)
    (pull,) = find(given, PullOptions(inertia=INERTIA))
    assert np.allclose(pull.channels["power"], pull.channels["torque"] * pull.channels["rpm"] * RAD)


def test_two_sweep_rates_find_the_inertia() -> None:
    estimates = [inertia_from_sweep_rates(pull_at(100.0, seed), pull_at(600.0, seed + 100)) for seed in range(6)]
    for estimate in estimates:
        assert abs(estimate.value - INERTIA) < 2.0 * estimate.se
        assert estimate.findings == ()
    assert np.mean([estimate.value for estimate in estimates]) == pytest.approx(INERTIA, abs=0.005)


def test_error_of_two_rates_knows_of_pull_to_pull_scatter() -> None:
    slow, fast = pull_at(100.0), pull_at(600.0)
    alone = inertia_from_sweep_rates(slow, fast, scatter=0.0)
    usual = inertia_from_sweep_rates(slow, fast)
    # 0.4 % of about 285 N m, both pulls, over 500 rpm/s
    assert np.sqrt(usual.se**2 - alone.se**2) == pytest.approx(0.004 * 285.0 * 2**0.5 / (500.0 * RAD), rel=0.03)


def test_sweep_rate_refusals() -> None:
    slow, fast = pull_at(200.0), pull_at(280.0)
    for pair, code in (
        ((slow, fast), "inertia-rates-alike"),
        ((pull_at(600.0), slow), "inertia-rates-alike"),
        ((slow, pull_at(600.0, inertia=INERTIA)), "inertia-corrected"),
    ):
        with pytest.raises(NotComparable, match=code):
            inertia_from_sweep_rates(*pair)


def coast(friction: float, brake: float, slope: float = 0.0) -> tuple[np.ndarray, np.ndarray]:
    """Coast-down of 0.25 kg m2 against brake + friction (1 + slope * rpm / 1000)."""
    dt = 0.005
    time = np.arange(0.0, 6.0, dt)
    rpm = np.empty(time.size)
    rpm[0] = 5000.0
    for i in range(1, time.size):
        torque = brake + friction * (1.0 + slope * rpm[i - 1] / 1000.0)
        rpm[i] = rpm[i - 1] - torque / INERTIA / RAD * dt
    keep = rpm > 1000.0
    return time[keep], rpm[keep]


def test_coast_down_with_constant_torques() -> None:
    time, rpm = coast(20.0, 5.0)
    noisy = rpm + 5.0 * np.random.default_rng(1).standard_normal(rpm.size)
    estimate = inertia_from_coast_down(time, noisy, 5.0, 20.0)
    assert estimate.value == pytest.approx(INERTIA, rel=0.002)
    assert estimate.se == pytest.approx(0.02 * INERTIA, rel=0.05)  # the torque's own 2 %
    exact = inertia_from_coast_down(time, rpm, np.full(time.size, 5.0), 20.0, torque_uncertainty=0.0)
    assert exact.value == pytest.approx(INERTIA, rel=1e-9)


def test_coast_down_with_a_friction_table() -> None:
    time, rpm = coast(15.0, 0.0, slope=0.2)
    table = (np.array([900.0, 5100.0]), 15.0 * (1.0 + 0.2 * np.array([0.9, 5.1])))
    estimate = inertia_from_coast_down(time, rpm, 0.0, table, torque_uncertainty=0.0)
    assert estimate.value == pytest.approx(INERTIA, rel=2e-3)
    with pytest.raises(NotComparable, match="coast-friction"):
        inertia_from_coast_down(time, rpm, 0.0, (np.array([2000.0, 5100.0]), np.array([15.0, 25.0])))


def test_coast_down_refusals() -> None:
    time, rpm = coast(20.0, 5.0)
    with pytest.raises(NotComparable, match="coast-sign"):
        inertia_from_coast_down(time, rpm, -25.0, 20.0)
    with pytest.raises(NotComparable, match="coast-short"):
        inertia_from_coast_down(time[:20], rpm[:20], 5.0, 20.0)


def test_rate_of_change_is_exact_for_a_quadratic_to_its_ends() -> None:
    time = np.arange(0.0, 3.0, 0.01)
    slope = rate_of_change(time, 4.0 + 3.0 * time - 2.0 * time**2, 0.25)
    assert np.allclose(slope, 3.0 - 4.0 * time, atol=1e-9)
    uneven = np.sort(np.random.default_rng(1).uniform(0.0, 3.0, 600))
    assert np.allclose(rate_of_change(uneven, 7.0 * uneven, 0.25), 7.0, atol=1e-6)
