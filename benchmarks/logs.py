"""Logs of a stated shape to be timed on; seeded, and generated nowhere else."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import polars as pl
from numpy.typing import NDArray

KNOWN = {
    "Time [s]": 0.0,
    "Engine Speed [rpm]": 0.0,
    "Torque [Nm]": 0.0,
    "Barometer [kPa]": 98.4,
    "Inlet Air Temperature [°C]": 24.0,
    "Relative Humidity [%]": 46.0,
    "Throttle [%]": 99.6,
    "Manifold Pressure [kPa]": 97.1,
    "Lambda 1 [-]": 0.88,
    "Lambda 2 [-]": 0.87,
    "Spark Advance [deg]": 27.0,
    "Oil Pressure [kPa]": 412.0,
    "Oil Temperature [°C]": 96.0,
    "Coolant Out [°C]": 86.0,
    "Coolant In [°C]": 79.0,
    "Fuel Pressure [kPa]": 301.0,
    **{f"EGT {cylinder} [°C]": 742.0 + cylinder for cylinder in range(1, 9)},
}
PART = 50_000  # rows generated at a time, so that a long log needs little memory
FIRST, LAST = 1800.0, 6200.0  # rpm of the sweep
FLAT = 0.08  # of the log before and after the sweep, at part load


@dataclass(frozen=True, slots=True)
class Shape:
    """A log's length [s], rate [Hz] and number of channels, the clock among them."""

    seconds: float
    rate: float
    channels: int

    @property
    def rows(self) -> int:
        """Number of samples of each channel."""
        return round(self.seconds * self.rate)

    @property
    def label(self) -> str:
        """For people."""
        return f"{self.seconds:g} s, {self.rate:g} Hz, {self.channels} channels"


SWEEP = Shape(12.0, 200.0, 60)
LONG = Shape(600.0, 1000.0, 100)


def columns(shape: Shape) -> list[str]:
    """Names over the columns: known ones first, then loggers' spare inputs."""
    names = list(KNOWN)[: shape.channels]
    return names + [f"AUX {number} [V]" for number in range(1, shape.channels - len(names) + 1)]


def parts(shape: Shape, seed: int, gain: float = 1.0) -> Iterator[pl.DataFrame]:
    """The samples of one pull, in parts.

    Args:
        shape: length, rate and width.
        seed: of the noise.
        gain: what the torque is multiplied by.

    Yields:
        Frames of at most PART rows.
    """
    generator = np.random.default_rng(seed)
    level = 1.0 + generator.normal(0.0, 0.002)
    for start in range(0, shape.rows, PART):
        rows = np.arange(start, min(start + PART, shape.rows))
        time = rows / shape.rate
        rpm, load = _speed_and_load(time / shape.seconds)
        torque = load * gain * level * 260.0 * (1.0 - ((rpm - 4200.0) / 5200.0) ** 2)
        data: dict[str, NDArray[np.float64]] = {}
        for name in columns(shape):
            data[name] = KNOWN.get(name, 2.5) * (1.0 + generator.normal(0.0, 0.001, len(rows)))
        data["Time [s]"] = time
        data["Engine Speed [rpm]"] = rpm + generator.normal(0.0, 2.0, len(rows))
        data["Torque [Nm]"] = torque + generator.normal(0.0, 1.2, len(rows))
        yield pl.DataFrame(data)


def _speed_and_load(share: NDArray[np.float64]) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Speed [rpm] and share of full load over the log: a short wait, the sweep, a short wait."""
    along = np.clip((share - FLAT) / (1.0 - 2.0 * FLAT), 0.0, 1.0)
    load = np.where((share > FLAT) & (share < 1.0 - FLAT), 1.0, 0.25)
    return FIRST + (LAST - FIRST) * along, load


def write(path: Path, shape: Shape, seed: int, gain: float = 1.0) -> Path:
    """Write a log as comma-separated text, three decimals, with one header row.

    Args:
        path: target.
        shape: length, rate and width.
        seed: of the noise.
        gain: what the torque is multiplied by.

    Returns:
        The path.
    """
    with path.open("wb") as file:
        for number, part in enumerate(parts(shape, seed, gain)):
            part.write_csv(file, include_header=number == 0, float_precision=3)
    return path


def write_groups(folder: Path, shape: Shape, pulls: int) -> tuple[Path, Path]:
    """Write two builds of some pulls each, in folders of their own.

    Args:
        folder: an empty folder.
        shape: of each log.
        pulls: logs a build.

    Returns:
        The folders, the reference first.
    """
    groups = (folder / "stock", folder / "changed")
    for place, group in enumerate(groups):
        group.mkdir()
        for number in range(1, pulls + 1):
            write(group / f"{group.name}-{number}.csv", shape, seed=10 * place + number, gain=1.0 + 0.02 * place)
    return groups
