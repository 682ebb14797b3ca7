"""What a tester sees in the channels before any judging: stuck, dropped out, infinite, turned round, several sweeps."""

from __future__ import annotations

import numpy as np

from fairpull.logs.cells import row_list
from fairpull.logs.guess import sample
from fairpull.logs.recognise import Understood
from fairpull.terms.arrays import FloatArray
from fairpull.terms.errors import Fault
from fairpull.terms.findings import Finding, Severity
from fairpull.terms.glossary import BY_NAME

MOVING = frozenset(
    ("torque", "power", "fuel_mass_flow", "fuel_volume_flow", "air_mass_flow", "air_volume_flow", "exhaust_temperature")
)
ENOUGH = 20  # rows from which a channel that never moves is remarkable
WILD = 20.0  # a cell this many times beyond the plausible range is no measurement
DROPPED_SHARE = 0.2


def check(found: Understood, first_row: int, where: str) -> None:
    """Look at the channels' behaviour; findings and faults are added in place, impossible cells become missing.

    Args:
        found: channels in house units.
        first_row: row number in the file of the first sample.
        where: file name.
    """
    for key in list(found.channels):
        _wild_cells(found, key, first_row, where)
    for key in list(found.channels):
        _stuck(found, key, where)
    _dropouts(found, first_row, where)
    _speed(found, where)
    _sweeps(found, where)


def _note(found: Understood, severity: Severity, code: str, where: str, text: str, remedy: str) -> None:
    found.findings.append(Finding(code, severity, where, text, remedy))


def _column(found: Understood, key: str) -> str:
    claim = found.of_channel(key)
    return claim.column if claim else key


def _wild_cells(found: Understood, key: str, first_row: int, where: str) -> None:
    """Infinities and single cells far beyond anything possible become missing."""
    base = key if key in BY_NAME else key.rpartition("_")[0]
    if base == "time" or key not in found.units:
        return
    values = found.channels[key]
    channel = BY_NAME[base]
    bound = WILD * max(abs(channel.low), abs(channel.high))
    with np.errstate(invalid="ignore"):
        wild = np.abs(values) > bound
    if not np.any(wild) or np.mean(wild) > 0.5:
        return  # a whole column out of range is a matter of its unit
    infinite = np.isinf(values)
    found.channels[key] = np.where(wild, np.nan, values)
    for code, rows in (("value-infinite", infinite), ("value-implausible", wild & ~infinite)):
        places = [int(place) + first_row for place in np.flatnonzero(rows)]
        if places:
            text = f"{_column(found, key)} cannot be what stands in {row_list(places)}; taken as missing"
            _note(found, Severity.WARNING, code, where, text, "look at the sensor and its wiring")


def _stuck(found: Understood, key: str, where: str) -> None:
    base = key if key in BY_NAME else key.rpartition("_")[0]
    values = found.channels[key]
    if base not in MOVING or len(values) < ENOUGH or key not in found.units:
        return
    good = values[np.isfinite(values)]
    if len(good) >= ENOUGH and np.ptp(good) == 0.0:
        text = f"{_column(found, key)} never moves: {good[0]:.6g} {BY_NAME[base].unit} in all {len(good)} rows"
        _note(found, Severity.FAULT, "channel-stuck", where, text, "look at the sensor; do not use this channel")


def _dropouts(found: Understood, first_row: int, where: str) -> None:
    torque = found.channels.get("torque")
    if torque is None or "torque" not in found.units or len(torque) < ENOUGH:
        return
    zero = torque == 0.0
    share = float(np.mean(zero))
    if not 0 < share < DROPPED_SHARE:
        return
    alone = zero.copy()
    alone[1:] &= np.abs(torque[:-1]) > 0.2 * np.nanmedian(np.abs(torque))
    rows = [int(place) + first_row for place in np.flatnonzero(alone)]
    if rows:
        text = f"{_column(found, 'torque')} falls to exactly zero at {row_list(rows)}: the signal dropped out"
        _note(found, Severity.WARNING, "dropouts", where, text, "look at the plug and the cable of the load cell")


def _speed(found: Understood, where: str) -> None:
    rpm = found.channels.get("rpm")
    if rpm is None:
        return
    taken = sample(rpm)
    if len(taken) == 0:
        return
    column = _column(found, "rpm")
    if float(np.max(np.abs(taken))) < 1.0:
        found.faults.append(
            Fault("speed-still", where, f"{column} is zero all the time", "give a log of a running engine")
        )
    elif float(np.mean(taken < 0)) > 0.9:
        found.channels["rpm"] = -rpm
        found.choices["rpm"] = f"{column} counts negative; its sign was turned"
        text = f"{column} is negative nearly everywhere; its sign was turned"
        _note(found, Severity.WARNING, "speed-negative", where, text, "turn the sign in the logger")
    third = max(1, len(taken) // 3)
    first, last = float(np.median(taken[:third])), float(np.median(taken[-third:]))
    # Steps are often run from the top down; in a trace, falling speed through and through is unusual.
    if "time" in found.channels and abs(last) < 0.8 * abs(first) and float(np.mean(np.diff(taken) < 0)) > 0.8:
        text = f"{column} falls from {abs(first):.0f} to {abs(last):.0f} 1/min throughout: a pull downwards or a coast"
        _note(found, Severity.WARNING, "speed-falls", where, text, "compare only with pulls in the same direction")


def _sweeps(found: Understood, where: str) -> None:
    """Count how often speed climbs from the lowest to the highest quarter of its range."""
    rpm = found.channels.get("rpm")
    if rpm is None or "time" not in found.channels:
        return
    count = climbs(sample(rpm))
    if count > 1:
        text = f"speed climbs through its range {count} times: several sweeps in one file"
        _note(found, Severity.NOTE, "several-sweeps", where, text, "nothing; each is taken as a pull of its own")


def climbs(rpm: FloatArray) -> int:
    """How often speed climbs from its lowest to its highest quarter.

    Args:
        rpm: shaft speed, finite, shape (n,) [1/min].

    Returns:
        Number of climbs.
    """
    if len(rpm) < 3:
        return 0
    low, high = float(np.min(rpm)), float(np.max(rpm))
    if high - low < 300:
        return 0
    level = np.where(rpm < low + 0.25 * (high - low), 0, np.where(rpm > high - 0.25 * (high - low), 2, 1))
    turned = level[level != 1]
    return int(np.sum(np.diff(turned) > 0))
