"""A small invented shop: an engine, four parts, four builds, and sweeps with known torque, quick to take in."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path

import numpy as np

from fairpull.book import Book
from fairpull.tasks.bench.door import new_book
from fairpull.tasks.bench.sheet_files import keep_sheets
from fairpull.terms.arrays import FloatArray
from fairpull.terms.bench import Sheet

DAY = "2031-05-06"
RATE, LOW, HIGH = 250.0, 1700.0, 5100.0  # rpm/s, rpm
HERTZ = 10.0
MILL: dict[str, object] = {"bore": "100 mm", "stroke": "90 mm", "cylinders": 6, "compression_ratio": 9.5}
PARTS: dict[str, object] = {"exhaust": "log", "jets": "jets-68"}

SHEETS = (
    Sheet("engine", "Mill", MILL),
    Sheet("part", "log", {"kind": "exhaust", "design": "log"}),
    Sheet("part", "header", {"kind": "exhaust", "design": "tubular"}),
    Sheet("part", "jets-68", {"kind": "jets", "main": "68"}),
    Sheet("part", "jets-70", {"kind": "jets", "main": "70"}),
    Sheet("build", "plain", {"engine": "Mill", "parts": PARTS}),
    Sheet("build", "tube", {"engine": "Mill", "reference": "plain", "parts": {**PARTS, "exhaust": "header"}}),
    Sheet("build", "rich", {"engine": "Mill", "reference": "plain", "parts": {**PARTS, "jets": "jets-70"}}),
    Sheet("build", "loose", {"engine": "Mill", "parts": PARTS}),
    Sheet("session", "tuesday", {"date": DAY, "brake": "water brake", "altitude": "120 m", "operator": "K. L."}),
)


def torque(rpm: FloatArray, gain: float = 1.0, shift: float = 0.0) -> FloatArray:
    """The invented engine's torque [N m]: 300 at 3,000 rpm, and less power at 5,000 than at 4,300 rpm."""
    values: FloatArray = 300.0 * (1.0 - 9e-8 * (rpm - 3000.0) ** 2) * gain + shift
    return values


def speeds(high: float = HIGH) -> FloatArray:
    """Speed of a sweep at every row [rpm]."""
    return np.arange(LOW, high, RATE / HERTZ)


def sweep(
    path: Path,
    clock: str = "10:00:00",
    *,
    gain: float = 1.0,
    shift: float = 0.0,
    day: str = DAY,
    more: Mapping[str, Sequence[float] | FloatArray | float] | None = None,
    high: float = HIGH,
    times: int = 1,
) -> Path:
    """Write the log of one sweep, or of several in a row with the engine slowed down between them.

    Args:
        path: of the log.
        clock: time of day of its first row.
        gain, shift: on torque; shift in N m.
        day: date in its head; "" leaves it out.
        more: name of a further column, with its unit -> its values, one for all rows or one a row.
        high: where the sweep ends [rpm].
        times: sweeps in the log.
    """
    rpm, factor = speeds(high), torque(speeds(high), gain, shift)
    if times > 1:
        down = np.arange(high, LOW, -2.0 * RATE / HERTZ)
        rpm = np.concatenate([rpm, *[part for _ in range(times - 1) for part in (down, rpm)]])
        factor = np.concatenate([factor, *[part for _ in range(times - 1) for part in (0.0 * down - 20.0, factor)]])
    columns = {"rpm": rpm, "torque [N m]": factor, "baro [kPa]": 99.0, "inlet air [degC]": 20.0, "humidity [%]": 40.0}
    columns |= dict(more or {})
    hours, minutes, seconds = (int(part) for part in clock.split(":"))
    start = 3600.0 * hours + 60.0 * minutes + seconds
    lines = [f"# Date: {day}"] if day else []
    lines.append(",".join(["time", *columns]))
    rows = zip(*(np.broadcast_to(np.asarray(values, float), rpm.shape) for values in columns.values()), strict=True)
    for number, row in enumerate(rows):
        lines.append(",".join([_time(start + number / HERTZ), *(f"{value:.4f}" for value in row)]))
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text("\n".join(lines) + "\n", "utf-8")
    return path


def _time(seconds: float) -> str:
    whole = int(seconds + 1e-9)
    tenths = round((seconds - whole) * HERTZ)
    return f"{whole // 3600:02d}:{whole // 60 % 60:02d}:{whole % 60:02d}.{tenths}"


def make_book(folder: Path) -> Book:
    """An empty book with the shop's sheets, open."""
    kept = new_book(folder)
    keep_sheets(kept, SHEETS)
    return kept


def codes(error: Exception) -> list[str]:
    """Codes of all faults of a refusal, sorted."""
    return sorted(fault.code for fault in getattr(error, "faults", ()))
