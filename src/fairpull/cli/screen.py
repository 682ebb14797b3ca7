"""Where text goes: standard output, as wide as the terminal, in colour only on a terminal."""

from __future__ import annotations

import shutil
import sys
import time
from pathlib import Path
from typing import Self, TypedDict

NARROWEST = 60
WIDEST = 120
BAR = 14
PATIENCE = 1.0  # [s] before a person wants to know where it is
LARGE = 30_000_000  # [bytes] that may take longer than that


class Look(TypedDict):
    """How text is to be drawn."""

    width: int
    colour: bool


def look() -> Look:
    """Width and colour of the terminal; 80 columns and no colour where there is none.

    Returns:
        Keyword arguments of the text faces.
    """
    if not sys.stdout.isatty():
        return {"width": 80, "colour": False}
    columns = shutil.get_terminal_size((80, 24)).columns
    return {"width": min(max(columns, NARROWEST), WIDEST), "colour": True}


def say(text: str) -> None:
    """Write text to standard output, with one newline at its end."""
    sys.stdout.write(text if text.endswith("\n") else text + "\n")


def tell(text: str) -> None:
    """Write a line to standard error: progress and refusals, never results."""
    sys.stderr.write(text + "\n")


class Progress:
    """One line on standard error that says what goes on; only on a terminal, and only when it takes long."""

    def __init__(self) -> None:
        """Start the clock."""
        self._started = time.monotonic()
        self._shown = 0

    def __call__(self, path: Path, number: int, total: int) -> None:
        """Say which file comes next.

        Args:
            path: the file.
            number, total: its number from 1, and how many there are.
        """
        if self._late() or _large(path):
            self.doing(f"reading {number} of {total}: {path.name}", number, total)

    def told(self, what: str, number: int, total: int) -> None:
        """Say which of many things goes on.

        Args:
            what: in a few words.
            number, total: its number from 1, and how many there are.
        """
        if self._late():
            self.doing(f"{number} of {total}: {what}", number, total)

    def doing(self, what: str, number: int = 0, total: int = 0) -> None:
        """Say what goes on now.

        Args:
            what: in a few words; cut to the narrowest terminal.
            number, total: how far it is; a bar where there is more than one thing to do.
        """
        if not sys.stderr.isatty():
            return
        bar = f"  [{'#' * (BAR * number // total):.<{BAR}}]" if total > 1 else ""
        line = what[: NARROWEST - 1 - len(bar)] + bar
        sys.stderr.write("\r" + line.ljust(self._shown))
        sys.stderr.flush()
        self._shown = len(line)

    def __enter__(self) -> Self:
        """Begin."""
        return self

    def __exit__(self, *_: object) -> None:
        """Take the line away again, however it ended."""
        if self._shown:
            sys.stderr.write("\r" + " " * self._shown + "\r")
            sys.stderr.flush()
            self._shown = 0

    def _late(self) -> bool:
        return time.monotonic() - self._started > PATIENCE


def _large(path: Path) -> bool:
    return path.is_file() and path.stat().st_size > LARGE
