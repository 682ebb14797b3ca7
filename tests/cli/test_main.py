"""The front door: help, version, usage errors, and what becomes of errors on the way."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from fairpull.cli.commands import compare as command
from fairpull.terms.version import VERSION
from tests.cli.conftest import Ran

Run = Callable[..., Ran]
COMMANDS = ("read", "compare", "air", "join", "calibrate", "inertia", "demo")


def test_version(run: Run) -> None:
    assert run("--version") == (0, f"fairpull {VERSION}\n", "")


@pytest.mark.parametrize("words", [("--help",), ()])
def test_help_lists_every_command(run: Run, words: tuple[str, ...]) -> None:
    ran = run(*words)
    assert all(f"  {name} " in ran.out + ran.err for name in COMMANDS)
    assert ran.code == (0 if words else 2)


@pytest.mark.parametrize("name", COMMANDS)
def test_every_command_has_help_that_fits(run: Run, name: str) -> None:
    ran = run(name, "--help")
    assert ran.code == 0
    assert max(map(len, ran.out.splitlines())) <= 80


@pytest.mark.parametrize(
    "words",
    [
        ("nonsense",),
        ("compare",),
        ("compare", "a", "--nonsense"),
        ("compare", "a", "--look", "two"),
        ("read",),
        ("air",),
    ],
)
def test_usage_errors_end_with_2_and_say_how(run: Run, words: tuple[str, ...]) -> None:
    ran = run(*words)
    assert (ran.code, ran.out) == (2, "")
    assert "Usage: fairpull" in ran.err
    assert "Error: " in ran.err
    assert "Traceback" not in ran.err


def fail_with(error: BaseException, monkeypatch: pytest.MonkeyPatch) -> None:
    def failing(*_: object) -> None:
        raise error

    monkeypatch.setattr("fairpull.tasks.compare_files.compare_files", failing)


def test_cancelling_ends_with_130(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    fail_with(KeyboardInterrupt(), monkeypatch)
    ran = run("compare", "a", "b")
    assert (ran.code, ran.out) == (130, "")
    assert "Traceback" not in ran.err


def test_a_reader_that_went_away_is_no_error(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    fail_with(BrokenPipeError(), monkeypatch)
    assert run("compare", "a", "b").code == 0


def test_a_place_without_access_is_refused(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    fail_with(PermissionError(13, "Permission denied", "day/log.csv"), monkeypatch)
    line = "refused: day/log.csv: Permission denied [no-access] -> name a place that may be read or written"
    assert run("compare", "a", "b").refusals == [line]


def test_a_fault_is_one_line_and_said_once(run: Run, tmp_path: Path) -> None:
    question = tmp_path / "question.toml"
    question.write_text("a = \n", "utf-8")
    for name in "ab":
        (tmp_path / f"{name}.csv").write_text("rpm,torque [N m]\n2000,200\n3000,210\n4000,190\n", "utf-8")
    (line,) = run("compare", tmp_path / "a.csv", tmp_path / "b.csv").refusals
    assert "[question-file]" in line


def test_a_fault_of_the_program_is_not_dressed_up(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    fail_with(ZeroDivisionError(), monkeypatch)
    with pytest.raises(ZeroDivisionError):
        run("compare", "a", "b")
    assert command.__name__.endswith("compare")
