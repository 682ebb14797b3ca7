"""Spikes replaced by a running median, dropouts bridged: both by stated rules, both counted."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.lib.stride_tricks import sliding_window_view

from fairpull.pulls.blocks import runs
from fairpull.terms.arrays import FloatArray, IntArray
from fairpull.terms.glossary import BY_NAME

MAD_TO_SIGMA = 1.4826  # of a normal distribution
MEAN_TO_SIGMA = 1.2533  # mean absolute deviation of a normal distribution
_CHUNK = 8
_DEPARTING = 0.05
_SCALE_SAMPLES = 400  # the scale is estimated on at most about this many evenly spaced samples
_FLAT_FLOOR = 0.002  # least spike on a channel that rests on one value, fraction of its plausible span


def running_median(values: FloatArray, window: int) -> FloatArray:
    """Running median along the last axis; the first and last ``window // 2`` samples are kept as they are.

    Args:
        values: shape (..., n), any unit.
        window: samples, odd.

    Returns:
        Same shape; NaN where the window holds a NaN.

    Source:
        definition.
    """
    half = window // 2
    out = values.copy()
    if values.shape[-1] < window:
        return out
    if window == 5:
        out[..., 2:-2] = _median_of_five(values)
    else:
        out[..., half:-half] = np.median(sliding_window_view(values, window, axis=-1), axis=-1)
    return out


def _median_of_five(v: FloatArray) -> FloatArray:
    # A sorting network: no copy of the windows, a tenth of the time of a sort.
    a, b, c, d, e = v[..., :-4], v[..., 1:-3], v[..., 2:-2], v[..., 3:-1], v[..., 4:]
    low = np.maximum(np.minimum(a, b), np.minimum(d, e))
    high = np.minimum(np.maximum(a, b), np.maximum(d, e))
    between = np.minimum(low, high)
    np.maximum(low, high, out=high)
    np.minimum(high, c, out=high)
    return np.maximum(between, high, out=high)


def despike(values: FloatArray, floor: FloatArray, k: float, window: int) -> tuple[FloatArray, IntArray]:
    """Replace spikes by the running median.

    A sample is a spike when it departs from the median of its window by more than ``k`` robust standard deviations;
    the robust standard deviation is 1.4826 times the median absolute departure over the whole stretch, samples that
    are their own window's median left out (on a ramp they are many and say nothing). Where fewer than one sample in
    twenty departs at all (a channel that rests), the mean absolute departure takes its place and a spike must also
    exceed ``floor``.

    Args:
        values: shape (c, n), one row per channel, each in its own unit; may be overwritten.
        floor: least spike on a resting channel, shape (c,), unit of each channel.
        k: robust standard deviations [1].
        window: samples, odd.

    Returns:
        The cleaned values, shape (c, n), and the number of spikes per channel, shape (c,).

    Source:
        hampel-1974 (median and median absolute deviation), with one scale for the whole stretch.
    """
    counts = np.zeros(values.shape[0], dtype=np.int64)
    if values.shape[1] < window:
        return values, counts
    # A few channels at a time stay in the processor's cache: twice as fast.
    for first in range(0, values.shape[0], _CHUNK):
        part = slice(first, first + _CHUNK)
        middle = running_median(values[part], window)
        departure = np.abs(values[part] - middle)
        limit = _limit(departure, floor[part], k)
        spikes = departure > limit[:, None]
        counts[part] = np.count_nonzero(spikes, axis=1)
        if counts[part].any():
            values[part][spikes] = middle[spikes]
    return values, counts


def _limit(departure: FloatArray, floor: FloatArray, k: float) -> FloatArray:
    """Departure from which a sample is a spike, shape (c,)."""
    thinned = departure[:, :: max(1, departure.shape[1] // _SCALE_SAMPLES)]
    ordered = np.sort(thinned, axis=1)  # NaN sorts to the end
    resting_count = np.count_nonzero(ordered == 0.0, axis=1)
    present = ordered.shape[1] - np.count_nonzero(np.isnan(ordered), axis=1)
    middle = np.minimum((resting_count + present) // 2, ordered.shape[1] - 1)
    limit = np.nan_to_num(k * MAD_TO_SIGMA * ordered[np.arange(ordered.shape[0]), middle], nan=np.inf)
    resting = present - resting_count < _DEPARTING * np.maximum(present, 1)
    if resting.any():
        mean = np.nan_to_num(departure[resting]).mean(axis=1)
        limit[resting] = np.maximum(k * MEAN_TO_SIGMA * mean, floor[resting])
    return np.asarray(limit)


def spike_floors(names: Sequence[str]) -> FloatArray:
    """Least spike that counts on a resting channel: 0.2 % of the glossary's plausible span.

    Args:
        names: channel names, numbered ones included.

    Returns:
        Shape (len(names),), unit of each channel.
    """
    channels = (BY_NAME.get(name) or BY_NAME.get(name.rpartition("_")[0]) for name in names)
    return np.array([0.0 if c is None else _FLAT_FLOOR * (c.high - c.low) for c in channels])


def bridge_dropouts(values: FloatArray, longest: int) -> tuple[FloatArray, int, int]:
    """Bridge short dropouts by straight lines; longer ones and those at the ends stay missing.

    A channel that is logged more slowly than the others has a value every few rows only; there a gap of up to twice
    its own usual gap counts as short.

    Args:
        values: one channel, shape (n,), any unit; NaN where missing.
        longest: longest dropout to bridge [samples].

    Returns:
        The channel, shape (n,); samples bridged; samples of the longest dropout that stayed.

    Source:
        practice (straight lines across gaps).
    """
    gaps = runs(np.isnan(values))
    good = np.flatnonzero(~np.isnan(values))
    if not gaps or good.size < 2:
        return values, 0, values.size - good.size
    usual = int(np.median(np.diff(good))) - 1
    allowed = max(longest, 2 * usual) if usual > 0 else longest
    filled = np.interp(np.arange(values.size), good, values[good])
    bridged, left = 0, 0
    for first, last in gaps:
        length = last - first + 1
        if length > allowed:
            filled[first : last + 1] = np.nan
            left = max(left, length)
        elif first < good[0] or last > good[-1]:
            filled[first : last + 1] = np.nan
        else:
            bridged += length
    return filled, bridged, left
