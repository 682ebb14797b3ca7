"""Every knob of the cleaning turns something: each option, set otherwise, changes what comes out of one day's logs."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import fields

import numpy as np
import pytest

from fairpull.pulls import PullOptions, curve, find
from fairpull.terms.arrays import FloatArray
from fairpull.terms.calibration import Calibration
from fairpull.terms.errors import FairpullError
from fairpull.terms.recording import Origin, Recording

RATE = 50.0  # rows per second


def recording(time: FloatArray, channels: dict[str, FloatArray]) -> Recording:
    return Recording("knobs", Origin("knobs.csv", "0" * 64, "delimited", "made"), {"time": time, **channels})


def shaped(rpm: FloatArray) -> FloatArray:
    return np.asarray(300.0 - 4e-6 * (rpm - 4000.0) ** 2)


def sweeps() -> Recording:
    """A day with a long sweep (spike, dropout, half-open start), a short one, and one that is narrow."""
    rng = np.random.default_rng(7)
    parts = [(6.0, 1500.0, 1500.0, 0.2), (10.0, 1500.0, 5500.0, 1.0), (8.0, 5500.0, 1500.0, 0.0)]
    parts += [
        (3.0, 1500.0, 4500.0, 0.95),
        (6.0, 4500.0, 1500.0, 0.0),
        (2.5, 2000.0, 2700.0, 0.9),
        (4.0, 2700.0, 1500.0, 0.0),
    ]
    rpm = np.concatenate([np.linspace(a, b, int(s * RATE), endpoint=False) for s, a, b, _ in parts])
    throttle = np.concatenate([np.full(int(s * RATE), opening) for s, _, _, opening in parts])
    time = np.arange(rpm.size) / RATE
    torque = np.where(throttle > 0.5, shaped(rpm), -20.0) + rng.normal(0.0, 0.5, rpm.size)
    torque[500] += 80.0
    torque[520:523] = np.nan
    oil = 3e5 + 40.0 * rpm + rng.normal(0.0, 50.0, rpm.size)
    return recording(time, {"rpm": rpm, "torque": torque, "throttle": throttle, "oil_pressure": oil})


def steps() -> Recording:
    """Five held speeds of 4 s, torque settling within each, joined by quick moves."""
    rng = np.random.default_rng(8)
    levels = [2000.0, 2600.0, 3200.0, 3800.0, 4400.0]
    rpm, settling = [], []
    for number, level in enumerate(levels):
        if number:
            rpm.append(np.linspace(levels[number - 1], level, int(RATE)))
            settling.append(np.zeros(int(RATE)))
        rpm.append(np.full(int(4 * RATE), level))
        settling.append(15.0 * np.exp(-np.arange(int(4 * RATE)) / RATE))
    speed, extra = np.concatenate(rpm), np.concatenate(settling)
    time = np.arange(speed.size) / RATE
    torque = shaped(speed) - extra + rng.normal(0.0, 0.3, speed.size)
    speed = speed + rng.normal(0.0, 2.0, speed.size)
    return recording(time, {"rpm": speed, "torque": torque, "throttle": np.full(speed.size, 1.0)})


def calibration() -> Calibration:
    loads = np.array([0.0, 100.0, 200.0, 300.0])
    return Calibration(1.01, 2.0, 1e-4, 0.1, 0.0, 0.1, 1.0, 300.0, loads, 1.01 * loads + 2.0)


def outcome(made: Recording, options: PullOptions) -> object:
    """What a person would see: pulls, curves, findings, or a refusal; choices only repeat the option."""
    try:
        found = find(made, options)
    except FairpullError as refusal:
        return sorted(fault.code for fault in refusal.faults)
    seen = []
    for pull in found:
        drawn = curve(pull)
        values = {name: column.tobytes() for name, column in pull.channels.items()}
        codes = sorted((finding.code, finding.where, finding.text) for finding in pull.findings)
        seen.append((pull.name, pull.kind, values, codes, drawn.torque.tobytes(), drawn.tested))
    return seen


KNOBS: dict[str, tuple[object, Callable[[], Recording]]] = {
    "kind": ("sweep", steps),
    "min_span": (3500.0, sweeps),
    "min_duration": (5.0, sweeps),
    "settle_rpm": (600.0, sweeps),
    "throttle_floor": (0.97, sweeps),
    "throttle_full": (0.90, sweeps),
    "nominal_rate": (500.0, sweeps),
    "hold_min": (4.5, steps),
    "hold_average": (1.0, steps),
    "despike_k": (0.0, sweeps),
    "despike_window": (9, sweeps),
    "bridge": (1, sweeps),
    "lags": ({"torque": 0.2}, sweeps),
    "inertia": (0.3, sweeps),
    "inertia_window": (0.6, sweeps),
    "calibration": (calibration(), sweeps),
    "valid_to": (4000.0, sweeps),
}
ALONGSIDE: dict[str, dict[str, object]] = {"inertia_window": {"inertia": 0.3}}


def with_options(values: dict[str, object]) -> PullOptions:
    return PullOptions(**values)  # type: ignore[arg-type]


def test_every_option_has_its_case() -> None:
    assert set(KNOBS) == {field.name for field in fields(PullOptions)}


@pytest.mark.parametrize("knob", sorted(KNOBS))
def test_a_knob_turns_something(knob: str) -> None:
    value, make = KNOBS[knob]
    made, alongside = make(), ALONGSIDE.get(knob, {})
    assert outcome(made, with_options(alongside)) != outcome(made, with_options(alongside | {knob: value}))


def test_the_same_options_give_the_same_outcome() -> None:
    assert outcome(sweeps(), PullOptions()) == outcome(sweeps(), PullOptions())
