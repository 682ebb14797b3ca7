"""A good log as text, and what a broken-file case is: the broken ones are made by spoiling the good one."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

REFUSED = "refused"
READ = "read"

Columns = dict[str, list[str]]


@dataclass(frozen=True)
class Case:
    """One broken file.

    Attributes:
        name: what is wrong with it, as a tester would say it.
        build: writes it into a folder and returns the path to read.
        outcome: REFUSED or READ.
        code: of the fault, or of the finding that says it.
        options: what is said by option, as fields of ReadOptions.
        args: the same, as words of the command line.
        samples: rows that must be left when it is read; None where that says nothing.
    """

    name: str
    build: Callable[[Path], Path]
    outcome: str
    code: str
    options: Mapping[str, Any] = field(default_factory=dict)
    args: tuple[str, ...] = ()
    samples: int | None = None


def good(rows: int = 240, step: float = 0.05) -> Columns:
    """A 12 s sweep from 2000 to 5000 rpm with weather; every cell as text, names with units in brackets."""
    time = [index * step for index in range(rows)]
    share = [index / max(rows - 1, 1) for index in range(rows)]
    # Small, fixed ripple so that no channel stands still, as with real sensors.
    ripple = [math.sin(1.7 * index) for index in range(rows)]
    torque = [200 + 40 * math.sin(math.pi * s) + 0.8 * r for s, r in zip(share, ripple, strict=True)]
    return {
        "Time [s]": [f"{t:.3f}" for t in time],
        "Speed [rpm]": [f"{2000 + 3000 * s + 2 * r:.1f}" for s, r in zip(share, ripple, strict=True)],
        "Torque [Nm]": [f"{value:.2f}" for value in torque],
        "Barometer [mbar]": [f"{993.2 + 0.05 * r:.2f}" for r in ripple],
        "Inlet air [degC]": [f"{21.5 + 0.1 * r:.2f}" for r in ripple],
        "Humidity [%]": [f"{45 + 0.3 * r:.1f}" for r in ripple],
    }


def lines(columns: Columns, delimiter: str = ",") -> list[str]:
    """Header and rows as text lines."""
    rows = zip(*columns.values(), strict=True)
    return [delimiter.join(columns), *(delimiter.join(row) for row in rows)]


def swapped(old: str, new: str, change: Callable[[float], float] | None = None) -> Columns:
    """The good log with one column under another heading, its numbers changed by ``change``."""
    columns: Columns = {}
    for name, cells in good().items():
        if name != old:
            columns[name] = cells
        elif change is None:
            columns[new] = cells
        else:
            columns[new] = [f"{change(float(cell)):.4f}" for cell in cells]
    return columns


def without(*names: str) -> Columns:
    """The good log with columns missing."""
    return {name: cells for name, cells in good().items() if name not in names}


def write(text: str | bytes, name: str = "pull.csv", encoding: str = "utf-8") -> Callable[[Path], Path]:
    """A builder that writes this text (no newline is translated) or these bytes."""

    def build(folder: Path) -> Path:
        path = folder / name
        path.write_bytes(text if isinstance(text, bytes) else text.encode(encoding))
        return path

    return build


def table(columns: Columns, delimiter: str = ",", name: str = "pull.csv") -> Callable[[Path], Path]:
    """A builder that writes these columns as delimited text."""
    return write("\n".join(lines(columns, delimiter)) + "\n", name)


def edited(edit: Callable[[list[str]], list[str]], end: str = "\n") -> Callable[[Path], Path]:
    """A builder that writes the good log's lines after an edit."""
    return write("\n".join(edit(lines(good()))) + end)


def column(name: str, change: Callable[[int, str], str]) -> Callable[[Path], Path]:
    """A builder that writes the good log with the cells of one column changed: ``change(row, cell)``."""
    columns = good()
    columns[name] = [change(row, cell) for row, cell in enumerate(columns[name])]
    return table(columns)
