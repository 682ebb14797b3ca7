"""The main job as Python calls: fairpull.read() and fairpull.compare()."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

import fairpull
import fairpull.compare.comparison  # the room of that name is loaded, and the call must stay a call
from fairpull.terms.errors import FairpullError
from tests.tasks.small import write, write_build

SCRIPT = """
import fairpull, sys
heavy = {"numpy", "polars", "typer", "rich", "altair"} & set(sys.modules)
assert not heavy, heavy
import fairpull.compare.comparison
import fairpull.compare
from fairpull.compare import compare as room
found = fairpull.compare(*sys.argv[1:], standard="none")
print(found.differences[0].verdict.kind, callable(room), fairpull.__version__)
"""


def test_read_gives_recordings(tmp_path: Path) -> None:
    first, second = fairpull.read(write(tmp_path / "a.csv"), str(write(tmp_path / "b.csv")))
    assert (first.name, second.name) == ("a", "b")
    assert first.channels["torque"].shape == (13,)
    with pytest.raises(FairpullError):
        fairpull.read(tmp_path / "nix.csv")


def test_compare_takes_paths_words_and_fields_of_the_request(tmp_path: Path) -> None:
    log, header = write_build(tmp_path, "log"), write_build(tmp_path, "header", 1.02)
    found = fairpull.compare(log, f"tube={header}", standard="iso-1585", step=250.0, leave_out={"log-2": "ran hot"})
    assert [group.name for group in found.groups] == ["log", "tube"]
    assert (found.standard, found.grid_step) == ("iso-1585", 250.0)
    assert len(found.pulls) == 5
    with pytest.raises(TypeError, match="standrad"):
        fairpull.compare(log, header, standrad="iso-1585")


def test_importing_the_room_does_not_break_the_call(tmp_path: Path) -> None:
    words = [str(write_build(tmp_path, "log")), str(write_build(tmp_path, "header", 1.02))]
    done = subprocess.run(
        [sys.executable, "-c", SCRIPT, *words], capture_output=True, text=True, timeout=60, check=False
    )
    assert done.stderr == ""
    assert done.stdout == f"differs True {fairpull.__version__}\n"
    assert fairpull.compare(*words, standard="none").differences[0].verdict.kind == "differs"
