"""Programs that die in the middle, and programs that work at once; ``tests/book/kill_many.py`` does the work.

On demand, ``python -m tests.book.kill_many 200`` kills 200 programs, and ``python -m tests.book.kill_many --writers 2
--files 500`` has two programs take in 500 files each.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from tests.postgres import Server, roomy_memory

ROOT = Path(__file__).resolve().parents[2]


def run(*words: str, database: str = "") -> dict[str, Any]:
    """What ``kill_many`` reports."""
    surroundings = {**os.environ, "PYTHONPATH": f"{ROOT / 'src'}{os.pathsep}{ROOT}", "POLARS_MAX_THREADS": "1"}
    # What a killed program wrote stays in the page cache: memory serves as well as a disk, and others wait less for it.
    if memory := roomy_memory():
        surroundings["TMPDIR"] = memory
    done = subprocess.run(
        [sys.executable, "-m", "tests.book.kill_many", *words, "--database", database],
        cwd=ROOT,
        env={**surroundings, "OPENBLAS_NUM_THREADS": "1"},
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.stdout, done.stderr
    told: dict[str, Any] = json.loads(done.stdout)
    assert told["faults"] == []
    assert done.returncode == 0
    return told


@pytest.mark.skipif(sys.platform == "win32", reason="programs are forked and killed by signal")
def test_programs_killed_at_random_moments_leave_a_whole_book() -> None:
    told = run("20", "--seed", "7")
    assert sum(told["kills"].values()) == 20
    assert told["reported"] > 0
    assert told["left"] > 0


@pytest.mark.skipif(sys.platform == "win32", reason="programs are forked and killed by signal")
def test_programs_killed_at_their_steps_leave_a_whole_book() -> None:
    told = run("--steps", "12", "--seed", "3")
    assert told["steps of take"]["kills"] > 3
    assert told["steps of take"]["left"] > 2
    assert told["steps of gather"]["left"] > 0
    assert told["steps of migrate"]["kills"] > 1
    assert told["steps of make"]["kills"] > 3


@pytest.mark.skipif(sys.platform == "win32", reason="programs are forked")
def test_programs_that_take_in_at_once_lose_and_double_nothing() -> None:
    told = run("--writers", "2", "--files", "60")
    assert told["pulls"] == told["reported"] == 130


@pytest.mark.skipif(sys.platform == "win32", reason="programs are forked and killed by signal")
def test_programs_in_postgresql_at_once_and_killed(server: Server) -> None:
    told = run("6", "--seed", "2", "--writers", "4", "--files", "12", database=server.url())
    assert told["pulls"] == told["reported"] == 58
    assert sum(told["kills"].values()) == 6
