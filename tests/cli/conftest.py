"""How tests of the command line run a command in this process, and in one of its own."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import NamedTuple

import pytest

from fairpull.cli.main import main
from tests.tasks.small import write_build


class Ran(NamedTuple):
    """What a command left."""

    code: int
    out: str
    err: str

    @property
    def refusals(self) -> list[str]:
        """Its lines on standard error, each of which must be a refusal."""
        assert self.code == 2, self
        assert self.out == ""
        lines = self.err.splitlines()
        assert lines
        assert all(line.startswith("refused: ") and " -> " in line for line in lines), self.err
        return lines


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str]) -> Callable[..., Ran]:
    """Run a command in this process."""

    def command(*words: str | Path) -> Ran:
        capsys.readouterr()
        code = main([str(word) for word in words])
        out, err = capsys.readouterr()
        return Ran(code, out, err)

    return command


@pytest.fixture(scope="session")
def process() -> Callable[..., Ran]:
    """Run a command in a process of its own."""

    def command(*words: str | Path) -> Ran:
        done = subprocess.run(
            [sys.executable, "-m", "fairpull", *map(str, words)],
            capture_output=True,
            text=True,
            timeout=60,
            check=False,
        )
        return Ran(done.returncode, done.stdout, done.stderr)

    return command


@pytest.fixture(scope="session")
def small_day(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Two builds of three small logs each. Tests read it and never write into it."""
    folder = tmp_path_factory.mktemp("small")
    write_build(folder, "log")
    write_build(folder, "header", 1.02)
    return folder
