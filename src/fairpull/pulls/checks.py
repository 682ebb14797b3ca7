"""What can be wrong with a pull: each check looks at clean channels and returns findings."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from fairpull.pulls.blocks import block_median, moving_average, runs
from fairpull.pulls.options import PullOptions
from fairpull.pulls.speed import RPM_TO_RAD
from fairpull.terms.arrays import FloatArray
from fairpull.terms.findings import Finding, Severity

RAMP_TOLERANCE = 0.10
HUNTING = 25.0  # rpm
SHORT_SPAN = 1000.0  # rpm
SHORT_SECONDS = 4.0
STUCK_SECONDS = 0.5
STUCK_SAMPLES = 10
POWER_TOLERANCE = 0.015
RATE_PARTS = 5
THROTTLE_SECONDS = 0.1


def sweep_findings(
    channels: Mapping[str, FloatArray], time: FloatArray, dt: float, rate: float, options: PullOptions, where: str
) -> list[Finding]:
    """All checks of a sweep.

    Args:
        channels: clean channels, glossary name -> shape (n,).
        time: shape (n,) [s].
        dt: usual time between rows [s].
        rate: the pull's median rate [rpm/s].
        options: ``throttle_full`` and ``nominal_rate`` are used.
        where: the pull's name.

    Returns:
        The findings, possibly none.
    """
    rpm = channels["rpm"]
    found = [
        *throttle_findings(
            channels.get("throttle"), options.throttle_full, where, max(1, round(THROTTLE_SECONDS / dt))
        ),
        *_ramp(rpm, time, options.nominal_rate or rate, where),
        *_hunting(rpm, dt, where),
        *_short(rpm, time, where),
        *_stuck(channels["torque"], dt, where),
        *torque_sign(channels["torque"], where),
        *_gaps(time, dt, where),
        *_power(channels, where),
    ]
    if rate < 0:
        text = f"the speed falls during the pull, {rate:.0f} rpm/s; rotating parts add torque instead of hiding it."
        remedy = "Compare it only with pulls in the same direction and rate, or give the inertia."
        found.append(Finding("sweep-down", Severity.WARNING, where, text, remedy))
    return found


def throttle_findings(throttle: FloatArray | None, full: float, where: str, samples: int = 1) -> list[Finding]:
    """Was the throttle fully open all the time?

    Args:
        throttle: opening, shape (n,), fraction; None without such a channel.
        full: opening that counts as full, fraction.
        where: the pull's name.
        samples: medians of so many samples are looked at: noise and the first sample of the closing do not count.

    Returns:
        At most one finding.
    """
    if throttle is None or not np.isfinite(throttle).any():
        return []
    whole = throttle.size // samples * samples
    throttle = block_median(throttle[:whole] if whole else throttle, samples)
    least, usual = float(np.nanmin(throttle)), float(np.nanmedian(throttle))
    if least >= full:
        return []
    share = float(np.mean(throttle < full))
    text = f"throttle below {full:.0%} during {share:.0%} of the pull: least {least:.1%}, median {usual:.1%}."
    remedy = "Check linkage and sensor; a pull with the throttle not fully open is void."
    return [Finding("throttle-not-full", Severity.WARNING, f"{where}, throttle", text, remedy)]


def _ramp(rpm: FloatArray, time: FloatArray, nominal: float, where: str) -> list[Finding]:
    """Mean rate over fifths of the time against the nominal rate."""
    edges = np.linspace(0, rpm.size - 1, RATE_PARTS + 1).astype(np.int64)
    with np.errstate(invalid="ignore", divide="ignore"):
        off = np.diff(rpm[edges]) / np.diff(time[edges]) / nominal - 1.0
    off = off[np.isfinite(off)]
    if not off.size or np.abs(off).max() <= RAMP_TOLERANCE:
        return []
    worst = float(off[np.argmax(np.abs(off))])
    text = f"the ramp is off by {worst:+.0%} from {nominal:.0f} rpm/s over a fifth of the pull (10 % allowed)."
    remedy = "Retune the brake's ramp, or give the inertia so that the torque does not depend on the rate."
    return [Finding("ramp-off", Severity.WARNING, where, text, remedy)]


def _hunting(rpm: FloatArray, dt: float, where: str) -> list[Finding]:
    size = max(1, round(0.05 / dt))
    blocks = block_median(rpm, size)
    width = round(1.5 / (size * dt)) | 1
    if blocks.size < 2 * width or np.isnan(blocks).any():
        return []
    rest = (blocks - moving_average(blocks, width))[width // 2 : -(width // 2)]
    swing = float(np.quantile(np.abs(rest), 0.98))
    if swing <= HUNTING:
        return []
    text = f"the speed swings by ±{swing:.0f} rpm about the ramp (±{HUNTING:.0f} rpm allowed): the brake hunts."
    remedy = "Retune the brake's control; repeat the pull."
    return [Finding("speed-hunting", Severity.WARNING, f"{where}, rpm", text, remedy)]


def _short(rpm: FloatArray, time: FloatArray, where: str) -> list[Finding]:
    span, seconds = float(np.nanmax(rpm) - np.nanmin(rpm)), float(time[-1] - time[0])
    if span >= SHORT_SPAN and seconds >= SHORT_SECONDS:
        return []
    text = f"the pull covers {span:.0f} rpm in {seconds:.1f} s; usual are 1000 rpm or more in 8 to 20 s."
    remedy = "Start lower or ramp slower: a short pull leaves inertia, lag and transients in the torque."
    return [Finding("pull-short", Severity.NOTE, where, text, remedy)]


def _stuck(torque: FloatArray, dt: float, where: str) -> list[Finding]:
    same = runs(np.diff(torque) == 0.0)
    longest = 1 + max((last - first + 1 for first, last in same), default=0)
    seconds = longest * dt
    if longest <= STUCK_SAMPLES or seconds < STUCK_SECONDS:
        return []
    whole = longest >= 0.9 * torque.size
    severity = Severity.FAULT if whole else Severity.WARNING
    text = f"torque does not change over {longest} samples ({seconds:.2g} s) while the speed moves."
    remedy = "Check the load cell and its amplifier; the pull is void."
    return [Finding("torque-stuck", severity, f"{where}, torque", text, remedy)]


def torque_sign(torque: FloatArray, where: str) -> list[Finding]:
    """Is torque negative anywhere in the pull?

    Args:
        torque: shape (n,) [N m].
        where: the pull's name.

    Returns:
        At most one finding.
    """
    below = np.count_nonzero(torque < 0)
    if not below:
        return []
    text = f"torque is negative at {below} of {torque.size} samples, least {np.nanmin(torque):.4g} N m."
    remedy = "Check the zero and the sign of the torque channel; negative torque is no full load."
    severity = Severity.FAULT if below > 0.05 * torque.size else Severity.WARNING
    return [Finding("torque-negative", severity, f"{where}, torque", text, remedy)]


def _gaps(time: FloatArray, dt: float, where: str) -> list[Finding]:
    widest = float(np.diff(time).max(initial=0.0))
    if widest <= max(5.0 * dt, dt + 0.02):
        return []
    text = f"the clock jumps by {widest:.3g} s inside the pull; rows are {dt:.3g} s apart elsewhere."
    remedy = "Samples were lost there; repeat the pull if the jump is wider than 0.1 s."
    return [Finding("clock-gap", Severity.WARNING, f"{where}, time", text, remedy)]


def _power(channels: Mapping[str, FloatArray], where: str) -> list[Finding]:
    power = channels.get("power")
    if power is None:
        return []
    with np.errstate(invalid="ignore", divide="ignore"):
        ratio = power / (channels["torque"] * channels["rpm"] * RPM_TO_RAD)
    ratio = ratio[np.isfinite(ratio)]
    off = float(np.median(ratio)) - 1.0 if ratio.size else 0.0
    if abs(off) <= POWER_TOLERANCE:
        return []
    text = f"logged power is {off:+.1%} off torque times speed."
    remedy = "The log may hold corrected power beside observed torque; torque is used here, power is not."
    return [Finding("power-not-torque", Severity.WARNING, f"{where}, power", text, remedy)]
