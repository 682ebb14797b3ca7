"""The work that writes a back-up."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from fairpull.tasks.apart.telling import Tell


def work(given: Mapping[str, Any], tell: Tell) -> dict[str, Any]:
    """Write the whole book into one file.

    Args:
        given: "book": its folder; "target": a new file that ends in .tar or .zip, named by the program.
        tell: is told once.

    Returns:
        "file": where it lies; "bytes": its size.
    """
    from fairpull.tasks.bench.door import the_book

    tell(0, 0, "backing up")
    with the_book(given["book"], read_only=True) as kept:
        written = kept.backup(Path(given["target"]))
    return {"file": str(written), "bytes": written.stat().st_size}
