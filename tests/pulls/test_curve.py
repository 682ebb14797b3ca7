"""Curves: known answers, tested range, other channels, and the standard error under correlated noise."""

from __future__ import annotations

import numpy as np
import pytest

from fairpull.pulls import PullOptions, curve, find
from fairpull.pulls.smooth import fit, local_weights
from fairpull.terms.arrays import FloatArray
from fairpull.terms.errors import NotComparable, ValueRefused
from fairpull.terms.pull import Pull
from tests.pulls.rig import ORIGIN, Rig, truth


def sweep(rpm: FloatArray, torque: FloatArray, **channels: FloatArray) -> Pull:
    return Pull(
        name="made", origin=ORIGIN, kind="sweep", channels={"rpm": rpm, "torque": torque, **channels}, sweep_rate=250.0
    )


RPM = np.linspace(2000.0, 6000.0, 3200)


@pytest.mark.parametrize("degree", [1, 2])
def test_polynomials_of_the_degree_come_back_exactly(degree: int) -> None:
    torque = 100.0 + 0.03 * RPM - (4e-6 * RPM**2 if degree == 2 else 0.0)
    laid = curve(sweep(RPM, torque), np.arange(2000.0, 6001.0, 50.0), degree=degree)
    expected = 100.0 + 0.03 * laid.rpm - (4e-6 * laid.rpm**2 if degree == 2 else 0.0)
    assert np.allclose(laid.torque, expected, atol=1e-6)
    assert np.nanmax(laid.torque_se) < 1e-3


def test_default_grid_and_choices() -> None:
    laid = curve(sweep(np.linspace(1985.0, 6024.0, 2000), np.full(2000, 100.0)))
    assert laid.rpm[0] == 2000.0
    assert laid.rpm[-1] == 6000.0
    assert np.array_equal(np.diff(laid.rpm), np.full(laid.rpm.size - 1, 100.0))
    assert laid.choices["bandwidth"] == "half-width 100 rpm"
    assert laid.choices["grid"] == "multiples of 100 rpm"
    assert set(laid.choices) >= {"curve", "torque standard error", "tested range"}


def test_never_beyond_the_tested_range() -> None:
    laid = curve(sweep(RPM, truth(RPM)), np.arange(1000.0, 7000.0, 5.0))
    inside = (laid.rpm >= RPM[0] - 10.0) & (laid.rpm <= RPM[-1] + 10.0)
    assert np.isnan(laid.torque[~inside]).all()
    assert np.isnan(laid.torque_se[~inside]).all()
    assert np.isfinite(laid.torque[inside]).all()
    strict = curve(sweep(RPM, truth(RPM)), np.array([1995.0, 2000.0, 2005.0]), tolerance=0.0)
    assert np.isfinite(strict.torque).tolist() == [False, True, True]


def test_valid_to_ends_the_curve() -> None:
    (pull,) = find(Rig().idle().pull().recording(), PullOptions(valid_to=5000.0))
    laid = curve(pull, np.arange(2000.0, 6001.0, 100.0))
    assert np.isfinite(laid.torque[laid.rpm == 5000.0]).all()
    assert np.isnan(laid.torque[laid.rpm > 5010.0]).all()
    assert laid.tested[1] <= 5000.0
    with pytest.raises(NotComparable):
        curve(find(Rig().idle().pull().recording(), PullOptions(valid_to=1500.0))[0])


def test_hole_inside_a_pull_stays_untested() -> None:
    torque = truth(RPM)
    torque[(RPM > 3800.0) & (RPM < 4200.0)] = np.nan
    laid = curve(sweep(RPM, torque))
    # the kernel reaches 100 rpm, and data must stand on both sides
    assert np.isnan(laid.torque[(laid.rpm > 3810.0) & (laid.rpm < 4190.0)]).all()
    assert np.isfinite(laid.torque[(laid.rpm < 3750.0) | (laid.rpm > 4250.0)]).all()
    (finding,) = [f for f in laid.findings if f.code == "curve-hole"]
    assert "3900" in finding.text


def test_other_channels_lie_on_the_same_grid() -> None:
    hot = 800.0 + 0.02 * RPM
    holed = np.where((RPM > 3000.0) & (RPM < 3020.0), np.nan, hot)
    laid = curve(sweep(RPM, truth(RPM), exhaust_temperature_1=hot, exhaust_temperature_2=holed, knock=RPM * np.nan))
    assert set(laid.channels) == {"exhaust_temperature_1", "exhaust_temperature_2", "knock"}
    for name in ("exhaust_temperature_1", "exhaust_temperature_2"):
        assert np.allclose(laid.channels[name], 800.0 + 0.02 * laid.rpm, atol=1e-6)
    assert np.isnan(laid.channels["knock"]).all()


def test_sparse_samples_widen_the_kernel() -> None:
    rpm = np.linspace(2000.0, 6000.0, 60)
    laid = curve(sweep(rpm, truth(rpm)))
    assert "widened" in laid.choices["bandwidth"]
    assert np.isfinite(laid.torque).all()
    narrow = curve(sweep(RPM, truth(RPM)), bandwidth=60.0)
    assert narrow.choices["bandwidth"] == "half-width 60 rpm"


def test_order_of_samples_does_not_matter() -> None:
    shuffled = np.random.default_rng(1).permutation(RPM.size)
    nodes = np.arange(2100.0, 5901.0, 100.0)
    plain = fit(local_weights(RPM, nodes, 100.0, 1, 0.0), truth(RPM))
    mixed = fit(local_weights(RPM[shuffled], nodes, 100.0, 1, 0.0), truth(RPM)[shuffled])
    assert np.allclose(plain, mixed, rtol=1e-12)


def test_nonsense_is_refused_at_once() -> None:
    pull = sweep(RPM, truth(RPM))
    with pytest.raises(ValueRefused) as caught:
        curve(pull, [3000.0, 2000.0], step=-1.0, bandwidth=0.0, degree=3)
    assert [fault.where for fault in caught.value.faults] == ["step", "bandwidth", "degree", "grid_rpm"]
    with pytest.raises(NotComparable, match="curve-no-node"):
        curve(sweep(np.linspace(2020.0, 2080.0, 50), np.full(50, 1.0)))


def first_order(rng: np.random.Generator, n: int, samples: float) -> FloatArray:
    """Noise of unit variance with a correlation time of so many samples (0: white), made in the frequency domain."""
    white = np.fft.rfft(rng.standard_normal(4 * n))
    angle = np.linspace(0.0, np.pi, white.size)
    phi = np.exp(-1.0 / samples) if samples else 0.0
    noise = np.fft.irfft(white / np.abs(1.0 - phi * np.exp(-1j * angle)), 4 * n)[:n]
    return np.asarray(noise * np.sqrt(1.0 - phi**2))


@pytest.mark.parametrize("seconds", [0.0, 0.02, 0.05, 0.1, 0.2])
@pytest.mark.parametrize("rate", [100.0, 250.0])
def test_standard_error_covers(seconds: float, rate: float) -> None:
    """The true curve lies within 1.96 standard errors at about 95 % of the nodes, whatever the noise's colour."""
    rng = np.random.default_rng(11)
    n = int(4000.0 / rate * 100.0)
    rpm: FloatArray = 2000.0 + rate * np.arange(n, dtype=np.float64) / 100.0
    scores = []
    for _ in range(40):
        torque = truth(rpm) + 2.0 * first_order(rng, n, 100.0 * seconds)
        laid = curve(sweep(rpm + 2.0 * rng.standard_normal(n), torque), np.arange(2100.0, 5901.0, 100.0))
        scores.append((laid.torque - truth(laid.rpm)) / laid.torque_se)
    z = np.array(scores)
    assert 0.925 < float(np.mean(np.abs(z) < 1.96)) < 0.99
    assert 0.75 < float(np.std(z)) < 1.1


def test_standard_error_knows_of_ripple_the_kernel_averages_out() -> None:
    (calm,) = find(Rig().idle().pull().recording())
    (rippled,) = find(Rig(ripple=20.0).idle().pull().recording())
    assert np.nanmedian(curve(rippled).torque_se) < 1.3 * np.nanmedian(curve(calm).torque_se)
