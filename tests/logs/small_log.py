"""Small logs for the tests of recognition: columns in, file out, one reading back."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Any

from fairpull import logs
from fairpull.logs.options import ReadOptions
from fairpull.terms.errors import FairpullError
from fairpull.terms.recording import Mapped, Recording

ROWS = 60
TIME = [0.1 * at for at in range(ROWS)]
SPEED = [2000 + 50 * at + math.sin(1.7 * at) for at in range(ROWS)]
TORQUE = [200 + 30 * math.sin(at / 20) + 0.4 * math.sin(1.1 * at) for at in range(ROWS)]
GOOD: dict[str, list[float]] = {"Time [s]": TIME, "Speed [rpm]": SPEED, "Torque [N m]": TORQUE}


def about(level: float, spread: float = 0.01) -> list[float]:
    """A column around a level, with a small ripple."""
    return [level * (1 + spread * math.sin(1.3 * at)) for at in range(ROWS)]


def write(folder: Path, columns: Mapping[str, Iterable[object]], before: str = "", name: str = "pull.csv") -> Path:
    """Write columns as comma-separated text."""
    path = folder / name
    rows = zip(*columns.values(), strict=True)
    lines = [",".join(columns), *(",".join(str(cell) for cell in row) for row in rows)]
    path.write_text(before + "\n".join(lines) + "\n", "utf-8")
    return path


def read(folder: Path, table: Mapping[str, Iterable[object]], before: str = "", /, **options: Any) -> Recording:
    """Write and read one recording."""
    (found,) = logs.read(write(folder, table, before), ReadOptions(**options))
    return found


def refused(folder: Path, table: Mapping[str, Iterable[object]], before: str = "", /, **options: Any) -> dict[str, str]:
    """Write and read what must be refused: code -> what was seen and the remedy."""
    try:
        logs.read(write(folder, table, before), ReadOptions(**options))
    except FairpullError as error:
        return {fault.code: f"{fault.seen} -> {fault.remedy}" for fault in error.faults}
    raise AssertionError("read without a refusal")


def codes(found: Recording) -> set[str]:
    """Codes of the findings, without what every small log here has."""
    return {finding.code for finding in found.findings} - {"no-weather"}


def mapped(found: Recording, column: str) -> Mapped:
    """The row of the mapping for a column."""
    return next(row for row in found.mapped if row.column == column)
