"""A pull as a person names it: by its name or by its running number; and whether a limit of speed fits it."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from fairpull.terms.errors import Fault, UnknownName, ValueRefused
from fairpull.terms.units import parse

if TYPE_CHECKING:
    from fairpull.book import Book
    from fairpull.terms.bench import KeptPull

NEAR = 4  # names that a refusal offers
WHOLE = "end"


def pull_name(kept: Book, word: str) -> str:
    """The name of the pull that is meant.

    Args:
        kept: the book.
        word: its name, or its running number, with or without "#" before it.

    Returns:
        Its name.

    Raises:
        UnknownName: no such pull; the remedy has names that hold the word, or that are near to it.
    """
    try:
        return kept.pull(word).name
    except UnknownName as error:
        lines = kept.pulls()
        number = word.strip().removeprefix("#")
        if number.isdecimal():
            found = [line.name for line in lines if line.number == int(number)]
            if found:
                return found[0]
        near = [line.name for line in lines if word.strip().lower() in line.name.lower()] if word.strip() else []
        if not near:
            raise
        more = "" if len(near) <= NEAR else f" or one of {len(near) - NEAR} more"
        remedy = f"did you mean {', '.join(near[:NEAR])}{more}? list them with fairpull pulls"
        raise UnknownName([replace(fault, remedy=remedy) for fault in error.faults]) from error


def about_named(kept: Book, about: tuple[str, str]) -> tuple[str, str]:
    """What a paper is about, a pull named by its number too: (kind, name)."""
    kind, name = about
    return (kind, pull_name(kept, name)) if kind == "pull" else about


def limit_of(line: KeptPull, valid_to: str) -> float | None:
    """The speed up to which a pull shall count [rpm].

    Args:
        line: of the catalogue.
        valid_to: "5000rpm" or "5000"; "end" for all of it; "" leaves it as it is.

    Returns:
        The speed; None for all of it.

    Raises:
        ValueRefused: outside what was tested.
    """
    if valid_to.strip().lower() == WHOLE:
        return None
    if not valid_to:
        return line.valid_to
    limit = parse(valid_to, "rpm")
    low, high = line.tested
    if not low < limit < high:
        seen = f"{limit:,.0f} rpm; {line.name} was tested from {low:,.0f} to {high:,.0f} rpm"
        remedy = 'name a speed between them, or "end" for all of it'
        raise ValueRefused(Fault("limit-outside-pull", "--valid-to", seen, remedy))
    return limit
