"""Days of pulls for the tests of compare: plain curves with a given difference and seeded scatter."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np

from fairpull.terms.arrays import FloatArray
from fairpull.terms.pull import Curve

RPM = np.arange(1800.0, 4601.0, 100.0)
START = 1_700_000_000.0


def base(rpm: FloatArray) -> FloatArray:
    """A torque curve with its top at 3000 rpm [N m]."""
    curve: FloatArray = 305.0 - ((rpm - 3000.0) / 230.0) ** 2
    return curve


def pull(
    name: str,
    minute: float | None,
    change: Callable[[FloatArray], FloatArray] | None = None,
    *,
    scatter: float = 0.0,
    seed: int = 0,
    rpm: FloatArray = RPM,
) -> Curve:
    """One pull: the base curve times 1 + change, its level and tilt scattered."""
    rng = np.random.default_rng(seed)
    level, tilt = scatter * rng.standard_normal(2)
    error = level + 0.5 * tilt * (rpm - 3200.0) / 1400.0
    torque = base(rpm) * (1.0 + (change(rpm) if change else 0.0)) * np.exp(error)
    started = None if minute is None else START + 60.0 * minute
    return Curve(name, rpm, torque, np.full(len(rpm), 0.2), {}, (float(rpm[0]), float(rpm[-1])), started)


def alternating(
    pulls: int,
    change: Callable[[FloatArray], FloatArray] | None,
    *,
    scatter: float = 0.003,
    seed: int = 1,
    gap: float = 15.0,
    rpm: FloatArray = RPM,
) -> list[tuple[str, Sequence[Curve]]]:
    """A day A B A B ... with this many pulls a side."""
    reference = [pull(f"A{i}", 2 * i * gap, scatter=scatter, seed=1000 * seed + 2 * i, rpm=rpm) for i in range(pulls)]
    other = [
        pull(f"B{i}", (2 * i + 1) * gap, change, scatter=scatter, seed=1000 * seed + 2 * i + 1, rpm=rpm)
        for i in range(pulls)
    ]
    return [("A", reference), ("B", other)]
