"""Each command in a process of its own: exit codes as a shell sees them."""

from __future__ import annotations

import contextlib
import json
import os
import signal
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.cli.conftest import Ran

Process = Callable[..., Ran]


def test_compare_with_findings_ends_with_0(process: Process, small_day: Path) -> None:
    ran = process("compare", small_day / "log", small_day / "header", "--json")
    assert (ran.code, ran.err) == (0, "")
    assert json.loads(ran.out)["findings"]


@pytest.mark.parametrize(
    "words",
    [
        ("compare", "nix", "nought"),
        ("read", "nix"),
        ("air", "--pressure", "1", "--temperature", "2"),
        ("join", "nix", "nought"),
        ("calibrate", "nix"),
        ("inertia", "nix", "nought"),
        ("demo", "--units", "furlongs"),
    ],
)
def test_refusals_end_with_2(process: Process, words: tuple[str, ...]) -> None:
    assert process(*words).refusals


def test_commands_that_do_their_work_end_with_0(process: Process, small_day: Path, demo_day: Path) -> None:
    assert process("--version").code == 0
    assert process("read", small_day / "log" / "log-0.csv").code == 0
    assert process("calibrate", demo_day / "dead-weights-day1.csv").code == 0


def test_usage_errors_end_with_2(process: Process) -> None:
    assert process("compare", "--nonsense").code == 2
    assert process().code == 2


def test_a_large_log_is_named_on_a_terminal_and_cancelling_leaves_nothing(tmp_path: Path) -> None:
    """Ctrl-C while a large log is read: the progress line is taken away, no traceback, no report, no half of one."""
    block = "".join(f"{n / 100:.2f},{2000 + n % 3000},200.00,100\n" for n in range(10_000))
    for name in ("a", "b"):
        (tmp_path / f"{name}.csv").write_text("time [s],rpm,torque [N m],throttle [%]\n" + 160 * block, "utf-8")
    ours, theirs = os.openpty()
    running = subprocess.Popen(
        [sys.executable, "-m", "fairpull", "compare", "a.csv", "b.csv", "--report", "out.html"],
        cwd=tmp_path,
        stdout=subprocess.PIPE,
        stderr=theirs,
    )
    os.close(theirs)
    told = b""
    while b"a.csv" not in told:
        told += os.read(ours, 1000)
    running.send_signal(signal.SIGINT)
    out, _ = running.communicate(timeout=60)
    with contextlib.suppress(OSError):  # Linux says so at the end of a terminal
        while more := os.read(ours, 1000):
            told += more
    os.close(ours)
    # ended by the signal itself (inside the library that reads tables) is the same 130 to a shell
    assert running.returncode in (130, -signal.SIGINT)
    assert out == b""
    assert told.startswith(b"\rreading 1 of 2: a.csv")
    assert b"Traceback" not in told
    assert sorted(path.name for path in tmp_path.iterdir()) == ["a.csv", "b.csv"]
