"""The work that makes another correction standard the house's."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from fairpull.tasks.apart.telling import Tell


def work(given: Mapping[str, Any], tell: Tell) -> dict[str, Any]:
    """Change the standard, and correct the figures of every kept pull to it; all of them, or none.

    Args:
        given: "book": its folder; "standard": key, "" leaves it to each pull's engine.
        tell: is told of each pull.

    Returns:
        "corrected": how many pulls were corrected again.
    """
    from fairpull.tasks.bench.door import change_setting, the_book

    def told(what: str, number: int, total: int) -> None:
        tell(number - 1, total, what)

    with the_book(given["book"]) as kept:
        return {"corrected": change_setting(kept, "standard", given["standard"], told)}
