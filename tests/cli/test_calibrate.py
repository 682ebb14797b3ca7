"""fairpull calibrate: the brake's line and its limits."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.cli.conftest import Ran

Run = Callable[..., Ran]


def test_the_demos_table_keeps_every_limit(run: Run, demo_day: Path) -> None:
    ran = run("calibrate", demo_day / "dead-weights-day1.csv")
    assert ran.code == 0
    assert ran.out.startswith("Calibration: every limit is kept.")
    assert "lb-ft" in ran.out
    assert "N m" in run("calibrate", demo_day / "dead-weights-day1.csv", "--units", "metric").out


def test_json(run: Run, demo_day: Path) -> None:
    found = json.loads(run("calibrate", demo_day / "dead-weights-day2-after-16.csv", "--json").out)
    assert found["intercept"]["value"] == pytest.approx(5.23, abs=0.005)  # 3.86 lb-ft


def test_a_smaller_full_scale_makes_the_limits_tighter(run: Run, demo_day: Path) -> None:
    ran = run("calibrate", demo_day / "dead-weights-day2-after-16.csv", "--full-scale", "300 lb-ft")
    assert ran.code == 0
    assert "not every limit is kept" in ran.out


def test_refusals(run: Run, tmp_path: Path, demo_day: Path) -> None:
    assert "[weights-file]" in run("calibrate", tmp_path / "nix.csv").refusals[0]
    assert len(run("calibrate", demo_day / "question.toml").refusals) == 2
    assert "[unit-missing]" in run("calibrate", demo_day / "dead-weights-day1.csv", "--full-scale", "500").refusals[0]
