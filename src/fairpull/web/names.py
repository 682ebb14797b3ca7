"""Names that come from outside."""

from __future__ import annotations

from fairpull.show.facts.words import plain
from fairpull.terms.errors import Fault, UnknownName


def known(name: str) -> str:
    """A name that can be in a book at all.

    Args:
        name: from the address or a form.

    Returns:
        The name.

    Raises:
        UnknownName: it holds characters that no name has.
    """
    if "\0" in name or any("\ud800" <= one <= "\udfff" for one in name):
        raise UnknownName(Fault("not-in-book", repr(plain(name)), "no name has such characters", "see the list"))
    return name
