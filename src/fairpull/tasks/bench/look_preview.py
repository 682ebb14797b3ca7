"""A recording as it is shown before it is kept: speed and torque along its clock, thinned, and its weather."""

from __future__ import annotations

import math
from dataclasses import asdict
from itertools import pairwise

import numpy as np

from fairpull.terms.arrays import FloatArray
from fairpull.terms.offered import OfferedRecording
from fairpull.terms.recording import Recording

POINTS = 600
WEATHER = ("barometer", "inlet_temperature", "relative_humidity", "dew_point", "wet_bulb", "vapour_pressure")


def preview(recording: Recording) -> OfferedRecording:
    """A recording without its pulls.

    Args:
        recording: as it was read.

    Returns:
        What is shown of it.
    """
    channels = recording.channels
    rpm = channels.get("rpm", np.zeros(0))
    torque = channels.get("torque", np.full(len(rpm), np.nan))
    clock = _clock(recording)
    along = np.arange(1.0, len(rpm) + 1) if clock is None else clock
    rows = thinned(rpm, torque, POINTS)
    return OfferedRecording(
        name=recording.name,
        kind=recording.kind,
        rows=len(rpm),
        started_at=recording.started_at,
        given={name: value for name, value in asdict(recording.given).items() if value is not None},
        logged={name: mean for name in WEATHER if (mean := _mean(channels.get(name))) is not None},
        findings=recording.findings,
        choices=recording.choices,
        along=tuple(float(one) for one in along[rows]),
        clocked=clock is not None,
        rpm=_numbers(rpm[rows]),
        torque=_numbers(torque[rows]),
    )


def _clock(recording: Recording) -> FloatArray | None:
    """The clock where every row has a time and it runs on."""
    time = recording.channels.get("time")
    if time is None or not len(time) or not np.isfinite(time).all():
        return None
    return np.asarray(time, dtype=np.float64)


def thinned(rpm: FloatArray, torque: FloatArray, most: int) -> list[int]:
    """Rows that show a recording as it looks: of each stretch the least and the most torque, and its first row.

    Args:
        rpm, torque: shape (n,).
        most: rows at most.

    Returns:
        Row numbers, ascending.
    """
    count = len(rpm)
    if count <= most:
        return list(range(count))
    edges = np.linspace(0, count, most // 3 + 1).astype(int)
    chosen: set[int] = set()
    for first, last in pairwise(edges.tolist()):
        part = torque[first:last]
        chosen.add(int(first))
        if np.isfinite(part).any():
            chosen |= {int(first + np.nanargmin(part)), int(first + np.nanargmax(part))}
    return sorted(chosen)


def ends(recording: Recording, first: int, last: int) -> tuple[float, float]:
    """Where a stretch of rows begins and ends along what the preview is drawn along."""
    clock = _clock(recording)
    if clock is None:
        return float(first + 1), float(last + 1)
    return float(clock[first]), float(clock[min(last, len(clock) - 1)])


def span(values: FloatArray) -> tuple[float, float]:
    """Least and most of what is finite; zeros where nothing is."""
    known = values[np.isfinite(values)]
    return (float(known.min()), float(known.max())) if known.size else (0.0, 0.0)


def _mean(values: FloatArray | None) -> float | None:
    if values is None or not np.isfinite(values).any():
        return None
    return float(np.nanmean(np.where(np.isfinite(values), values, np.nan)))


def _numbers(values: FloatArray) -> tuple[float | None, ...]:
    return tuple(float(one) if math.isfinite(one) else None for one in values)
