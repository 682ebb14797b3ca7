"""Names of things in the book: what may be one, and what a wrong one may have meant."""

from __future__ import annotations

import difflib
from collections.abc import Iterable

from fairpull.terms.errors import Fault, UnknownName

LONGEST = 200


def name_faults(name: str, where: str) -> list[Fault]:
    """What is wrong with a name.

    Args:
        name: of a sheet, a pull, a result.
        where: what it names, for the fault.

    Returns:
        No fault, or one.
    """
    if name.strip() and name == name.strip() and len(name) <= LONGEST and name.isprintable():
        return []
    remedy = f"give it a name of 1 to {LONGEST} printable letters, without blanks around it"
    return [Fault("unfit-name", where, repr(name)[:60], remedy)]


def unknown(kind: str, name: str, known: Iterable[str], remedy: str) -> UnknownName:
    """The refusal of a name that is not in the book.

    Args:
        kind: of what is sought.
        name: as sought.
        known: names that are there.
        remedy: what to do where no name is near.

    Returns:
        The refusal, with near names.
    """
    near = difflib.get_close_matches(name, list(known), n=3, cutoff=0.6)
    meant = f"did you mean {', '.join(near)}? else " if near else ""
    return UnknownName(Fault("not-in-book", f"{kind} {name}", f"the book holds no {kind} of this name", meant + remedy))
