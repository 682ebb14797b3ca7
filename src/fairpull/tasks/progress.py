"""How a long task tells where it is, without knowing who listens."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

Progress = Callable[[Path, int, int], None]
"""Told before each file is read: the file, its number from 1, and how many there are."""


def silent(path: Path, number: int, total: int) -> None:
    """Nobody listens."""
