"""Pulls of the demo by their number of the day sheet."""

from __future__ import annotations

from collections.abc import Iterable


def pull_of(names: Iterable[str], number: int) -> str:
    """Name of the demo's pull NN."""
    return next(name for name in names if name.startswith(f"{number:02d}-"))
