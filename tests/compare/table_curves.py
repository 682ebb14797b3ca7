"""Invented curves of two engines in three and three states, noise-free, for the tests of purpose scores.

Torque in lb-ft at rpm as a person would tabulate it; two engines, one of them behind a 1.6:1 reduction.
"""

from __future__ import annotations

import numpy as np

from fairpull.terms.build import Build
from fairpull.terms.engine import Engine
from fairpull.terms.pull import Curve
from fairpull.terms.units import to_house

BIG = (1600, 2000, 2400, 2800, 3200, 3600, 4000, 4200, 4400, 4600, 4800)
SMALL = (2000, 2400, 2800, 3200, 3600, 4000, 4400, 4800, 5200, 5600, 6000, 6400)
TORQUE: dict[str, tuple[tuple[int, ...], tuple[float, ...]]] = {
    "Anvil A log": (BIG, (196, 210, 221, 226, 224, 218, 205, 197, 189, 180, 170)),
    "Anvil A header": (BIG, (199, 215, 227, 232, 233, 227, 215, 207, 199, 189, 179)),
    "Anvil B header": (BIG, (188, 207, 222, 233, 236, 236, 229, 224, 218, 210, 202)),
    "Wren centrifugal": (SMALL, (99, 107, 115, 124, 131, 137, 143, 149, 149, 147, 143, 134)),
    "Wren screw": (SMALL, (115, 124, 132, 138, 143, 146, 148, 148, 145, 139, 130, 119)),
}
HP = to_house(1.0, "hp", "W")
START = 1_700_000_000.0


def curve(
    build: str, number: int = 1, *, scatter: float = 0.0, minute: float | None = None, upto: float = 1e9, seed: int = 0
) -> Curve:
    """One pull of a build; scatter moves level and tilt."""
    rpm_table, torque_table = TORQUE[build]
    rpm = np.arange(rpm_table[0], min(rpm_table[-1], upto) + 1.0, 100.0)
    torque = to_house(np.interp(rpm, rpm_table, torque_table), "lb-ft", "N m")
    if scatter:
        level, tilt = scatter * np.random.default_rng([seed, number]).standard_normal(2)
        torque = torque * np.exp(level + 0.5 * tilt * (rpm - rpm.mean()) / 1500.0)
    started = None if minute is None else START + 60.0 * minute
    name = f"{build} {number}"
    return Curve(name, rpm, torque, np.full(len(rpm), 0.1), {}, (float(rpm[0]), float(rpm[-1])), started)


def day(
    pulls: int = 1, *, scatter: float = 0.0, seed: int = 0, only: tuple[str, ...] = ()
) -> list[tuple[str, list[Curve]]]:
    """All builds, each with this many pulls, run in turn a quarter of an hour apart."""
    names = only or tuple(TORQUE)
    return [
        (
            name,
            [
                curve(name, n, scatter=scatter, minute=15.0 * ((n - 1) * len(names) + k), seed=seed + 31 * k)
                for n in range(1, pulls + 1)
            ],
        )
        for k, name in enumerate(names)
    ]


def engine(induction: str = "natural", ignition: str = "spark") -> Engine:
    """A bare engine of that kind."""
    return Engine("bench engine", 0.08, 0.09, 4, compression_ratio=9.0, induction=induction, ignition=ignition)


def sheets() -> dict[str, Build]:
    """Sheets of all builds: the small engine drives through 1.6:1 at 98.5 %, belt-blown."""
    made = {name: Build(name, engine(), "big") for name in TORQUE if name.startswith("Anvil")}
    for name in TORQUE:
        if name.startswith("Wren"):
            made[name] = Build(name, engine("belt"), "small", gear=1.6, gear_efficiency=0.985)
    return made
