"""Held speeds become a Pull of kind "steps": one row per hold, or per row of a table without a clock."""

from __future__ import annotations

import numpy as np

from fairpull.pulls.blocks import Blocks, block_median
from fairpull.pulls.checks import throttle_findings, torque_sign
from fairpull.pulls.clean import clean, stack
from fairpull.pulls.holds import SAME_LEVEL, Hold, batch_error, settled_part
from fairpull.pulls.options import PullOptions
from fairpull.pulls.source import Signals, finite
from fairpull.terms.arrays import FloatArray
from fairpull.terms.errors import Fault, NotComparable
from fairpull.terms.findings import Finding, Severity
from fairpull.terms.pull import Pull
from fairpull.terms.recording import Recording

SAME_RPM = 0.5  # rpm: rows of a table closer than this stand at one speed
UNSETTLED = 0.01  # change of torque between the halves of the averaged part, fraction
WIDE_GAP = 600.0  # rpm
MEDIAN_OF_NORMAL = 0.67449  # median absolute value of a standard normal variable


def steps_pull(
    recording: Recording,
    source: Signals,
    blocks: Blocks,
    holds: list[Hold],
    name: str,
    options: PullOptions,
    rule: str,
) -> Pull:
    """Average the holds of a step test.

    Args:
        recording: what was read.
        source: its signals.
        blocks: the thinned recording.
        holds: the holds of this test, in running order.
        name: the pull's name.
        options: how to clean and average.
        rule: how full load was told.

    Returns:
        The pull: one row per hold, rising speed, with channel "torque_se" (standard error by batch means).
    """
    assert source.time is not None
    names = tuple(key for key in source.channels if key != "time")
    spans = [blocks.span(hold.first, hold.last) for hold in holds]
    first, end = spans[0][0], spans[-1][1]
    held = np.concatenate([stack(source.channels, names, a, b) for a, b in spans], axis=1)
    table, findings, choices = clean(held, names, options, name)
    offsets = np.cumsum([0] + [b - a for a, b in spans])
    bounds = zip(offsets[:-1].tolist(), offsets[1:].tolist(), strict=True)
    parts = [settled_part(a, b, source.dt, options.hold_average) for a, b in bounds]
    means = np.column_stack([_mean(table[:, a:b]) for a, b in parts])
    torque = table[names.index("torque")]
    errors = np.array([batch_error(torque[a:b]) for a, b in parts])
    findings += _unsettled([torque[a:b] for a, b in parts], [hold.rpm for hold in holds], name)
    channels = {key: means[row] for row, key in enumerate(names)}
    time = np.concatenate([source.time[a:b] for a, b in spans])
    channels["time"] = np.array([float(time[a:b].mean()) for a, b in parts])
    channels["torque_se"] = errors
    channels, merged = _sorted_merged(channels, SAME_LEVEL)
    choices |= {
        "pull kind": f"steps: {len(holds)} holds, {merged} of them repeats that were averaged",
        "full load": rule,
        "hold": f"held at least {options.hold_min:g} s; mean of the last {options.hold_average:g} s, or the last half"
        " of a shorter hold, less 0.2 s before the next move",
        "torque_se": "standard error of each hold's mean by batch means (schmeiser-1982)",
        "inertia": "none: the speed is held",
    }
    return _make(recording, source, channels, (first, end - 1), name, options, findings, choices)


def table_pull(recording: Recording, source: Signals, name: str, options: PullOptions) -> Pull:
    """Take a table of speed and torque (no clock) as a step test.

    Args:
        recording: what was read.
        source: its signals.
        name: the pull's name.
        options: ``valid_to`` is used.

    Returns:
        The pull: rows sorted by speed, rows at one speed averaged, with channel "torque_se" from the scatter of each
        row about the line through its neighbours (NaN below four rows).

    Raises:
        NotComparable: fewer than two rows with speed and torque, or torque negative throughout.
    """
    rpm, torque = source.channels["rpm"], source.channels["torque"]
    good = np.isfinite(rpm) & np.isfinite(torque) & (rpm > 0)
    if np.count_nonzero(good) < 2:
        seen = f"{np.count_nonzero(good)} rows with speed and torque"
        raise NotComparable(Fault("table-short", name, seen, "give two or more speeds with their torque"))
    if float(np.median(torque[good])) < 0:
        seen = f"torque is negative: median {np.median(torque[good]):.4g} N m"
        remedy = "the sign is turned, or this is a motored run: give the channel with the opposite sign"
        raise NotComparable(Fault("torque-negative", f"{name}, torque", seen, remedy))
    channels = {key: finite(values[good]) for key, values in source.channels.items()}
    channels, merged = _sorted_merged(channels, SAME_RPM)
    if channels["rpm"].size < 2:
        seen = "all rows stand at one speed"
        raise NotComparable(Fault("table-one-speed", f"{name}, rpm", seen, "give two or more speeds"))
    channels["torque_se"] = np.full(channels["rpm"].size, neighbour_scatter(channels["rpm"], channels["torque"]))
    findings: list[Finding] = []
    if merged:
        text = f"{merged} rows repeat a speed (within {SAME_RPM:g} rpm) and were averaged with it."
        remedy = "Split the table with --by if it holds several curves."
        findings.append(Finding("table-duplicates", Severity.WARNING, name, text, remedy))
    if not good.all():
        text = f"{np.count_nonzero(~good)} rows without speed or torque were left out."
        findings.append(Finding("table-rows-left-out", Severity.NOTE, name, text, "Check the table's last rows."))
    choices = {
        "pull kind": f"steps: a table of {channels['rpm'].size} speeds, each row taken as a held speed",
        "full load": "taken from the table as it stands",
        "torque_se": "scatter of the rows about the line through their neighbours (gasser-1986)",
        "inertia": "none: each row is taken as a held speed",
    }
    rows = np.flatnonzero(good)
    return _make(recording, source, channels, (int(rows[0]), int(rows[-1])), name, options, findings, choices)


def _unsettled(parts: list[FloatArray], rpm: list[float], name: str) -> list[Finding]:
    """Holds whose torque still moves between the halves of the averaged part."""
    moving = []
    for values, speed in zip(parts, rpm, strict=True):
        half = values.size // 2
        early, late = (float(np.nanmean(x)) if np.isfinite(x).any() else np.nan for x in (values[:half], values[half:]))
        if abs(late - early) > UNSETTLED * abs(late):
            moving.append(f"{speed:.0f}")
    if not moving:
        return []
    text = f"torque still moves by more than {UNSETTLED:.0%} within the averaged part at {', '.join(moving)} rpm."
    remedy = "Hold longer; the law's step test holds 15 s and averages the last 5 s."
    return [Finding("hold-not-settled", Severity.WARNING, f"{name}, torque", text, remedy)]


def _make(
    recording: Recording,
    source: Signals,
    channels: dict[str, FloatArray],
    rows: tuple[int, int],
    name: str,
    options: PullOptions,
    findings: list[Finding],
    choices: dict[str, str],
) -> Pull:
    findings += throttle_findings(channels.get("throttle"), options.throttle_full, name)
    findings += torque_sign(channels["torque"], name)
    gap = float(np.diff(channels["rpm"]).max())
    if gap > WIDE_GAP:
        text = f"the widest gap between held speeds is {gap:.0f} rpm; a straight line is drawn across it."
        remedy = "Hold more speeds; 100 to 250 rpm apart is usual."
        findings.append(Finding("holds-far-apart", Severity.WARNING, name, text, remedy))
    offset = 0.0 if source.time is None else float(source.time[rows[0]] - source.time[0])
    return Pull(
        name=name,
        origin=recording.origin,
        kind="steps",
        channels=channels,
        first_row=rows[0],
        last_row=rows[1],
        started_at=None if recording.started_at is None else recording.started_at + offset,
        given=recording.given,
        valid_to=options.valid_to,
        findings=(*recording.findings, *source.findings, *findings),
        choices={**source.choices, **choices},
    )


def _mean(values: FloatArray) -> FloatArray:
    count = np.count_nonzero(~np.isnan(values), axis=-1)
    total = np.nansum(values, axis=-1)
    return np.where(count > 0, total / np.maximum(count, 1), np.nan)


def _sorted_merged(channels: dict[str, FloatArray], tolerance: float) -> tuple[dict[str, FloatArray], int]:
    """Rows sorted by speed, rows at one speed averaged; also the number of rows that went into others."""
    order = np.argsort(channels["rpm"], kind="stable")
    rpm = channels["rpm"][order]
    group = np.concatenate(([0], np.cumsum(np.diff(rpm) > tolerance)))
    merged = rpm.size - int(group[-1]) - 1
    if merged == 0:
        return {key: values[order] for key, values in channels.items()}, 0
    starts = np.flatnonzero(np.diff(group, prepend=-1))
    ends = np.append(starts[1:], rpm.size)
    return {
        key: np.array([_mean(values[order][a:b]) for a, b in zip(starts, ends, strict=True)])
        for key, values in channels.items()
    }, merged


def neighbour_scatter(x: FloatArray, y: FloatArray) -> float:
    """Standard deviation of points about the line through their two neighbours, freed of the neighbours' own scatter.

    Args:
        x: rising, shape (n,), any unit.
        y: shape (n,), any unit.

    Returns:
        Standard deviation of one point, unit of y; NaN below four points. Curvature counts as scatter, but the median
        of the departures is taken, so that a few bends do not set it (their root mean square where the median is 0).

    Source:
        gasser-1986, pseudo-residuals.
    """
    if x.size < 4:
        return float("nan")
    a = (x[2:] - x[1:-1]) / (x[2:] - x[:-2])
    rest = a * y[:-2] + (1.0 - a) * y[2:] - y[1:-1]
    departure = np.abs(rest) / np.sqrt(a * a + (1.0 - a) ** 2 + 1.0)
    usual = float(np.median(departure)) / MEDIAN_OF_NORMAL
    return usual if usual > 0 else float(np.sqrt(np.mean(np.square(departure))))


def rough_interval(source: Signals) -> bool:
    """Are the rows so far apart in time that each must be a held speed of its own?

    Args:
        source: a recording's signals.

    Returns:
        True when rows are two seconds or more apart.
    """
    return source.dt >= 2.0


def dense_table(rpm: FloatArray) -> bool:
    """Is a table without a clock really the raw samples of a sweep?

    Args:
        rpm: as it stands in the file, shape (n,) [rpm].

    Returns:
        True for more than 60 rows whose speed rises by less than 15 rpm a row, noise put aside.
    """
    if rpm.size <= 60 or not np.isfinite(rpm).any():
        return False
    coarse = block_median(rpm, max(1, rpm.size // 30))
    steps = np.diff(coarse[np.isfinite(coarse)]) / max(1, rpm.size // 30)
    return bool(steps.size) and bool(np.all(steps > 0)) and float(np.median(steps)) < 15.0
