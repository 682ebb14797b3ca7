"""Results on standard output, refusals and progress on standard error, progress only where a person waits."""

from __future__ import annotations

import io
import sys
from pathlib import Path

import pytest

from fairpull.cli import screen


class Terminal(io.StringIO):
    """A stream that says it is a terminal."""

    def isatty(self) -> bool:
        """A terminal, yes."""
        return True


def listen(monkeypatch: pytest.MonkeyPatch) -> Terminal:
    """Put a terminal in the place of standard error, from within the test: pytest sets its own before each."""
    stream = Terminal()
    monkeypatch.setattr(sys, "stderr", stream)
    return stream


def test_a_quick_reading_says_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    terminal = listen(monkeypatch)
    with screen.Progress() as progress:
        progress(tmp_path / "a.csv", 1, 2)
    assert terminal.getvalue() == ""


def test_a_long_reading_says_which_file_and_takes_it_away(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    terminal = listen(monkeypatch)
    monkeypatch.setattr(screen, "PATIENCE", -1.0)
    with screen.Progress() as progress:
        progress(tmp_path / "a-long-name.csv", 1, 2)
        progress(tmp_path / "b.csv", 2, 2)
    lines = terminal.getvalue().split("\r")
    assert lines[1] == "reading 1 of 2: a-long-name.csv  [#######.......]"
    assert lines[2].rstrip() == "reading 2 of 2: b.csv  [##############]"
    assert len(lines[2]) == len(lines[1])  # nothing of the longer line stays
    assert lines[3].strip() == lines[4] == ""


def test_a_large_file_is_named_at_once(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    terminal = listen(monkeypatch)
    monkeypatch.setattr(screen, "LARGE", 10)
    (tmp_path / "a.csv").write_text("x" * 11, "utf-8")
    with screen.Progress() as progress:
        progress(tmp_path / "a.csv", 1, 1)
    assert "reading 1 of 1: a.csv" in terminal.getvalue()


def test_no_terminal_no_progress(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(screen, "PATIENCE", -1.0)
    with screen.Progress() as progress:
        progress(tmp_path / "a.csv", 1, 1)
    assert capsys.readouterr() == ("", "")


def test_the_line_is_taken_away_when_reading_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    terminal = listen(monkeypatch)
    monkeypatch.setattr(screen, "PATIENCE", -1.0)

    def interrupted() -> None:
        with screen.Progress() as progress:
            progress(tmp_path / "a.csv", 1, 1)
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        interrupted()
    assert "reading 1 of 1" in terminal.getvalue()
    assert terminal.getvalue().endswith("\r")


def test_text_ends_with_one_newline(capsys: pytest.CaptureFixture[str]) -> None:
    screen.say("a")
    screen.say("b\n")
    screen.tell("c")
    assert capsys.readouterr() == ("a\nb\n", "c\n")


def test_without_a_terminal_80_columns_and_no_colour() -> None:
    assert screen.look() == {"width": 80, "colour": False}
