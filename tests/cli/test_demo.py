"""fairpull demo: logs are made, judged, and the report named."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from tests.cli.conftest import Ran

Run = Callable[..., Ran]


def test_the_verdict_and_where_things_lie(run: Run, tmp_path: Path) -> None:
    ran = run("demo", tmp_path / "day", "--no-report", "--units", "metric")
    assert (ran.code, ran.err) == (0, "")
    assert ran.out.startswith("anvil-header differs from anvil-log: more torque")
    assert f"raw logs: {tmp_path / 'day'}" in ran.out
    assert "N m" in ran.out
    assert list((tmp_path / "day").glob("*.html")) == []


def test_a_folder_that_is_a_file_is_refused(run: Run, tmp_path: Path) -> None:
    taken = tmp_path / "day"
    taken.write_text("", "utf-8")
    assert "[no-access]" in run("demo", taken).refusals[0]


def test_units_are_refused_before_anything_is_made(run: Run, tmp_path: Path) -> None:
    assert run("demo", tmp_path / "day", "--units", "furlongs").refusals
    assert not (tmp_path / "day").exists()
