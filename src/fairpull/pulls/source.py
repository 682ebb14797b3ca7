"""What a recording offers to the search for pulls: a clock, speed and torque, delays and calibration applied."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from fairpull.pulls.blocks import bridged
from fairpull.pulls.options import PullOptions
from fairpull.pulls.speed import RPM_TO_RAD
from fairpull.terms.arrays import FloatArray
from fairpull.terms.errors import Fault, NotComparable, UnknownName
from fairpull.terms.findings import Finding, Severity
from fairpull.terms.recording import Recording

_SEARCHED = ("time", "rpm", "torque", "throttle", "power")


@dataclass(frozen=True, slots=True)
class Signals:
    """A recording made ready for the search.

    Attributes:
        channels: glossary name -> shape (n,), with "rpm" and "torque", delays and calibration applied.
        time: rising clock, shape (n,) [s]; None for a table.
        dt: usual time between rows [s]; 0 for a table.
        findings, choices: what was noticed and assumed on the way.
    """

    channels: Mapping[str, FloatArray]
    time: FloatArray | None
    dt: float
    findings: tuple[Finding, ...]
    choices: Mapping[str, str]


def signals(recording: Recording, options: PullOptions) -> Signals:
    """Make a recording ready for the search.

    Args:
        recording: what was read.
        options: ``lags`` and ``calibration`` are used.

    Returns:
        The signals.

    Raises:
        NotComparable: no speed, or neither torque nor power, or no usable clock.
        UnknownName: a delay is given for a channel that is not there.
    """
    channels = dict(recording.channels)
    choices = dict(recording.choices)
    findings: list[Finding] = []
    for name in _SEARCHED:
        if name in channels:
            channels[name] = finite(channels[name])
    _require(recording.name, channels)
    if not _present(channels, "torque"):
        channels["torque"] = _torque_from_power(channels)
        choices["torque"] = "computed from logged power and speed: torque = power / (2 pi n)"
    if options.calibration is not None:
        from fairpull.pulls.calibration import true_torque  # most brakes need none, and loading it takes time

        line = options.calibration
        channels["torque"] = np.asarray(true_torque(channels["torque"], line))
        choices["calibration"] = f"torque = (indicated - {line.intercept:.4g} N m) / {line.slope:.6g}, limits " + (
            "kept" if line.passed else "NOT kept"
        )
        findings += line.findings
    if recording.kind == "table":
        return Signals(channels, None, 0.0, tuple(findings), choices)
    time, dt, odd = _clock(channels, recording.name)
    findings += odd
    if options.lags:
        _shift(channels, time, options.lags, recording.name)
        choices["lags"] = ", ".join(f"{name} moved back {lag:g} s" for name, lag in options.lags.items())
    return Signals(channels, time, dt, tuple(findings), choices)


def _present(channels: Mapping[str, FloatArray], name: str) -> bool:
    return name in channels and bool(np.isfinite(channels[name]).any())


def finite(values: FloatArray) -> FloatArray:
    """Infinite values become missing ones.

    Args:
        values: shape (n,), any unit.

    Returns:
        Shape (n,), same unit; the same array when nothing was infinite.

    Source:
        definition.
    """
    infinite = np.isinf(values)
    return np.where(infinite, np.nan, values) if infinite.any() else values


def _require(where: str, channels: Mapping[str, FloatArray]) -> None:
    faults = []
    if not _present(channels, "rpm"):
        seen = "the speed channel is empty" if "rpm" in channels else "no speed channel"
        remedy = "name the column that holds crankshaft speed, in channels.toml or by option"
        faults.append(Fault("no-speed", where, seen, remedy))
    if not (_present(channels, "torque") or _present(channels, "power")):
        seen = "the torque channel is empty" if "torque" in channels else "neither torque nor power"
        remedy = "name the column that holds brake torque or power, in channels.toml or by option"
        faults.append(Fault("no-torque", where, seen, remedy))
    if faults:
        raise NotComparable(faults)


def _torque_from_power(channels: Mapping[str, FloatArray]) -> FloatArray:
    omega = channels["rpm"] * RPM_TO_RAD
    with np.errstate(divide="ignore", invalid="ignore"):
        torque = np.where(omega > 0, channels["power"] / omega, np.nan)
    return np.asarray(torque)


def _clock(channels: Mapping[str, FloatArray], name: str) -> tuple[FloatArray, float, list[Finding]]:
    time = channels.get("time")
    if time is None or np.count_nonzero(np.isfinite(time)) < 2:
        seen = "no clock column with values"
        remedy = "name the clock column, or read the file as a table of speed and torque"
        raise NotComparable(Fault("no-clock", name, seen, remedy))
    known = np.flatnonzero(np.isfinite(time))
    filled = bridged(time)
    dt = float(np.median(np.diff(filled[known[0] : known[-1] + 1])))
    filled = _run_on(filled, int(known[0]), int(known[-1]), dt)
    steps = np.diff(filled)
    if dt <= 0:
        seen = f"the clock does not run: median step {dt:g} s"
        raise NotComparable(Fault("clock-stands", f"{name}, time", seen, "give a clock that rises row by row"))
    findings = []
    if (steps <= 0).any():
        rows = np.flatnonzero(steps <= 0) + 1
        text = f"the clock stands or goes back at {rows.size} rows, first at row {rows[0]}; even {dt:g} s steps used."
        remedy = "Check the logger; split the file if it holds two recordings."
        findings.append(Finding("clock-backwards", Severity.WARNING, f"{name}, time", text, remedy))
        filled = filled[0] + dt * np.arange(filled.size)
    return filled, dt, findings


def _run_on(time: FloatArray, first: int, last: int, dt: float) -> FloatArray:
    """Rows before the first and after the last clock reading get even steps: they have no reading to stand on."""
    if first == 0 and last == time.size - 1:
        return time
    time = time.copy()
    time[:first] = time[first] - dt * np.arange(first, 0, -1)
    time[last + 1 :] = time[last] + dt * np.arange(1, time.size - last)
    return time


def _shift(channels: dict[str, FloatArray], time: FloatArray, lags: Mapping[str, float], name: str) -> None:
    unknown = [channel for channel in lags if channel not in channels]
    if unknown:
        known = ", ".join(sorted(channels))
        raise UnknownName(
            [Fault("lag-channel", f"{name}, lags", f"no channel {channel!r}", f"one of {known}") for channel in unknown]
        )
    if lags:
        from fairpull.pulls.lag import shift_channel
    for channel, lag in lags.items():
        channels[channel] = shift_channel(time, channels[channel], lag)
