"""fairpull join: two logs of one pull, and the joined log written whole."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.cli.conftest import Ran
from tests.tasks.small import write

Run = Callable[..., Ran]


@pytest.fixture
def pair(demo_day: Path) -> tuple[Path, Path]:
    name = "18-1355-no-blower-repeat"
    return demo_day / "wren-plain" / f"{name}.csv", demo_day / "controller" / f"{name}-controller.csv"


def test_lag_and_misfit_are_shown_and_the_log_written(run: Run, pair: tuple[Path, Path], tmp_path: Path) -> None:
    out = tmp_path / "new" / "joined.parquet"
    ran = run("join", *pair, "--out", out)
    assert ran.code == 0
    assert "join lag" in ran.out
    assert ran.err == f"written: {out}\n"
    assert [path.name for path in out.parent.iterdir()] == ["joined.parquet"]
    again = run("read", out, "--json")
    assert '"torque"' in again.out


def test_json(run: Run, pair: tuple[Path, Path]) -> None:
    ran = run("join", *pair, "--json")
    (recording,) = json.loads(ran.out)["recordings"]
    assert recording["choices"]["join lag"].endswith(" ms")


def test_two_logs_that_are_not_of_one_pull_are_refused(run: Run, pair: tuple[Path, Path], demo_day: Path) -> None:
    other = next((demo_day / "anvil-log").glob("03-*"))
    ran = run("join", pair[0], other, "--out", demo_day / "never.parquet")
    assert ran.refusals
    assert not (demo_day / "never.parquet").exists()


def test_a_table_without_a_clock_cannot_be_joined(run: Run, tmp_path: Path) -> None:
    table = write(tmp_path / "a.csv")
    assert run("join", table, table).refusals
