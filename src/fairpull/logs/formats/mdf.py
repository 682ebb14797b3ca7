"""ASAM MDF 4 (and 3) measurement files, through the optional library asammdf.

Such a file holds groups of channels, each group with its own clock; all are joined onto the fastest one.
"""

from __future__ import annotations

import gc
import struct
import sys
import zlib
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, BinaryIO

import numpy as np

from fairpull.logs.align import onto_clock
from fairpull.logs.headers import unique_names
from fairpull.logs.options import ReadOptions
from fairpull.logs.table import RawTable, Sniff
from fairpull.terms.arrays import FloatArray
from fairpull.terms.errors import Fault, MissingExtra, ReadRefused
from fairpull.terms.findings import Finding, Severity

if TYPE_CHECKING:
    from asammdf import MDF

NAME = "mdf"

_MAGIC = (b"MDF     ", b"UnFinMF ")
_TIME_SYNC = 1  # ASAM MDF 4: sync type of a master channel that counts seconds
_MASTER_TYPES = (2, 3)  # ASAM MDF 4: channel types of a (virtual) master


@dataclass(frozen=True, slots=True)
class _Signal:
    """One channel with its own clock: ``time`` [s] and ``values``, both shape (n,)."""

    name: str
    unit: str
    group: int
    time: FloatArray
    values: FloatArray


@dataclass(slots=True)
class _Taken:
    signals: list[_Signal] = field(default_factory=list)
    left: list[str] = field(default_factory=list)  # "name (why)"


def sniff(path: Path, head: bytes) -> Sniff:
    """Take files that begin with the MDF identification block."""
    if head[:8] in _MAGIC:
        version = head[8:16].split(b"\0")[0].decode("ascii", "replace").strip()
        return Sniff(True, f"begins with the identification of an ASAM MDF {version} file")
    return Sniff(False, "does not begin with the identification of an ASAM MDF file")


def load(path: Path, options: ReadOptions) -> RawTable:
    """Read all numeric channels onto the fastest clock.

    Args:
        path: the file.
        options: not used by this format.

    Returns:
        One table with a "time" column [s] first; slower channels interpolated linearly.

    Raises:
        MissingExtra: asammdf is not installed.
        ReadRefused: "mdf-cut-off", "mdf-damaged", "mdf-no-channels".
    """
    taken, detail, started_at = _take(path)
    if not taken.signals:
        seen = "no numeric channel with a clock in seconds"
        if taken.left:
            seen += f" (left aside: {_some(taken.left)})"
        remedy = "write decoded, numeric channels with a time master (raw bus frames hold no channels yet)"
        raise ReadRefused(Fault("mdf-no-channels", path.name, seen, remedy))
    return _join(path, taken, detail, started_at)


def _take(path: Path) -> tuple[_Taken, str, float | None]:
    """Read every channel that can be used, with a line about the file and its start time."""
    damage = _damage(path)
    _refuse_cut_off(path)
    with _silent_clean_up(), path.open("rb") as stream:
        try:
            return _read(stream)
        except damage as error:
            problem = f"{type(error).__name__}: {_first_line(error)}"
        # Raised here, outside the handler: a chained error would keep the library's half-open file alive.
    remedy = "copy the file again from the logger, or finalise the measurement there and export it anew"
    raise ReadRefused(Fault("mdf-damaged", path.name, f"the file is damaged ({problem})", remedy))


def _damage(path: Path) -> tuple[type[Exception], ...]:
    """What the library raises on damaged files; refuses where the library is missing."""
    try:
        from asammdf.blocks.utils import MdfException
    except ImportError as error:
        fault = Fault(
            "mdf-library-missing",
            path.name,
            "an ASAM MDF file, and the library that reads it (asammdf) is not installed",
            "type: pip install 'fairpull[mdf]'",
        )
        raise MissingExtra(fault) from error
    # The library's own decompressor has an error of its own; it is loaded with it, and is no concern of ours.
    inflate: type[Exception] = getattr(sys.modules.get("isal.igzip_lib"), "IsalError", zlib.error)
    library = (MdfException, inflate, zlib.error, struct.error)
    wrong_bytes = (ValueError, LookupError, TypeError, AttributeError, EOFError, OSError, ArithmeticError)
    return (*library, *wrong_bytes, RuntimeError, MemoryError, AssertionError)


@contextmanager
def _silent_clean_up() -> Iterator[None]:
    """Keep the library's own stumbling over a half-open damaged file off the screen."""
    before = sys.unraisablehook
    sys.unraisablehook = lambda _: None
    try:
        yield
    finally:
        gc.collect()
        sys.unraisablehook = before


def _read(stream: BinaryIO) -> tuple[_Taken, str, float | None]:
    from asammdf import MDF

    with MDF(stream) as mdf:
        taken = _Taken()
        for group in range(len(mdf.groups)):
            _take_group(mdf, group, taken)
        return taken, f"ASAM MDF {mdf.version}, {len(mdf.groups)} channel groups", _wall_clock(mdf)


def _refuse_cut_off(path: Path) -> None:
    """Follow the links from block to block and refuse a file that ends before one of its blocks does.

    Every MDF 4 block starts with its name (4 bytes), 4 spare bytes, its length and its number of links (8
    bytes each, little-endian), then the links; the header block stands at byte 64 (ASAM MDF 4, from memory).
    """
    size = path.stat().st_size
    with path.open("rb") as stream:
        head = stream.read(64)
        if head[8:9] != b"4" and size >= 64:
            return
        waiting, known = [64], {64}
        while waiting:
            at = waiting.pop()
            stream.seek(min(at, size))
            block = stream.read(24)
            needed = at + (struct.unpack("<Q", block[8:16])[0] if len(block) == 24 else 24)
            if needed > size:
                seen = f"the file is cut off or damaged: {size} bytes, but the block at {at} ends at {needed}"
                remedy = "copy the file again from the logger"
                raise ReadRefused(Fault("mdf-cut-off", path.name, seen, remedy))
            count = struct.unpack("<Q", block[16:24])[0]
            if block[:2] != b"##" or 24 + 8 * count > needed - at:
                continue
            for link in struct.unpack(f"<{count}Q", stream.read(8 * count)):
                if link and link not in known:
                    known.add(link)
                    waiting.append(link)


def _first_line(error: BaseException) -> str:
    lines = str(error).strip().splitlines()
    return lines[0][:120] if lines else "no details"


def _wall_clock(mdf: MDF) -> float | None:
    """Start of the measurement [s since 1970], the local time of day taken as UTC; None when not set."""
    from datetime import UTC

    start = mdf.start_time
    if start is None or start.year <= 1970:
        return None
    return float(start.replace(tzinfo=UTC).timestamp())


def _take_group(mdf: MDF, group: int, taken: _Taken) -> None:
    channels = mdf.groups[group].channels
    masters = [channel for channel in channels if getattr(channel, "channel_type", 0) in _MASTER_TYPES]
    off_time = [channel for channel in masters if getattr(channel, "sync_type", _TIME_SYNC) != _TIME_SYNC]
    master_index = mdf.masters_db.get(group)
    for index, channel in enumerate(channels):
        if index == master_index or channel in masters:
            continue
        name = channel.name.strip()
        if off_time or master_index is None:
            taken.left.append(f"{name} (its group has no clock in seconds)")
            continue
        _take_channel(mdf, group, index, name, taken)


def _take_channel(mdf: MDF, group: int, index: int, name: str, taken: _Taken) -> None:
    signal = mdf.get(group=group, index=index, ignore_invalidation_bits=True)
    samples = signal.samples
    if samples.ndim != 1 or samples.dtype.kind not in "fiub":
        taken.left.append(f"{name} (text or bytes)" if samples.ndim == 1 else f"{name} (an array per sample)")
        return
    if len(samples) == 0:
        taken.left.append(f"{name} (no samples)")
        return
    values = samples.astype(np.float64)
    invalid = getattr(signal, "invalidation_bits", None)
    if invalid is not None:
        values[np.asarray(invalid, dtype=bool)] = np.nan
    time = np.asarray(signal.timestamps, dtype=np.float64)
    taken.signals.append(_Signal(name, (signal.unit or "").strip(), group, time, values))


def _join(path: Path, taken: _Taken, detail: str, started_at: float | None) -> RawTable:
    master = _fastest(taken.signals)
    clock = master.time
    columns, units, values = ["time"], {"time": "s"}, {"time": clock}
    names, repeated = unique_names(["time", *(signal.name for signal in taken.signals)], path.name)
    findings = list(repeated)
    for name, signal in zip(names[1:], taken.signals, strict=True):
        columns.append(name)
        units[name] = signal.unit
        values[name] = _on_clock(clock, signal)
    if taken.left:
        text = f"{len(taken.left)} channels are left aside: {_some(taken.left)}"
        remedy = "export them as numbers over time if they matter"
        findings.append(Finding("mdf-channels-left", Severity.NOTE, path.name, text, remedy))
    findings += _outside(path, taken.signals, clock)
    rate = 1.0 / _step(master)
    others = sorted({1.0 / _step(signal) for signal in taken.signals if signal.time.size > 1} - {rate})
    choices = {
        "mdf clock": f"the fastest, of group {master.group + 1} ({rate:.4g} Hz)",
        "mdf interpolation": _how(others),
    }
    return RawTable(
        columns=tuple(columns),
        units=units,
        values=values,
        detail=f"{detail}, clock of group {master.group + 1} at {rate:.4g} Hz",
        findings=tuple(findings),
        started_at=None if started_at is None else started_at + float(clock[0]),
        choices=choices,
    )


def _how(others: list[float]) -> str:
    if not others:
        return "none needed, all channels have one rate"
    return (
        f"linear, onto the fastest clock, from {others[0]:.4g} to {others[-1]:.4g} Hz; no value outside a "
        "channel's own time or across gaps over 5 of its steps; a channel with one sample holds throughout"
    )


def _step(signal: _Signal) -> float:
    """Median step of a channel's clock [s]; infinite for a single sample."""
    if signal.time.size < 2:
        return float("inf")
    step = float(np.median(np.diff(signal.time)))
    return step if step > 0.0 else float("inf")


def _fastest(signals: list[_Signal]) -> _Signal:
    """The channel whose clock ticks fastest; among equals (2 %) the longest."""
    quickest = min(_step(signal) for signal in signals)
    near = [signal for signal in signals if _step(signal) <= 1.02 * quickest]
    return max(near, key=lambda signal: (signal.time[-1] - signal.time[0], -signal.group))


def _on_clock(clock: FloatArray, signal: _Signal) -> FloatArray:
    if signal.time is clock or np.array_equal(signal.time, clock):
        return signal.values
    if signal.time.size == 1:
        return np.full(clock.shape, signal.values[0])
    return onto_clock(clock, signal.time, signal.values)


def _outside(path: Path, signals: list[_Signal], clock: FloatArray) -> list[Finding]:
    """Say so where the fastest clock covers less time than the slower channels."""
    first = min(float(signal.time[0]) for signal in signals)
    last = max(float(signal.time[-1]) for signal in signals)
    lost = max(0.0, float(clock[0]) - first) + max(0.0, last - float(clock[-1]))
    slowest = max((_step(signal) for signal in signals if signal.time.size > 1), default=0.0)
    if not np.isfinite(slowest) or lost <= 2.0 * slowest:
        return []
    text = f"the fastest clock covers {clock[-1] - clock[0]:.1f} s; {lost:.1f} s of others lie outside it"
    remedy = "export the file with all channels over the whole pull"
    return [Finding("mdf-clock-short", Severity.WARNING, path.name, text, remedy)]


def _some(names: list[str], most: int = 5) -> str:
    tail = f" and {len(names) - most} more" if len(names) > most else ""
    return ", ".join(names[:most]) + tail
