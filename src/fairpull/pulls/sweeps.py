"""A ramp becomes a Pull: its exact rows, clean channels, inertia correction, checks."""

from __future__ import annotations

import numpy as np

from fairpull.pulls.blocks import Blocks, bridged
from fairpull.pulls.checks import sweep_findings
from fairpull.pulls.clean import clean, stack
from fairpull.pulls.full_load import FullLoad
from fairpull.pulls.inertia import inertia_torque
from fairpull.pulls.options import PullOptions
from fairpull.pulls.ramps import Ramp
from fairpull.pulls.source import Signals
from fairpull.pulls.speed import RPM_TO_RAD, rate_of_change
from fairpull.terms.arrays import FloatArray
from fairpull.terms.errors import Fault, NotComparable
from fairpull.terms.pull import Pull
from fairpull.terms.recording import Recording

CLOSING = 0.01  # the throttle closes once it reads this much below its median, fraction
TAIL_SECONDS = 0.5
TAIL_DROP = 0.06  # without a throttle channel
TAIL_DROP_THROTTLE = 0.15  # with one: only where it comes later than torque


def sweep_rows(ramp: Ramp, blocks: Blocks, load: FullLoad, source: Signals, options: PullOptions) -> tuple[int, int]:
    """Exact rows of a sweep: the last row is where the throttle starts to close or torque collapses.

    Args:
        ramp: the sweep in blocks.
        blocks: the thinned recording.
        load: how full load was told.
        source: the recording's signals.
        options: ``throttle_floor`` is used.

    Returns:
        Rows [first, end).
    """
    if not load.by_throttle:  # one more block is left out: the collapse may begin inside it
        last = _before_collapse(ramp, blocks, TAIL_DROP) - 1
        return blocks.span(ramp.first, max(last, ramp.first))
    first, end = blocks.span(ramp.first, _before_collapse(ramp, blocks, TAIL_DROP_THROTTLE))
    throttle = source.channels["throttle"][first:end]
    present = throttle[np.isfinite(throttle)]
    if not present.size:
        return first, end
    closing = max(options.throttle_floor, float(np.median(present)) - CLOSING)
    good = np.flatnonzero(~(throttle < closing))
    return first, first + int(good[-1]) + 1 if good.size else end


def _before_collapse(ramp: Ramp, blocks: Blocks, drop: float) -> int:
    """Last block before torque falls, by the share ``drop``, below the line through the second before."""
    tail = max(1, round(TAIL_SECONDS / blocks.seconds))
    lead = 2 * tail
    if ramp.last - ramp.first < lead + 2 * tail:
        return ramp.last
    torque = bridged(blocks.torque[ramp.first : ramp.last + 1])
    known = np.arange(torque.size - tail - lead, torque.size - tail)
    late = np.arange(torque.size - tail, torque.size)
    middle = known - known.mean()
    slope = float(middle @ torque[known]) / float(middle @ middle)
    expected = float(torque[known].mean()) + slope * (late - known.mean())
    fallen = np.flatnonzero(torque[late] < (1.0 - drop) * expected)
    return ramp.last - tail + int(fallen[0]) if fallen.size else ramp.last


def sweep_pull(
    recording: Recording, source: Signals, ramp: Ramp, rows: tuple[int, int], name: str, options: PullOptions, rule: str
) -> Pull:
    """Cut a sweep out of a recording and clean it.

    Args:
        recording: what was read.
        source: its signals.
        ramp: the sweep.
        rows: rows [first, end).
        name: the pull's name.
        options: how to clean.
        rule: how full load was told.

    Returns:
        The pull.
    """
    first, end = rows
    assert source.time is not None
    names = tuple(key for key in source.channels if key != "time")
    pad = 0 if options.inertia is None else round(options.inertia_window / source.dt)
    start, stop = max(0, first - pad), end  # no rows beyond the end: there the ramp is over
    table, findings, choices = clean(stack(source.channels, names, start, stop), names, options, name)
    time = source.time[start:stop]
    kept = slice(first - start, end - start)
    channels: dict[str, FloatArray] = {"time": time[kept]}
    channels |= {key: table[row, kept] for row, key in enumerate(names)}
    choices |= _correct(channels, time, table[names.index("rpm")], kept, options)
    _refuse_dead(channels["torque"][np.isfinite(channels["rpm"])], first, end, name)
    findings += sweep_findings(channels, channels["time"], source.dt, ramp.rate, options, name)
    offset = float(source.time[first] - source.time[0])
    return Pull(
        name=name,
        origin=recording.origin,
        kind="sweep",
        channels=channels,
        first_row=first,
        last_row=end - 1,
        started_at=None if recording.started_at is None else recording.started_at + offset,
        sweep_rate=ramp.rate,
        given=recording.given,
        valid_to=options.valid_to,
        findings=(*recording.findings, *source.findings, *findings),
        choices={**source.choices, **_told(ramp, options, rule), **choices},
    )


def _refuse_dead(torque: FloatArray, first: int, end: int, name: str) -> None:
    torque = torque[np.isfinite(torque)]
    remedy = "check the torque channel; give a recording with speed and torque"
    if not torque.size:
        seen = f"no row of rows {first} to {end - 1} has both speed and torque"
        raise NotComparable(Fault("pull-empty", f"{name}, torque", seen, remedy))
    if float(np.max(torque)) <= 0.0:
        seen = f"torque is never above 0 N m in rows {first} to {end - 1}"
        raise NotComparable(Fault("torque-dead", f"{name}, torque", seen, remedy))


def _correct(
    channels: dict[str, FloatArray], time: FloatArray, rpm: FloatArray, kept: slice, options: PullOptions
) -> dict[str, str]:
    choices = {"inertia": "none: torque as the brake saw it, short of what the rotating parts took up"}
    if options.inertia is not None:
        rate = rate_of_change(time, bridged(rpm), options.inertia_window)[kept]
        hidden = np.asarray(inertia_torque(options.inertia, rate))
        channels["torque"] = channels["torque"] + hidden
        choices["inertia"] = (
            f"torque += I dw/dt with I = {options.inertia:g} kg m2, dw/dt by local quadratic regression over"
            f" ±{options.inertia_window:g} s; median {np.median(hidden):+.3g} N m"
        )
    if "power" in channels and (options.inertia is not None or options.calibration is not None):
        channels["power"] = channels["torque"] * channels["rpm"] * RPM_TO_RAD
        choices["power"] = "computed again from corrected torque and speed"
    return choices


def _told(ramp: Ramp, options: PullOptions, rule: str) -> dict[str, str]:
    seen = "ramp released at" if ramp.seen_release else "release not in the log; counted from"
    end = "the speed is held at the top" if ramp.held_top else "the throttle closes or the ramp ends"
    return {
        "pull kind": "sweep " + ("up" if ramp.up else "down"),
        "full load": rule,
        "pull start": f"{seen} {ramp.released:.0f} rpm; the first {options.settle_rpm:.0f} rpm discarded",
        "pull end": f"where {end}",
    }
