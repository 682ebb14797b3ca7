"""Lag between channels: moving a channel back by a known delay, and finding the delay by cross-correlation."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from fairpull.pulls.blocks import bridged, moving_average
from fairpull.terms.arrays import FloatArray
from fairpull.terms.errors import Fault, NotComparable

LEAST_QUALITY = 0.5


@dataclass(frozen=True, slots=True)
class Lag:
    """Delay of one channel behind another.

    Attributes:
        seconds: delay [s]; positive when the second channel comes later.
        quality: correlation at that delay, 0 to 1 (absolute value).
        sign: +1 when the channels move together, -1 when against each other.
        trusted: True when the quality is at least LEAST_QUALITY and the peak is not at the end of the search.
    """

    seconds: float
    quality: float
    sign: int
    trusted: bool


def shift_channel(time: FloatArray, values: FloatArray, lag: float) -> FloatArray:
    """Move a channel back in time by its delay.

    Args:
        time: shape (n,) [s], rising.
        values: the channel, shape (n,), any unit; what happened at t stands at ``t + lag``.
        lag: delay [s].

    Returns:
        The channel as if there were no delay, shape (n,), straight lines between samples; NaN where the log does
        not reach.

    Source:
        definition.
    """
    good = np.isfinite(values)
    if lag == 0.0 or not good.any():
        return values
    moved = np.interp(time + lag, time[good], values[good], left=np.nan, right=np.nan)
    if not good.all():  # what was missing stays missing
        hole = np.interp(time + lag, time, (~good).astype(np.float64), left=1.0, right=1.0)
        moved[hole > 0.5] = np.nan
    return moved


def estimate_lag(
    time: FloatArray, leading: FloatArray, following: FloatArray, *, longest: float = 2.0, trend: float = 2.0
) -> Lag:
    """Find how far one channel runs behind another.

    Both channels are put on an even clock, their slow trend (moving average over ``trend`` seconds) is taken off,
    and the delay is the place of the largest normalised cross-correlation, refined by a parabola.

    Args:
        time: shape (n,) [s], rising.
        leading: the channel that moves first, shape (n,), any unit.
        following: the channel that may be late, shape (n,), any unit.
        longest: largest delay looked for, both ways [s].
        trend: width of the trend that is taken off [s].

    Returns:
        The lag with its quality.

    Raises:
        NotComparable: a channel does not move, or the log is shorter than twice the longest delay.

    Source:
        practice (cross-correlation of detrended signals).
    """
    dt = float(np.median(np.diff(time)))
    reach = round(longest / dt)
    if time[-1] - time[0] < 2.0 * longest or reach < 1:
        seen = f"{time[-1] - time[0]:.3g} s of log for delays up to {longest:g} s"
        raise NotComparable(Fault("lag-short", "lag", seen, "give a longer log or a smaller largest delay"))
    even = np.arange(time[0], time[-1], dt)
    a, b = (_detrended(even, time, channel, trend, dt) for channel in (leading, following))
    power = float(np.sqrt((a @ a) * (b @ b)))
    if not power > 0:
        raise NotComparable(Fault("lag-flat", "lag", "a channel does not move", "use a stretch where both move"))
    size = 1 << int(2 * even.size - 1).bit_length()
    cross = np.fft.irfft(np.conj(np.fft.rfft(a, size)) * np.fft.rfft(b, size), size)
    shifts = np.arange(-reach, reach + 1)
    correlation = cross[shifts] / power
    best = int(np.argmax(np.abs(correlation)))
    at_end = best in (0, shifts.size - 1)
    offset = 0.0 if at_end else _parabola(np.abs(correlation[best - 1 : best + 2]))
    quality = float(abs(correlation[best]))
    trusted = quality >= LEAST_QUALITY and not at_end
    return Lag((shifts[best] + offset) * dt, quality, int(np.sign(correlation[best])), trusted)


def _detrended(even: FloatArray, time: FloatArray, channel: FloatArray, trend: float, dt: float) -> FloatArray:
    values = np.interp(even, time, bridged(channel))
    rest = values - moving_average(values, round(trend / dt))
    return np.asarray(rest - rest.mean())


def _parabola(three: FloatArray) -> float:
    bend = three[0] - 2.0 * three[1] + three[2]
    return 0.0 if bend == 0 else float(0.5 * (three[0] - three[2]) / bend)
