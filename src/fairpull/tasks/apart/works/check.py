"""The work that checks the whole book."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from fairpull.tasks.apart.telling import Tell


def work(given: Mapping[str, Any], tell: Tell) -> dict[str, Any]:
    """Check the book, and remember in its folder what was found.

    Args:
        given: "book": its folder; "recompute": whether originals are read and results computed again (default yes).
        tell: is told of each thing before it is looked at.

    Returns:
        "check": as ``show.json_sheets.check_to_json`` has it.
    """
    from fairpull.show.json_sheets import check_to_json
    from fairpull.tasks.bench.door import the_book
    from fairpull.tasks.bench.last_check import remember
    from fairpull.tasks.bench.recompute import whole_check

    def told(what: str, number: int, total: int) -> None:
        tell(number - 1, total, what)

    whole = bool(given.get("recompute", True))
    with the_book(given["book"], read_only=True) as kept:
        found = whole_check(kept, told, recompute=whole)
        remember(kept.folder, found, whole=whole)
    return {"check": check_to_json(found)}
