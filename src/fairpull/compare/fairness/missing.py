"""Why a fair view cannot be made."""

from __future__ import annotations

from fairpull.terms.errors import Fault, NotComparable


def cannot(where: str, seen: str, remedy: str) -> NotComparable:
    """The refusal of one fair view; the comparison itself stands.

    Args:
        where: build or channel.
        seen: what was found there.
        remedy: what would allow the view.

    Returns:
        The refusal.
    """
    return NotComparable(Fault("fair-look-missing", where, seen, remedy))
