"""The door of the room: a recording goes in, its full-load pulls come out."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from fairpull.pulls.blocks import Blocks, make_blocks
from fairpull.pulls.full_load import FullLoad, full_load
from fairpull.pulls.holds import Hold, find_holds
from fairpull.pulls.options import PullOptions, check_options
from fairpull.pulls.ramps import Ramp, find_ramps
from fairpull.pulls.source import Signals, finite, signals
from fairpull.pulls.steps import dense_table, rough_interval, steps_pull, table_pull
from fairpull.pulls.sweeps import sweep_pull, sweep_rows
from fairpull.terms.arrays import FloatArray
from fairpull.terms.errors import Fault, NotComparable
from fairpull.terms.findings import Finding, Severity
from fairpull.terms.pull import Pull
from fairpull.terms.recording import Recording

PART_LOAD = 0.85  # without throttle: a sweep below this share of the file's best torque is part load
ABORTED = 0.10  # a sweep that ends this share of the span below the others was aborted
_DEFAULT = PullOptions()


def find(recording: Recording, options: PullOptions = _DEFAULT) -> tuple[Pull, ...]:
    """Find the full-load pulls inside a recording and clean them.

    A sweep is a full-load stretch (by throttle, else by torque) whose speed moves one way by at least ``min_span``
    in at least ``min_duration``; it counts from ``settle_rpm`` after the ramp's release until the throttle closes or
    the ramp ends. A step test is three or more held speeds. A table without a clock is a step test as it stands.

    Args:
        recording: what was read.
        options: how to find and clean.

    Returns:
        The pulls in running order, at least one.

    Raises:
        NotComparable: there is no pull in it; every stretch that came near is named with its reason.
        ValueRefused, UnknownName: an option makes no sense.
    """
    check_options(options)
    source = signals(recording, options)
    if source.time is None or rough_interval(source):
        return (_from_table(recording, source, options),)
    throttle = source.channels.get("throttle")
    blocks = make_blocks(source.dt, source.channels["rpm"], source.channels["torque"], throttle)
    load = full_load(blocks, options, recording.name)
    holds = find_holds(blocks, load, options) if options.kind != "sweep" else []
    ramps, rejected = find_ramps(blocks, load, options) if options.kind != "steps" else ([], [])
    ramps = [ramp for ramp in ramps if not any(_overlap(ramp, group) for group in holds)]
    ramps, dropped = _full_only(ramps, blocks, load)
    if not ramps and not holds:
        raise NotComparable(_no_pull(recording, load, blocks, [*rejected, *dropped], options))
    pulls = _make(recording, source, blocks, load, ramps, holds, options)
    notes = [*load.findings, *_skipped(dropped, recording.name)]
    pulls = [replace(pull, findings=(*pull.findings, *notes)) for pull in pulls]
    return tuple(_aborted(pulls))


def _from_table(recording: Recording, source: Signals, options: PullOptions) -> Pull:
    if source.time is None and dense_table(recording.channels["rpm"]):
        return _unclocked(recording, source, options)
    return table_pull(recording, source, recording.name, options)


def _unclocked(recording: Recording, source: Signals, options: PullOptions) -> Pull:
    """Raw samples of a sweep whose clock was not exported: a sweep of unknown rate."""
    rpm, torque = source.channels["rpm"], source.channels["torque"]
    good = np.flatnonzero(np.isfinite(rpm) & np.isfinite(torque))
    text = "the samples of a sweep came without a clock: its rate is unknown and nothing is discarded at its start."
    remedy = "Export the clock too; without it neither inertia nor start-up transients can be treated."
    finding = Finding("sweep-without-clock", Severity.WARNING, recording.name, text, remedy)
    return Pull(
        name=recording.name,
        origin=recording.origin,
        kind="sweep",
        channels={key: finite(values[good]) for key, values in source.channels.items()},
        first_row=int(good[0]),
        last_row=int(good[-1]),
        started_at=recording.started_at,
        given=recording.given,
        valid_to=options.valid_to,
        findings=(*recording.findings, *source.findings, finding),
        choices={**source.choices, "pull kind": "sweep, without a clock", "full load": "taken as it stands"},
    )


def _overlap(ramp: Ramp, group: list[Hold]) -> bool:
    return ramp.first <= group[-1].last and ramp.last >= group[0].first


def _full_only(ramps: list[Ramp], blocks: Blocks, load: FullLoad) -> tuple[list[Ramp], list[str]]:
    """Without a throttle channel, a sweep well below the file's best torque at the same speeds is part load."""
    if load.by_throttle or len(ramps) < 2:
        return ramps, []
    rpm = [blocks.rpm[r.first : r.last + 1] for r in ramps]
    grid = np.linspace(min(float(x.min()) for x in rpm), max(float(x.max()) for x in rpm), 100)
    torque = np.array([_on(grid, x, blocks.torque[r.first : r.last + 1]) for x, r in zip(rpm, ramps, strict=True)])
    best = np.max(np.nan_to_num(torque, nan=0.0), axis=0)
    shares = [_share(row, best) for row in torque]
    kept = [ramp for ramp, share in zip(ramps, shares, strict=True) if share >= PART_LOAD]
    dropped = [
        f"rows {blocks.span(ramp.first, ramp.last)[0]} to {blocks.span(ramp.first, ramp.last)[1] - 1}:"
        f" torque {share:.0%} of the best sweep's at the same speeds, part load"
        for ramp, share in zip(ramps, shares, strict=True)
        if share < PART_LOAD
    ]
    return kept, dropped


def _share(torque: FloatArray, best: FloatArray) -> float:
    common = np.isfinite(torque) & (best > 0)
    return float(np.median(torque[common] / best[common])) if common.any() else 0.0


def _on(grid: FloatArray, rpm: FloatArray, torque: FloatArray) -> FloatArray:
    good = np.isfinite(torque)
    if not good.any():
        return np.full(grid.size, np.nan)
    order = np.argsort(rpm[good], kind="stable")
    return np.interp(grid, rpm[good][order], torque[good][order], left=np.nan, right=np.nan)


def _make(
    recording: Recording,
    source: Signals,
    blocks: Blocks,
    load: FullLoad,
    ramps: list[Ramp],
    holds: list[list[Hold]],
    options: PullOptions,
) -> list[Pull]:
    parts: list[tuple[int, Ramp | list[Hold]]] = [(ramp.first, ramp) for ramp in ramps]
    parts += [(group[0].first, group) for group in holds]
    parts.sort(key=lambda part: part[0])
    pulls = []
    for number, (_, part) in enumerate(parts, 1):
        name = recording.name if number == 1 else f"{recording.name}#{number}"
        if isinstance(part, Ramp):
            rows = sweep_rows(part, blocks, load, source, options)
            pulls.append(sweep_pull(recording, source, part, rows, name, options, load.rule))
        else:
            pulls.append(steps_pull(recording, source, blocks, part, name, options, load.rule))
    return pulls


def _no_pull(
    recording: Recording, load: FullLoad, blocks: Blocks, reasons: list[str], options: PullOptions
) -> list[Fault]:
    loaded = float(np.count_nonzero(load.mask)) * blocks.seconds
    if options.kind == "steps":
        wanted = f"no step test: three or more speeds held for {options.hold_min:g} s at full load"
    else:
        wanted = f"no full-load sweep of at least {options.min_span:.0f} rpm"
    seen = f"{wanted}; {loaded:.3g} s at full load in all ({load.rule}), speed {blocks.rpm.min():.0f} to"
    seen += f" {blocks.rpm.max():.0f} rpm"
    remedy = "give a recording of a whole pull, or lower the options min_span, min_duration or throttle_floor"
    faults = [Fault("no-pull", recording.name, seen, remedy)]
    return faults + [
        Fault("no-pull-here", f"{recording.name}, {reason.partition(':')[0]}", reason.partition(": ")[2], remedy)
        for reason in reasons[:10]
    ]


def _skipped(dropped: list[str], name: str) -> list[Finding]:
    remedy = "Log the throttle, so that full load need not be guessed."
    return [
        Finding("part-load-skipped", Severity.NOTE, name, f"A sweep was not taken as a pull: {reason}.", remedy)
        for reason in dropped
    ]


def _aborted(pulls: list[Pull]) -> list[Pull]:
    """A sweep that ends well below the others of the same file carries a finding."""
    up = [pull for pull in pulls if pull.kind == "sweep" and pull.sweep_rate > 0]
    if len(up) < 2:
        return pulls
    tops = {pull.name: float(np.nanmax(pull.channels["rpm"])) for pull in up}
    usual = float(np.median(list(tops.values())) if len(up) > 2 else max(tops.values()))
    low = min(float(np.nanmin(pull.channels["rpm"])) for pull in up)
    return [_mark(pull, tops[pull.name], usual, low) if pull.name in tops else pull for pull in pulls]


def _mark(pull: Pull, top: float, usual: float, low: float) -> Pull:
    if usual - top <= ABORTED * (usual - low):
        return pull
    text = f"the pull ends at {top:.0f} rpm, the other pulls of this file at {usual:.0f} rpm: aborted early."
    remedy = "Write down why it was aborted; a void pull is kept and labelled."
    finding = Finding("aborted-early", Severity.WARNING, pull.name, text, remedy)
    return replace(pull, findings=(*pull.findings, finding))
