"""Findings on a pull: each fault gives its own, a good pull gives none."""

from __future__ import annotations

import numpy as np
import pytest

from fairpull.pulls import PullOptions, find
from fairpull.terms.arrays import FloatArray
from fairpull.terms.findings import Finding, Severity
from fairpull.terms.recording import Recording
from tests.pulls.rig import ORIGIN, Rig


def found(recording: Recording, options: PullOptions | None = None) -> dict[str, Finding]:
    pulls = find(recording, options or PullOptions())
    assert len(pulls) == 1
    return {finding.code: finding for finding in pulls[0].findings}


def changed(**channels: FloatArray) -> Recording:
    recording = Rig().idle().pull().recording()
    return Recording(name="made", origin=ORIGIN, channels={**recording.channels, **channels})


def test_a_good_pull_has_no_finding() -> None:
    assert found(Rig(ripple=5.0, hunting=15.0).idle().pull().recording()) == {}


def test_throttle_not_full() -> None:
    finding = found(Rig().idle().pull(throttle=0.95).recording())["throttle-not-full"]
    assert "95.0%" in finding.text
    assert finding.severity is Severity.WARNING
    assert "throttle-not-full" not in found(Rig().idle().pull(throttle=0.985).recording())


def test_throttle_that_moved_for_a_moment() -> None:
    recording = Rig().idle().pull().recording()
    throttle = recording.channels["throttle"].copy()
    throttle[2400:2480] = 0.9
    findings = found(Recording(name="made", origin=ORIGIN, channels={**recording.channels, "throttle": throttle}))
    assert "least 90.0%" in findings["throttle-not-full"].text


def test_noise_and_the_closing_of_the_throttle_are_no_finding() -> None:
    recording = Rig().idle().pull().recording()
    throttle = recording.channels["throttle"].copy()
    open_wide = throttle > 0.9
    throttle[open_wide] = 0.995 + 0.006 * np.random.default_rng(3).standard_normal(int(open_wide.sum()))
    assert float(throttle[open_wide].min()) < 0.98
    assert found(changed(throttle=throttle)) == {}


def test_dead_throttle_channel_falls_back_on_torque() -> None:
    assert "throttle-dead" in found(changed(throttle=np.zeros(changed().channels["rpm"].size)))


def test_ramp_off_by_more_than_a_tenth() -> None:
    rig = Rig().idle().add(2.0, 2000.0, 2000.0, 1.0).add(8.0, 2000.0, 4000.0, 1.0).add(5.0, 4000.0, 6000.0, 1.0)
    rig.add(3.0, 6000.0, 900.0, 0.0, -0.1)
    assert "ramp-off" in found(rig.recording())
    recording = Rig().idle().pull().recording()
    assert "ramp-off" in found(recording, PullOptions(nominal_rate=300.0))
    assert "ramp-off" not in found(recording, PullOptions(nominal_rate=255.0))


def test_hunting_brake() -> None:
    assert "speed-hunting" not in found(Rig(hunting=20.0).idle().pull().recording())
    finding = found(Rig(hunting=45.0).idle().pull().recording())["speed-hunting"]
    assert "±4" in finding.text


def test_short_pull() -> None:
    assert "pull-short" in found(Rig().idle().pull(high=2900.0).recording())


def test_stuck_torque() -> None:
    recording = Rig().idle().pull().recording()
    torque = recording.channels["torque"].copy()
    torque[2400:2600] = torque[2400]
    finding = found(changed(torque=torque))["torque-stuck"]
    assert "200 samples" in finding.text
    assert finding.severity is Severity.WARNING
    torque[:] = 250.0
    assert found(changed(torque=torque))["torque-stuck"].severity is Severity.FAULT


def test_torque_below_zero_somewhere() -> None:
    recording = Rig().idle().pull().recording()
    torque = recording.channels["torque"].copy()
    torque[2400:2440] = -20.0
    assert "torque-negative" in found(changed(torque=torque))


def test_gap_in_the_clock() -> None:
    time = changed().channels["time"].copy()
    time[2400:] += 0.3
    assert "clock-gap" in found(changed(time=time))


def test_clock_missing_at_both_ends_runs_on() -> None:
    time = changed().channels["time"].copy()
    time[:3] = np.nan
    time[-5:] = np.nan
    assert found(changed(time=time)) == {}


def test_power_that_is_not_torque_times_speed() -> None:
    channels = changed().channels
    power = channels["torque"] * channels["rpm"] * np.pi / 30.0
    assert found(changed(power=power)) == {}
    assert "+4.0%" in found(changed(power=1.04 * power))["power-not-torque"].text


@pytest.mark.parametrize(("length", "code"), [(5, "dropouts-bridged"), (40, "dropout-long")])
def test_dropouts(length: int, code: str) -> None:
    torque = changed().channels["torque"].copy()
    torque[2400 : 2400 + length] = np.nan
    assert set(found(changed(torque=torque))) == {code}


def test_marks_for_no_reading_are_taken_as_missing() -> None:
    torque = changed().channels["torque"].copy()
    torque[2400:2420] = -99999.0
    findings = found(changed(torque=torque))
    assert "torque 20" in findings["impossible-values"].text
    assert "dropout-long" in findings
