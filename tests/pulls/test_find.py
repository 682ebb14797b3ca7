"""Finding pulls: warm-up, idle, part throttle and coasting around them; several in one file; refusals."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from fairpull.pulls import PullOptions, curve, find
from fairpull.terms.errors import NotComparable, UnknownName, ValueRefused
from fairpull.terms.pull import Pull
from fairpull.terms.recording import Recording
from tests.pulls.rig import ORIGIN, Rig, truth


def codes(pull: Pull) -> set[str]:
    return {finding.code for finding in pull.findings}


def ends(pull: Pull) -> tuple[float, float]:
    rpm = pull.channels["rpm"]
    return float(np.median(rpm[:5])), float(np.median(rpm[-5:]))


def refusal(recording: Recording, options: PullOptions | None = None) -> list[str]:
    with pytest.raises(NotComparable) as caught:
        find(recording, options or PullOptions())
    assert all(fault.seen and fault.remedy for fault in caught.value.faults)
    return [fault.code for fault in caught.value.faults]


def test_one_pull_between_idle_and_coasting() -> None:
    (pull,) = find(Rig().idle().pull().idle().recording())
    start, end = ends(pull)
    assert pull.kind == "sweep"
    assert start == pytest.approx(2250.0, abs=20.0)  # 250 rpm after the release at 2000
    assert end == pytest.approx(6000.0, abs=10.0)
    assert pull.sweep_rate == pytest.approx(250.0, rel=0.01)
    assert pull.findings == ()
    # three seconds of idle, two of hold, one of discarded ramp, at 200 rows a second
    assert pull.first_row == pytest.approx(1200, abs=15)
    assert pull.started_at == pytest.approx(1.7e9 + 6.0, abs=0.1)
    assert set(pull.choices) >= {"full load", "pull start", "pull end", "despiking", "inertia", "dropouts"}


@pytest.mark.parametrize("throttle", [True, False])
def test_three_pulls_and_a_part_throttle_sweep(throttle: bool) -> None:
    rig = Rig(ripple=6.0, hunting=15.0).idle()
    rig.add(16.0, 2000.0, 6000.0, 0.5, 0.6).add(4.0, 6000.0, 900.0, 0.0, -0.1)
    for rate in (250.0, 300.0, 200.0):
        rig.idle().pull(rate=rate)
    pulls = find(rig.recording(throttle=throttle))
    assert [pull.name for pull in pulls] == ["made", "made#2", "made#3"]
    assert [round(pull.sweep_rate, -1) for pull in pulls] == [250.0, 300.0, 200.0]
    for pull in pulls:
        laid = curve(pull)
        assert np.nanmax(np.abs(laid.torque - truth(laid.rpm))) < 1.5
    assert ("part-load-skipped" in codes(pulls[0])) is not throttle
    assert ("throttle-missing" in codes(pulls[0])) is not throttle


@pytest.mark.parametrize(
    ("logged", "rate"), [(10.0, 250.0), (20.0, 8.0), (100.0, 100.0), (200.0, 600.0), (1000.0, 250.0)]
)
def test_logging_rates_and_sweep_rates(logged: float, rate: float) -> None:
    (pull,) = find(Rig(rate=logged).idle().pull(rate=rate).recording())
    start, end = ends(pull)
    assert pull.kind == "sweep"
    assert pull.sweep_rate == pytest.approx(rate, rel=0.02)
    assert start == pytest.approx(2250.0, abs=0.2 * rate + 15.0)
    assert end == pytest.approx(6000.0, abs=0.3 * rate + 15.0)


def test_snap_of_the_throttle_and_hold_are_not_the_ramp() -> None:
    rig = Rig().idle().add(0.8, 900.0, 2000.0, 1.0).pull()
    (pull,) = find(rig.recording())
    assert ends(pull)[0] == pytest.approx(2250.0, abs=25.0)


def test_hold_at_the_top_is_left_out() -> None:
    rig = Rig().idle().add(2.0, 2000.0, 2000.0, 1.0).add(16.0, 2000.0, 6000.0, 1.0).add(3.0, 6000.0, 6000.0, 1.0)
    (pull,) = find(rig.add(3.0, 6000.0, 900.0, 0.0, -0.1).recording())
    assert pull.last_row < (3.0 + 2.0 + 16.0 + 0.1) * 200.0
    assert "held at the top" in pull.choices["pull end"]


def test_runaway_at_the_end_is_left_out() -> None:
    rig = Rig().idle().add(2.0, 2000.0, 2000.0, 1.0).add(16.0, 2000.0, 6000.0, 1.0).add(0.6, 6000.0, 7200.0, 1.0)
    (pull,) = find(rig.add(3.0, 7200.0, 900.0, 0.0, -0.1).recording())
    assert 5900.0 < ends(pull)[1] < 6050.0


def test_torque_collapse_ends_the_pull_without_a_throttle_channel() -> None:
    (pull,) = find(Rig().idle().pull().recording(throttle=False))
    assert float(np.min(pull.channels["torque"])) > 200.0
    assert ends(pull)[1] > 5950.0


def test_torque_collapse_ends_the_pull_where_the_throttle_channel_is_late() -> None:
    recording = Rig().idle().pull().recording()
    late = np.roll(recording.channels["throttle"], 60)
    for lag in (0, 60):
        rpm = np.roll(recording.channels["rpm"], lag)  # with a late speed channel the ramp itself seems to go on
        (pull,) = find(replace(recording, channels={**recording.channels, "throttle": late, "rpm": rpm}))
        assert float(np.min(pull.channels["torque"])) > 200.0


def test_log_that_begins_inside_the_ramp() -> None:
    (pull,) = find(Rig().add(16.0, 2000.0, 6000.0, 1.0).recording())
    assert pull.choices["pull start"].startswith("release not in the log")
    (whole,) = find(Rig().add(16.0, 2000.0, 6000.0, 1.0).recording(), PullOptions(settle_rpm=0.0))
    assert ends(whole)[0] < 2100.0


def test_downward_sweep_is_a_pull_with_a_finding() -> None:
    rig = Rig().idle().add(2.0, 6000.0, 6000.0, 1.0).add(16.0, 6000.0, 2000.0, 1.0).add(2.0, 2000.0, 900.0, 0.0, 0.0)
    (pull,) = find(rig.recording())
    assert pull.sweep_rate == pytest.approx(-250.0, rel=0.01)
    assert "sweep-down" in codes(pull)
    laid = curve(pull)
    assert np.nanmax(np.abs(laid.torque - truth(laid.rpm))) < 1.0


def test_aborted_pull_is_told_by_the_others() -> None:
    pulls = find(Rig().idle().pull().idle().pull(high=4500.0).idle().pull().recording())
    assert ["aborted-early" in codes(pull) for pull in pulls] == [False, True, False]


def test_options_change_what_is_found() -> None:
    recording = Rig().idle().pull(high=2800.0).idle().pull().recording()
    assert len(find(recording)) == 2
    assert len(find(recording, PullOptions(min_span=1500.0))) == 1
    (kept,) = find(recording, PullOptions(min_span=1500.0, settle_rpm=500.0, valid_to=5000.0))
    assert ends(kept)[0] == pytest.approx(2500.0, abs=20.0)
    assert kept.valid_to == 5000.0


def test_power_alone_gives_torque() -> None:
    recording = Rig().idle().pull().recording()
    channels = dict(recording.channels)
    channels["power"] = channels["torque"] * channels["rpm"] * np.pi / 30.0
    torque = channels.pop("torque")
    (pull,) = find(Recording(name="made", origin=ORIGIN, channels=channels))
    assert pull.choices["torque"].startswith("computed from logged power")
    kept = torque[pull.first_row : pull.last_row + 1]
    assert np.allclose(pull.channels["torque"], kept, rtol=1e-9)


def test_no_pull_is_refused_with_every_reason() -> None:
    assert refusal(Rig().idle(20.0).recording())[0] == "no-pull"
    assert refusal(Rig().idle().add(16.0, 2000.0, 6000.0, 0.5, 0.6).recording()) == ["part-throttle"]
    rig = Rig().idle().add(3.0, 2000.0, 2300.0, 1.0).idle().add(0.7, 900.0, 5000.0, 1.0).idle()
    assert refusal(rig.recording()) == ["no-pull", "no-pull-here", "no-pull-here"]
    assert refusal(Rig().idle().pull().recording(), PullOptions(kind="steps")) == ["no-pull"]


@pytest.mark.parametrize("throttle", [True, False])
def test_turned_sign_of_torque_is_refused(throttle: bool) -> None:
    assert refusal(Rig(scale=-1.0).idle().pull().recording(throttle=throttle)) == ["torque-negative"]


def test_dead_channels_are_refused() -> None:
    assert refusal(Rig(scale=0.0, noise=0.0).idle().pull().recording()) == ["torque-dead"]
    recording = Rig().idle().pull().recording()
    nothing = np.full(recording.channels["rpm"].size, np.nan)
    for channels, expected in (
        ({"time": recording.channels["time"], "throttle": nothing}, ["no-speed", "no-torque"]),
        ({**recording.channels, "torque": nothing}, ["no-torque"]),
        ({**recording.channels, "rpm": nothing}, ["no-speed"]),
        ({**recording.channels, "time": nothing}, ["no-clock"]),
        ({**recording.channels, "time": 0.0 * nothing + 1.0}, ["no-clock"]),
        ({**recording.channels, "time": np.ones(nothing.size)}, ["clock-stands"]),
    ):
        assert refusal(Recording(name="made", origin=ORIGIN, channels=channels)) == expected


def test_clock_that_goes_back_is_read_with_a_finding() -> None:
    recording = Rig().idle().pull().recording()
    time = recording.channels["time"].copy()
    time[2000:] -= 1.0
    (pull,) = find(Recording(name="made", origin=ORIGIN, channels={**recording.channels, "time": time}))
    assert "clock-backwards" in codes(pull)
    assert pull.sweep_rate == pytest.approx(250.0, rel=0.01)


def test_options_that_make_no_sense_are_refused_all_at_once() -> None:
    recording = Rig().idle().pull().recording()
    with pytest.raises(UnknownName):
        find(recording, PullOptions(kind="other"))
    with pytest.raises(UnknownName):
        find(recording, PullOptions(lags={"lambda": 0.1}))
    with pytest.raises(ValueRefused) as caught:
        find(recording, PullOptions(min_span=-1.0, despike_window=4, inertia=-1.0))
    assert [fault.where for fault in caught.value.faults] == ["min_span", "despike_window", "inertia"]
