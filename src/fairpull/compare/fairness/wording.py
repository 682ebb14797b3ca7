"""Fair sentences: short, with what holds and with how much of it is beyond noise."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import numpy as np

from fairpull.terms.arrays import FloatArray
from fairpull.terms.comparison import Estimate


def mean_over(ratio: FloatArray, low: FloatArray, high: FloatArray) -> Estimate | None:
    """Mean of a ratio over its nodes.

    Args:
        ratio: other over reference - 1, fractions of shape (g,).
        low: lower end of its band, fractions of shape (g,).
        high: upper end, fractions of shape (g,).

    Returns:
        The mean; its interval is the mean of the band's ends, so at least as wide as an interval of the mean. None
        where no node has a value.

    Source: own definition.
    """
    known = np.isfinite(ratio) & np.isfinite(low) & np.isfinite(high)
    if not known.any():
        return None
    how = "mean over the common points; the ends are the means of the band's ends, so at least 95 %"
    return Estimate(float(ratio[known].mean()), float(low[known].mean()), float(high[known].mean()), "1", how)


def per_cent(value: float, *, signed: bool = True) -> str:
    """A fraction in per cent, as sentences have it.

    Args:
        value: fraction.
        signed: with its sign.

    Returns:
        The words.
    """
    shown = round(value * 100.0, 1)
    return f"{shown:+.1f} %" if signed and shown else f"{abs(shown):.1f} %"


def more_or_less(names: tuple[str, str], mean: Estimate, what: str = "torque") -> str:
    """What one build makes against the other, in words.

    Args:
        names: reference, other.
        mean: other over reference - 1.
        what: the quantity.

    Returns:
        A clause without a full stop.
    """
    reference, other = names
    interval = f"{mean.low * 100:.1f} to {mean.high * 100:.1f} %"
    if mean.low > 0.0:
        return f"{other} makes {per_cent(mean.value, signed=False)} more {what} than {reference} ({interval})"
    if mean.high < 0.0:
        lost = f"{-mean.high * 100:.1f} to {-mean.low * 100:.1f} %"
        return f"{other} makes {per_cent(mean.value, signed=False)} less {what} than {reference} ({lost})"
    return f"{other} and {reference} cannot be told apart in {what}: {per_cent(mean.value)} ({interval})"


def stretches(x: FloatArray, step: float) -> tuple[tuple[float, float], ...]:
    """Runs of neighbouring nodes.

    Args:
        x: rising, shape (g,), any unit.
        step: nodes at most this far apart belong together, same unit.

    Returns:
        (first, last) of each run.

    Source: definition.
    """
    if not x.size:
        return ()
    starts = [float(x[0])]
    ends = []
    for one, following in pairwise(x.tolist()):
        if following - one > step:
            ends.append(one)
            starts.append(following)
    return tuple(zip(starts, [*ends, float(x[-1])], strict=True))


def _about(low: float, high: float) -> str:
    if high - low < 1.0 and low == round(low):
        return f"{low:,.0f}"
    return f"about {round((low + high) / 2.0, -1):,.0f}" if high - low < 50.0 else f"{low:,.0f} to {high:,.0f}"


def where_of(runs: Sequence[tuple[float, float]], unit: str = "rpm") -> str:
    """Stretches in words: ``5,200 rpm``, ``3,000 to 3,400 and 5,200 rpm``.

    Args:
        runs: (first, last) of each.
        unit: of the axis.

    Returns:
        The words.
    """
    shown = [_about(low, high) for low, high in runs]
    told = shown[0] if len(shown) == 1 else f"{', '.join(shown[:-1])} and {shown[-1]}"
    return f"{told} {unit}"
