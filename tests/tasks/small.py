"""Small logs of an invented engine: tables without a clock, quick to read, with known torque."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

SPEEDS = range(2000, 5001, 250)
WEATHER = (99.0, 20.0, 40.0)  # kPa, degC, %


def torque(rpm: float, gain: float = 1.0, shift: float = 0.0) -> float:
    """The invented engine's torque [N m]."""
    return (300.0 - 4e-6 * (rpm - 3500.0) ** 2) * gain + shift


def table(gain: float = 1.0, shift: float = 0.0, weather: Sequence[float] | None = WEATHER) -> str:
    """A log of one pull as text; without weather where none is given."""
    head = ["rpm", "torque [N m]"] + (["baro [kPa]", "inlet air [degC]", "humidity [%]"] if weather else [])
    rows = [",".join(str(x) for x in (rpm, round(torque(rpm, gain, shift), 3), *(weather or ()))) for rpm in SPEEDS]
    return "\n".join([",".join(head), *rows]) + "\n"


def write(path: Path, gain: float = 1.0, shift: float = 0.0, weather: Sequence[float] | None = WEATHER) -> Path:
    """Write one pull; folders are made."""
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(table(gain, shift, weather), "utf-8")
    return path


def write_build(
    folder: Path, name: str, gain: float = 1.0, pulls: int = 3, weather: Sequence[float] | None = WEATHER
) -> Path:
    """Write a build's pulls, a little apart from each other, into a folder of its own."""
    for number in range(pulls):
        scatter = 1.0 + 0.003 * ((7 * number + 3 * len(name)) % 5 - 2) / 2.0
        write(folder / name / f"{name}-{number}.csv", gain * scatter, 0.0, weather)
    return folder / name


def write_engine(path: Path, **entries: str | int) -> Path:
    """Write an engine file; text is quoted, numbers are not."""
    given = {"bore": "100 mm", "stroke": "90 mm", "cylinders": 8} | entries
    lines = [f'{key} = "{value}"' if isinstance(value, str) else f"{key} = {value}" for key, value in given.items()]
    path.write_text("\n".join(lines) + "\n", "utf-8")
    return path
