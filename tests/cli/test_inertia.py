"""fairpull inertia: from a slow and a fast sweep, or a refusal that says which sweeps are needed."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.cli.conftest import Ran
from tests.tasks.test_inertia_files import INERTIA, write

Run = Callable[..., Ran]


def test_value_and_interval(run: Run, tmp_path: Path) -> None:
    ran = run("inertia", write(tmp_path / "slow.csv", 150.0), write(tmp_path / "fast.csv", 600.0))
    assert ran.code == 0
    found = re.match(r"rotating inertia ([\d.]+) kg m2 \+/- ([\d.]+) \(95 %\)", ran.out)
    assert found
    assert float(found[1]) == pytest.approx(INERTIA, abs=float(found[2]))


def test_the_demos_sweeps_are_too_alike(run: Run, demo_day: Path) -> None:
    logs = sorted((demo_day / "anvil-log").glob("0[23]*"))
    assert "[inertia-rates-alike]" in run("inertia", *logs).refusals[0]
