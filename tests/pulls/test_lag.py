"""Delays between channels: moved back when asked, found by cross-correlation."""

from __future__ import annotations

import numpy as np
import pytest

from fairpull.pulls import PullOptions, curve, estimate_lag, find, shift_channel
from fairpull.terms.errors import NotComparable
from fairpull.terms.recording import Recording
from tests.pulls.rig import ORIGIN, Rig, truth

TIME = np.arange(0.0, 20.0, 0.01)


def wave(time: np.ndarray) -> np.ndarray:
    """Slow trend with bumps."""
    return np.asarray(5.0 * time + 10.0 * np.exp(-np.square((time - 7.0) / 0.4)) + 6.0 * np.sin(1.7 * time) ** 3)


@pytest.mark.parametrize("lag", [-0.317, 0.0, 0.05, 0.4237])
@pytest.mark.parametrize("sign", [1.0, -1.0])
def test_lag_is_found_to_a_fraction_of_a_sample(lag: float, sign: float) -> None:
    rng = np.random.default_rng(1)
    first = wave(TIME) + 0.1 * rng.standard_normal(TIME.size)
    second = sign * 0.02 * wave(TIME - lag) + 0.003 * rng.standard_normal(TIME.size)
    result = estimate_lag(TIME, first, second)
    assert result.seconds == pytest.approx(lag, abs=0.004)
    assert result.quality > 0.95
    assert result.sign == sign
    assert result.trusted


def test_channels_that_have_nothing_in_common_are_not_trusted() -> None:
    rng = np.random.default_rng(2)
    result = estimate_lag(TIME, rng.standard_normal(TIME.size), rng.standard_normal(TIME.size))
    assert result.quality < 0.3
    assert not result.trusted


def test_lag_refusals() -> None:
    with pytest.raises(NotComparable, match="lag-flat"):
        estimate_lag(TIME, wave(TIME), np.ones(TIME.size))
    with pytest.raises(NotComparable, match="lag-short"):
        estimate_lag(TIME[:100], wave(TIME[:100]), wave(TIME[:100]))


def test_shift_there_and_back() -> None:
    moved = shift_channel(TIME, wave(TIME - 0.25), 0.25)
    inside = np.isfinite(moved)
    assert inside.sum() == TIME.size - 25
    assert np.allclose(moved[inside], wave(TIME)[inside], atol=1e-3)
    assert np.array_equal(shift_channel(TIME, wave(TIME), 0.0), wave(TIME))


def test_shift_keeps_holes() -> None:
    values = wave(TIME)
    values[500:520] = np.nan
    moved = shift_channel(TIME, values, 0.1)
    assert np.isnan(moved[491:509]).all()
    assert np.isfinite(moved[[480, 515]]).all()


def test_late_torque_is_moved_back_when_asked() -> None:
    recording = Rig(noise=0.5).idle().pull(rate=600.0).recording()
    late = np.roll(recording.channels["torque"], 40)  # 0.2 s at 200 Hz: 120 rpm of this ramp
    delayed = Recording(name="made", origin=ORIGIN, channels={**recording.channels, "torque": late})
    as_logged = curve(find(delayed)[0], np.arange(2500.0, 5801.0, 100.0))
    (pull,) = find(delayed, PullOptions(lags={"torque": 0.2}))
    moved = curve(pull, as_logged.rpm)
    assert np.abs(as_logged.torque - truth(as_logged.rpm)).max() > 4.0
    assert np.abs(moved.torque - truth(moved.rpm)).max() < 0.6
    assert pull.choices["lags"] == "torque moved back 0.2 s"
