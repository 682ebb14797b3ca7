"""A temperature of the engine held against its window and against the series."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from fairpull.health.along import degrees, earlier, shown
from fairpull.health.view import View
from fairpull.terms.findings import Severity
from fairpull.terms.health import Sign

STEP = 0.5  # K: thermometers are logged in whole degF, and a difference takes two


class Window(NamedTuple):
    """What a temperature may be, all [K].

    word: what it is called; never_below, never_above: limits of full load; low, high: window of a good pull; series:
    how far it may lie from the references.
    """

    kind: str
    word: str
    never_below: float
    never_above: float
    low: float
    high: float
    series: float


def judge(view: View, channel: str, window: Window, confirm: str) -> Sign | None:
    """A temperature against its limits, its window and the series.

    The series is compared by the mean over the rpm that both have, with its middle pull and with its latest: an engine
    that warms from pull to pull is no trouble, and warming within a pull is left alone.

    Args:
        view: the pull.
        channel: temperature [K].
        window: what it may be.
        confirm: what would confirm it.

    Returns:
        A fault beyond the limits, a warning outside the window or the series, or None.

    Source: practice.
    """
    values = view.on_grid(channel)
    if values is None or not np.isfinite(values).any():
        return None
    mean, cold, hot = float(np.nanmean(values)), float(np.nanmin(values)), float(np.nanmax(values))
    between = f"{shown(cold, '°F', 'K', 0)} to {shown(hot, '°F', 'K', 0)}"
    told = f"{window.word} {shown(mean, '°F', 'K', 0)} on average ({between})"
    ends = float(view.rpm[0]), float(view.rpm[-1])
    for value, limit, off in ((cold, window.never_below, -1.0), (hot, window.never_above, 1.0)):
        if off * (value - limit) > 0.0:
            text = f"{told}; {'below' if off < 0 else 'above'} the limit of {shown(limit, '°F', 'K', 0)} for full load."
            return Sign(window.kind, Severity.FAULT, *ends, value - limit, "K", text, confirm)
    away = _from_series(view, channel)
    if away is not None:
        size, latest, count = away
        if abs(size) > window.series + STEP and size * latest > abs(size) * window.series:
            text = (
                f"{told}; {degrees(size):+.0f} degF against {earlier(count)} of this build,"
                f" {degrees(window.series):.0f} degF is allowed."
            )
            return Sign(window.kind, Severity.WARNING, *ends, size, "K", text, confirm)
        return None
    for value, limit, off in ((mean, window.low, -1.0), (mean, window.high, 1.0)):
        if off * (value - limit) > 0.0:
            good = f"{shown(window.low, '°F', 'K', 0)} to {shown(window.high, '°F', 'K', 0)}"
            text = f"{told}; outside the window of {good}."
            return Sign(window.kind, Severity.WARNING, *ends, value - limit, "K", text, confirm)
    return None


def _from_series(view: View, channel: str) -> tuple[float, float, int] | None:
    """Distance of the mean from the middle reference and from the latest [K]; how many there are."""
    own = view.on_grid(channel)
    away = []
    for reference in view.references:
        laid = reference.on_grid(channel)
        if own is None or laid is None or np.isfinite(own + laid).sum() * 3 < own.size:
            continue
        away.append(float(np.nanmean(own - laid)))
    if not away:
        return None
    return float(np.median(away)), away[-1], len(away)
