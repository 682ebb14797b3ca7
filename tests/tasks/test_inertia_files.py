"""The rotating inertia from two logs of one build."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from fairpull.tasks.inertia_files import inertia_of_files
from fairpull.terms.errors import NotComparable, ReadRefused

INERTIA = 0.25  # kg m2


def write(path: Path, rate: float, pulls: int = 1) -> Path:
    """Sweeps of an invented engine at a rate [rpm/s], as the brake shows them: without the inertia's part."""
    rng = np.random.default_rng(int(rate))
    rows, time = [], 0.0
    for _ in range(pulls):
        for load in (0.2, 1.0, 0.0):
            seconds = 3000.0 / rate if load == 1.0 else 4.0
            for t in np.arange(0.0, seconds, 0.02):
                rpm = 2000.0 + rate * t if load == 1.0 else 2000.0
                pulling = 250.0 - 4e-6 * (rpm - 3500.0) ** 2 - INERTIA * rate * np.pi / 30.0
                rows.append((time, rpm, (pulling if load == 1.0 else 10.0) + rng.normal(0.0, 0.3), 100 * load))
                time += 0.02
    lines = [",".join(f"{value:.4f}" for value in row) for row in rows]
    path.write_text("\n".join(["time [s],rpm,torque [N m],throttle [%]", *lines]) + "\n", "utf-8")
    return path


def test_a_slow_and_a_fast_sweep_give_the_inertia(tmp_path: Path) -> None:
    found = inertia_of_files(write(tmp_path / "slow.csv", 150.0), write(tmp_path / "fast.csv", 600.0))
    assert found.value == pytest.approx(INERTIA, abs=0.004)  # the made logs scatter by 0.1 %
    assert 0.004 < found.se < 0.05  # pulls are believed to scatter by 0.4 %


def test_rates_too_alike_are_refused(tmp_path: Path) -> None:
    with pytest.raises(NotComparable, match="inertia-rates-alike"):
        inertia_of_files(write(tmp_path / "slow.csv", 300.0), write(tmp_path / "fast.csv", 330.0))


def test_a_log_with_two_sweeps_is_refused(tmp_path: Path) -> None:
    two = write(tmp_path / "slow.csv", 300.0, pulls=2)
    with pytest.raises(ReadRefused, match="2 pulls in the file"):
        inertia_of_files(two, write(tmp_path / "fast.csv", 600.0))
