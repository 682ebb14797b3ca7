"""Spikes and dropouts: what is touched, what is left alone."""

from __future__ import annotations

import numpy as np
import pytest

from fairpull.pulls import PullOptions, find
from fairpull.pulls.despike import bridge_dropouts, despike, running_median, spike_floors
from fairpull.terms.recording import Recording
from tests.pulls.rig import ORIGIN, Rig


@pytest.mark.parametrize("window", [3, 5, 7])
def test_running_median_against_a_plain_one(window: int) -> None:
    values = np.random.default_rng(1).standard_normal((3, 60))
    half = window // 2
    expected = values.copy()
    for i in range(half, 60 - half):
        expected[:, i] = np.median(values[:, i - half : i + half + 1], axis=1)
    assert np.array_equal(running_median(values, window), expected)


def test_clean_noise_is_left_alone() -> None:
    noise = np.random.default_rng(2).standard_normal((20, 2400))
    ramp = noise + 0.75 * np.arange(2400.0)  # a ramp of the noise's own size per sample
    for values in (noise, ramp):
        cleaned, counts = despike(values.copy(), np.zeros(20), 6.0, 5)
        assert counts.sum() == 0
        assert np.array_equal(cleaned, values)


def test_spikes_are_replaced_by_the_median_of_their_window() -> None:
    values = np.random.default_rng(3).standard_normal((1, 1000))
    spiked = values.copy()
    spiked[0, [100, 400, 401, 700]] += [40.0, -30.0, -35.0, 1e9]
    cleaned, counts = despike(spiked, np.zeros(1), 6.0, 5)
    assert counts[0] == 4
    assert cleaned[0, 100] == np.median(np.append(values[0, [98, 99, 101, 102]], 1e9))
    untouched = np.setdiff1d(np.arange(1000), [100, 400, 401, 700])
    assert np.array_equal(cleaned[0, untouched], values[0, untouched])


def test_resting_channels() -> None:
    rng = np.random.default_rng(4)
    flicker = 300.0 + 0.1 * (rng.random(2000) < 0.01)  # last digit of a temperature
    spiked = flicker.copy()
    spiked[500] = 340.0
    stairs = np.repeat(np.linspace(300.0, 310.0, 20), 100)  # one reading a second
    values = np.array([flicker, spiked, stairs])
    floor = spike_floors(["coolant_in", "exhaust_temperature_3", "coolant_out"])
    cleaned, counts = despike(values.copy(), floor, 6.0, 5)
    assert counts.tolist() == [0, 1, 0]
    assert cleaned[1, 500] < 301.0


def test_floors_know_numbered_channels() -> None:
    one, four, unknown = spike_floors(["exhaust_temperature", "exhaust_temperature_4", "no such channel"])
    assert one == four > 0.0
    assert unknown == 0.0


def test_dropouts() -> None:
    values = np.arange(100.0)
    values[[0, 10, 11, 12]] = np.nan
    values[40:60] = np.nan
    filled, bridged, left = bridge_dropouts(values.copy(), 5)
    assert bridged == 3
    assert left == 20
    assert filled[10:13].tolist() == [10.0, 11.0, 12.0]
    assert np.isnan(filled[40:60]).all()
    assert np.isnan(filled[0])  # nothing is made up before the first value


def test_slowly_logged_channel_is_joined_up() -> None:
    values = np.full(400, np.nan)
    values[::20] = np.arange(20.0)
    filled, bridged, left = bridge_dropouts(values, 5)
    assert bridged == 19 * 19
    assert left == 0
    assert filled[190] == pytest.approx(9.5)


def test_pull_counts_its_spikes_and_despiking_can_be_switched_off() -> None:
    recording = Rig().idle().pull().recording()
    torque = recording.channels["torque"].copy()
    torque[[2000, 2500, 3000]] = 900.0
    spiked = Recording(name="made", origin=ORIGIN, channels={**recording.channels, "torque": torque})
    (pull,) = find(spiked)
    assert pull.channels["torque"].max() < 350.0
    (finding,) = pull.findings
    assert finding.code == "spikes-replaced"
    assert "torque 3" in finding.text
    assert "3 replaced" in pull.choices["despiking"]
    (raw,) = find(spiked, PullOptions(despike_k=0.0))
    assert np.count_nonzero(raw.channels["torque"] == 900.0) == 3
    assert raw.choices["despiking"] == "off"
    assert torque[2000] == 900.0  # the recording itself is never changed
