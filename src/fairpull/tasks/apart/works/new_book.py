"""The work that makes an empty book."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from fairpull.tasks.apart.telling import Tell


def work(given: Mapping[str, Any], tell: Tell) -> dict[str, Any]:
    """Make an empty book.

    Args:
        given: "folder": where; "units": of the house, "us" or "metric".
        tell: is told once.

    Returns:
        "book": its folder.

    Raises:
        BookRefused: there is a book already, or the place cannot be written.
    """
    from fairpull.tasks.bench.door import new_book

    tell(0, 1, "making the book")
    with new_book(Path(given["folder"]), {"units": given["units"]}) as kept:
        return {"book": str(kept.folder)}
