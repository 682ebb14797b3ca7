"""Where text goes: standard output, as wide as the terminal, in colour only on a terminal."""

from __future__ import annotations

import shutil
import sys
from typing import TypedDict

NARROWEST = 60
WIDEST = 120


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
