"""Laws of the pulls: units, scalars and arrays, limits, shifts, and independent references."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import signal, stats

from fairpull.pulls import (
    PullOptions,
    calibrate,
    curve,
    find,
    inertia_torque,
    local_gravity,
    shift_channel,
    true_torque,
    weight_torque,
)
from fairpull.pulls.line import fit_line, predict
from fairpull.pulls.linearity import intercept_term
from fairpull.pulls.smooth import dense, local_weights
from fairpull.pulls.speed import rate_of_change
from fairpull.terms.arrays import FloatArray
from fairpull.terms.errors import FairpullError
from fairpull.terms.recording import Recording
from tests.pulls.rig import ORIGIN, Rig

LOADS = np.linspace(0.0, 300.0, 11)
LINE = calibrate(LOADS, 1.01 * LOADS + 0.5)


def with_torque(recording: Recording, torque: FloatArray) -> Recording:
    return replace(recording, channels={**recording.channels, "torque": torque})


def test_scalar_equals_vector() -> None:
    x = np.array([0.1, 0.7, 1.2])
    pairs = (
        (local_gravity(x), [local_gravity(float(v)) for v in x]),
        (weight_torque(x, 0.5), [weight_torque(float(v), 0.5) for v in x]),
        (inertia_torque(0.2, x), [inertia_torque(0.2, float(v)) for v in x]),
        (true_torque(x, LINE), [true_torque(float(v), LINE) for v in x]),
        (predict(fit_line(LOADS, LOADS**1.01), x)[1], [predict(fit_line(LOADS, LOADS**1.01), float(v))[1] for v in x]),
    )
    for vector, scalars in pairs:
        assert isinstance(vector, np.ndarray)
        assert all(isinstance(value, float) for value in scalars)
        assert np.array_equal(vector, np.array(scalars))


@given(st.floats(0.5, 2.0), st.floats(-20.0, 20.0), st.floats(0.1, 1000.0))
def test_calibration_round_trip_and_units(slope: float, intercept: float, unit: float) -> None:
    made = calibrate(LOADS, slope * LOADS + intercept)
    assert np.allclose(true_torque(slope * LOADS + intercept, made), LOADS, atol=1e-7)
    other = calibrate(unit * LOADS, unit * (slope * LOADS + intercept))  # the same brake in another unit of torque
    assert other.slope == pytest.approx(made.slope, rel=1e-9)
    assert other.intercept == pytest.approx(unit * made.intercept, abs=1e-9 * unit * 300.0)
    assert intercept_term(slope, intercept, 10.0) >= 0.0


def test_line_agrees_with_an_independent_library() -> None:
    rng = np.random.default_rng(1)
    x = rng.uniform(0.0, 500.0, 30)
    y = 0.99 * x + 2.0 + rng.standard_normal(30)
    line, reference = fit_line(x, y), stats.linregress(x, y)
    assert line.slope == pytest.approx(reference.slope, rel=1e-12)
    assert line.intercept == pytest.approx(reference.intercept, rel=1e-10)
    assert line.slope_se == pytest.approx(reference.stderr, rel=1e-10)
    assert line.intercept_se == pytest.approx(reference.intercept_stderr, rel=1e-10)
    assert line.r2 == pytest.approx(reference.rvalue**2, rel=1e-12)


def test_rate_of_change_agrees_with_an_independent_filter() -> None:
    values = np.cumsum(np.random.default_rng(2).standard_normal(500))
    time: FloatArray = 0.01 * np.arange(500, dtype=np.float64)
    expected = signal.savgol_filter(values, 51, 2, deriv=1, delta=0.01, mode="interp")
    assert np.allclose(rate_of_change(time, values, 0.25), expected, atol=1e-8)


@settings(deadline=None, max_examples=30)
@given(st.integers(0, 1000), st.sampled_from([1, 2]))
def test_weights_reproduce_polynomials(seed: int, degree: int) -> None:
    rng = np.random.default_rng(seed)
    x = rng.uniform(2000.0, 6000.0, 400)
    nodes = np.arange(2300.0, 5701.0, 100.0)
    weights = local_weights(x, nodes, 150.0, degree, 0.0)
    matrix = dense(weights)[weights.usable]
    assert np.allclose(matrix.sum(axis=1), 1.0)
    assert np.allclose(matrix @ (x - 4000.0), nodes[weights.usable] - 4000.0, atol=1e-6)


def test_torque_in_another_unit_gives_the_same_curve() -> None:
    recording = Rig(ripple=5.0).idle().pull().recording()
    plain = curve(find(recording)[0])
    scaled = curve(find(with_torque(recording, 0.5 * recording.channels["torque"]))[0])
    assert np.allclose(scaled.torque, 0.5 * plain.torque, rtol=1e-9)
    assert np.allclose(scaled.torque_se, 0.5 * plain.torque_se, rtol=1e-6)
    assert scaled.tested == plain.tested


def test_start_of_the_clock_does_not_matter() -> None:
    recording = Rig().idle().pull().recording()
    later = replace(recording, channels={**recording.channels, "time": recording.channels["time"] + 5000.0})
    options = PullOptions(inertia=0.2)
    plain, moved = find(recording, options)[0], find(later, options)[0]
    assert (plain.first_row, plain.last_row) == (moved.first_row, moved.last_row)
    assert plain.started_at == pytest.approx(moved.started_at)
    assert np.allclose(curve(plain).torque, curve(moved).torque, atol=1e-6)


def test_zero_inertia_is_no_correction() -> None:
    recording = Rig().idle().pull().recording()
    plain, zero = find(recording)[0], find(recording, PullOptions(inertia=0.0))[0]
    assert np.allclose(plain.channels["torque"], zero.channels["torque"])


def test_constant_offset_passes_through_the_curve() -> None:
    recording = Rig().idle().pull().recording()
    plain = curve(find(recording)[0])
    shifted = curve(find(with_torque(recording, recording.channels["torque"] + 7.0))[0])
    assert np.allclose(shifted.torque - plain.torque, 7.0, atol=1e-6)


def test_finding_again_and_laying_again_give_the_same() -> None:
    recording = Rig(ripple=5.0, hunting=10.0).idle().pull().recording()
    before = {name: values.copy() for name, values in recording.channels.items()}
    one, two = curve(find(recording)[0]), curve(find(recording)[0])
    assert np.array_equal(one.torque, two.torque)
    assert np.array_equal(one.torque_se, two.torque_se)
    for name, values in before.items():  # the recording is left as it was
        assert np.array_equal(values, recording.channels[name], equal_nan=True)


@given(st.floats(-0.5, 0.5))
def test_shift_of_a_straight_line_is_exact(lag: float) -> None:
    time = np.linspace(0.0, 10.0, 501)
    moved = shift_channel(time, 3.0 * (time - lag), lag)
    inside = np.isfinite(moved)
    assert inside.sum() >= 470
    assert np.allclose(moved[inside], 3.0 * time[inside], atol=1e-9)


def test_more_samples_shrink_the_error_as_the_root() -> None:
    errors = []
    for n in (1000, 4000):
        rng = np.random.default_rng(9)
        rig = Rig(rate=n / 16.0, seed=int(rng.integers(100))).idle().pull()
        errors.append(float(np.nanmedian(curve(find(rig.recording())[0]).torque_se)))
    assert errors[0] / errors[1] == pytest.approx(2.0, rel=0.25)


def broken(seed: int) -> Recording:
    """A recording that nobody would want: random pieces, missing, infinite and constant values."""
    rng = np.random.default_rng(seed)
    channels: dict[str, FloatArray]
    if rng.random() < 0.5:
        rig = Rig(rate=float(rng.choice([5.0, 20.0, 100.0])), noise=float(rng.choice([0.0, 2.0, 50.0])))
        for _ in range(int(rng.integers(1, 5))):
            low, high = rng.uniform(0.0, 7000.0, 2)
            rig.add(float(rng.uniform(0.5, 9.0)), low, high, float(rng.choice([0.0, 0.9, 1.0])), rng.uniform(-0.3, 1.0))
        channels = dict(rig.recording(throttle=bool(rng.integers(2))).channels)
    else:
        n = int(rng.choice([0, 1, 2, 3, 5, 7, 20, 100, 500]))
        constants = [0.0, 1.0, np.nan, 3000.0, -5.0, 1e12, np.inf]
        channels = {
            name: rng.uniform(0.0, 6000.0, n) if rng.random() < 0.5 else np.full(n, rng.choice(constants))
            for name in ("rpm", "torque", "throttle", "power", "barometer")
        }
        channels["time"] = np.arange(n, dtype=np.float64) * float(rng.choice([0.001, 0.1, 1.0, 60.0, 0.0]))
    for name, values in channels.items():
        if rng.random() < 0.3:
            holed: FloatArray = np.array(values, dtype=np.float64)
            holed[rng.random(holed.size) < rng.choice([0.01, 0.3, 0.9])] = rng.choice([np.nan, np.inf, -1e9, 0.0])
            channels[name] = holed
    kind = str(rng.choice(["trace", "table"]))
    return Recording(name="broken", origin=ORIGIN, channels=channels, kind=kind)


@settings(deadline=None, max_examples=150)
@given(st.integers(0, 100_000))
def test_any_recording_gives_pulls_or_a_refusal(seed: int) -> None:
    recording = broken(seed)
    kind = ("auto", "sweep", "steps")[seed % 3]
    try:
        pulls = find(recording, PullOptions(kind=kind, inertia=0.2 if seed % 2 else None))
    except FairpullError as refusal:
        pulls = ()
        told = [bool(fault.where and fault.seen and fault.remedy) for fault in refusal.faults]
    else:
        told = [bool(pulls)]
    assert told
    assert all(told)
    for pull in pulls:
        assert 0 <= pull.first_row <= pull.last_row < recording.channels["rpm"].size
        try:
            laid = curve(pull)
        except FairpullError:
            continue
        outside = (laid.rpm < laid.tested[0] - 10.0) | (laid.rpm > laid.tested[1] + 10.0)
        assert np.isnan(laid.torque[outside]).all()
