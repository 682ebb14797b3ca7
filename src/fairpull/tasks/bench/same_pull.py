"""The same pull saved twice: exported again, renamed, a column less, or only its beginning."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from fairpull import book
from fairpull.terms.bench import COUNTS, KeptPull
from fairpull.terms.pull import Pull

if TYPE_CHECKING:
    from fairpull.book import Book
    from fairpull.terms.arrays import FloatArray

AGAIN = "again"
PIECE = "piece"  # the earlier one is only the beginning of the later one
WHOLE = "whole"  # the later one is only the beginning of the earlier one
SAME_START = 1.0  # s: a clock column rounded to seconds
OVERLAP = 0.8  # of the shorter one: on one brake no two pulls run at the same time
SAME_SPEED = 0.5  # s by which the sweep may be shifted: half of the coarsest clock
SAME_TORQUE = 0.05  # another column, unit, inertia or brake line moves torque that far, and it is the same pull still
MATCHED = 0.9  # of the rows of the shorter one, where no clock tells
DENSE = 60  # rows: fewer are a table of held speeds, and then every row has to match
COARSE = 0.001  # of torque: half the step beyond which a short table cannot be told from its repeat
FEWEST = 8  # rows that can be told apart from chance
SHORTER = 0.98
PEAK_NEAR = 0.01  # of observed peak torque, to look closer
MOST_LOOKED_AT = 40  # traces that are read for one pull
DIGITS = 1e-7  # relative; what is left of a rounded number after its unit was changed


@dataclass(frozen=True, slots=True)
class Earlier:
    """A pull that was there before: its name, the pull, its file, and whether it counts."""

    name: str
    pull: Pull
    file: Path
    counts: bool


@dataclass(frozen=True, slots=True)
class Likeness:
    """What a pull is to an earlier one: ``kind`` is AGAIN, PIECE or WHOLE."""

    kind: str
    earlier: Earlier


def find_like(kept: Book, pull: Pull, file: Path, batch: Sequence[Earlier], own: Iterable[str] = ()) -> list[Likeness]:
    """Earlier pulls that are the same pull as this one.

    Args:
        kept: the book.
        pull: on its way in.
        file: it was read from.
        batch: those on their way in before it.
        own: content hashes of files that are not looked at.

    Returns:
        One for each, in order of taking in.
    """
    leave = {pull.origin.sha256, *own}
    found: list[Likeness] = []
    for line in _near(kept, pull):
        if line.original in leave:
            continue
        trace = kept.trace(line.name)
        if same_pull(trace, pull):
            earlier = Earlier(line.name, trace, kept.original(line.original), line.state == COUNTS)
            found.append(Likeness(_kind(earlier, pull, file), earlier))
    alike = (one for one in batch if one.pull.origin.sha256 not in leave and same_pull(one.pull, pull))
    return [*found, *(Likeness(_kind(one, pull, file), one) for one in alike)]


def _near(kept: Book, pull: Pull) -> list[KeptPull]:
    """Lines of the catalogue that are worth a look: of the same hour, or without a clock and as strong."""
    peak = _peak(pull)
    low, high = peak * (1.0 - PEAK_NEAR), peak * (1.0 + PEAK_NEAR)
    text = f"observed peak torque >= {low:.6f} N m and observed peak torque <= {high:.6f} N m"
    strong = kept.pulls(book.parse_where(text)) if peak > 0.0 else ()
    if pull.started_at is None:
        near = list(strong)
    else:
        start = datetime.fromtimestamp(pull.started_at, UTC).date()
        days = (start - timedelta(days=1), start + timedelta(days=1))
        timed = kept.pulls(book.parse_where(f"date >= {days[0]} and date <= {days[1]}"))
        near = [line for line in timed if _may_overlap(line, pull)]
        near += [line for line in strong if line.started_at is None]
    near.sort(key=lambda line: abs(line.summary.get("observed_peak_torque", peak) - peak))
    return sorted(near[:MOST_LOOKED_AT], key=lambda line: line.number)


def _peak(pull: Pull) -> float:
    from fairpull import pulls

    torque = pulls.curve(pull, step=50.0).torque
    return float(np.nanmax(torque, initial=0.0))


def _may_overlap(line: KeptPull, pull: Pull) -> bool:
    if line.started_at is None or pull.started_at is None:
        return False
    end = line.started_at + line.summary.get("duration", 0.0)
    return line.started_at - SAME_START <= pull.started_at + _duration(pull) and pull.started_at <= end + SAME_START


def _duration(pull: Pull) -> float:
    time = pull.channels.get("time")
    return 0.0 if time is None or not np.isfinite(time).any() else float(np.nanmax(time) - np.nanmin(time))


def _kind(earlier: Earlier, pull: Pull, file: Path) -> str:
    """Which of two recordings of one pull is the beginning of the other, byte by byte."""
    before, now = _extent(earlier.pull), _extent(pull)
    if before < SHORTER * now and _begins(file, earlier.file):
        return PIECE
    return WHOLE if now < SHORTER * before and _begins(earlier.file, file) else AGAIN


def _extent(pull: Pull) -> float:
    return _duration(pull) or float(pull.channels["rpm"].size)


def _begins(whole: Path, beginning: Path) -> bool:
    with whole.open("rb") as stream:
        start = beginning.read_bytes()
        return stream.read(len(start)) == start


def same_pull(one: Pull, other: Pull) -> bool:
    """Whether two traces are of one pull.

    With clocks: both ran at the same time, with the same speed and, but for what another column, unit or correction
    does, the same torque. Where a clock is missing: their rows hold the same speeds and torques, within rounding; an
    honest repeat never does, for the samples of two sweeps fall on different speeds and scatter differently.

    Args:
        one, other: pulls, observed.

    Returns:
        True for one pull.

    Source:
        own definition.
    """
    if one.started_at is None or other.started_at is None:
        return _same_values(one, other)
    if one.kind != "sweep" or other.kind != "sweep" or "time" not in one.channels or "time" not in other.channels:
        return abs(one.started_at - other.started_at) <= SAME_START and _torque_apart(one, other) <= SAME_TORQUE
    (time_1, rpm_1), (time_2, rpm_2) = _clocked(one), _clocked(other)
    if time_1.size < 2 or time_2.size < 2:
        return False
    low, high = max(time_1[0], time_2[0]), min(time_1[-1], time_2[-1])
    shorter = min(time_1[-1] - time_1[0], time_2[-1] - time_2[0])
    if high - low < OVERLAP * shorter:
        return False
    inside = (time_1 >= low) & (time_1 <= high)
    apart = np.abs(np.interp(time_1[inside], time_2, rpm_2) - rpm_1[inside])
    rate = max(abs(one.sweep_rate), abs(other.sweep_rate), 1.0)
    return bool(np.median(apart) <= SAME_SPEED * rate) and _torque_apart(one, other) <= SAME_TORQUE


def _clocked(pull: Pull) -> tuple[FloatArray, FloatArray]:
    """Time of day [s since 1970] and speed of the rows that have both."""
    time, rpm = pull.channels["time"], pull.channels["rpm"]
    good = np.isfinite(time) & np.isfinite(rpm)
    if pull.started_at is None or not good.any():
        return np.empty(0), np.empty(0)
    return pull.started_at + time[good] - time[good][0], rpm[good]


def _torque_apart(one: Pull, other: Pull) -> float:
    """Median relative difference of torque over the speeds that both cover; infinite where they share none."""
    (rpm_1, torque_1), (rpm_2, torque_2) = _rows(one), _rows(other)
    inside = (rpm_1 >= rpm_2.min(initial=np.inf)) & (rpm_1 <= rpm_2.max(initial=-np.inf))
    if np.count_nonzero(inside) < 2:
        return float("inf")
    order = np.argsort(rpm_2, kind="stable")
    against = np.interp(rpm_1[inside], rpm_2[order], torque_2[order])
    return float(np.median(np.abs(torque_1[inside] - against)) / max(float(np.median(np.abs(against))), 1e-9))


def _rows(pull: Pull) -> tuple[FloatArray, FloatArray]:
    rpm, torque = pull.channels["rpm"], pull.channels["torque"]
    good = np.isfinite(rpm) & np.isfinite(torque)
    return rpm[good], torque[good]


def _same_values(one: Pull, other: Pull) -> bool:
    few, many = sorted((_rows(one), _rows(other)), key=lambda rows: rows[0].size)
    if few[0].size < FEWEST:
        return False
    rpm_off = max(_rounding(few[0]), _rounding(many[0])) / 2.0
    torque_off = max(_rounding(few[1]), _rounding(many[1])) / 2.0
    short = few[0].size < DENSE
    if short and torque_off > COARSE * float(np.median(np.abs(few[1]))):
        return False  # two honest repeats would read alike
    order = np.argsort(many[0], kind="stable")
    rpm, torque = many[0][order], many[1][order]
    first = np.searchsorted(rpm, few[0] - rpm_off - DIGITS * few[0])
    last = np.searchsorted(rpm, few[0] + rpm_off + DIGITS * few[0], side="right")
    found = sum(
        bool(np.any(np.abs(torque[a:b] - value) <= torque_off + DIGITS * abs(value)))
        for a, b, value in zip(first, last, few[1], strict=True)
    )
    return found >= (1.0 if short else MATCHED) * few[0].size


def _rounding(values: FloatArray) -> float:
    """The step that values were rounded to: the greatest common divisor of their differences; 0 where there is none."""
    least = DIGITS * float(np.abs(values).max(initial=1.0))
    step = 0.0
    for rest in np.diff(np.unique(values)).tolist():
        while rest > least:
            step, rest = rest, step % rest if step else 0.0
            if step - rest <= least:  # a hair below the divisor is a remainder of nothing
                rest = 0.0
        if step <= 4.0 * least:
            return 0.0
    return step
