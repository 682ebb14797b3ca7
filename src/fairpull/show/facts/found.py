"""What was found in the book as finished strings: where the words stand in each hit, and what its kind is called."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from fairpull.show.facts.words import plain
from fairpull.terms.looking import Found, Hit, HitGroup

KINDS = {
    "pull": ("pull", "pulls"),
    "engine": ("engine", "engines"),
    "part": ("part", "parts"),
    "build": ("build", "builds"),
    "session": ("session", "sessions"),
    "check": ("check", "checks"),
    "question": ("question", "questions"),
    "duty": ("duty", "duties"),
    "remark": ("remark", "remarks"),
    "paper": ("paper", "papers"),
    "result": ("kept result", "kept results"),
}
"""Kind of hit -> one of them, several of them."""
AROUND = 70  # letters of a text shown on either side of the words
CUT = "\N{HORIZONTAL ELLIPSIS}"


@dataclass(frozen=True, slots=True)
class Snippet:
    """A piece of text around a word: what stands before it, the word, what stands after."""

    before: str
    word: str
    after: str


def snippet(hit: Hit, words: Sequence[str]) -> Snippet:
    """The piece of a hit's text where the first of the words stands.

    Args:
        hit: found.
        words: looked for.

    Returns:
        The piece; without a marked word where none stands in it.
    """
    text = " ".join(plain(hit.text).split())
    low = text.lower()
    places = [(low.find(word.lower()), len(word)) for word in words if word.lower() in low]
    if not places or len(low) != len(text):
        return Snippet(text[: 2 * AROUND] + (CUT if len(text) > 2 * AROUND else ""), "", "")
    at, length = min(places)
    start, end = max(at - AROUND, 0), at + length + AROUND
    before = (CUT if start else "") + text[start:at]
    after = text[at + length : end] + (CUT if end < len(text) else "")
    return Snippet(before, text[at : at + length], after)


def group_title(group: HitGroup) -> str:
    """``2 builds``, ``at least 2,000 pulls``."""
    one, several = KINDS.get(group.kind, (group.kind, group.kind))
    return f"{'at least ' if group.more else ''}{group.total:,} {one if group.total == 1 else several}"


def summary(found: Found) -> str:
    """What was found, one sentence."""
    if not found.words:
        return ""
    asked = " ".join(found.words)
    if not found.groups:
        return f"Nothing in the book holds {asked}."
    many = "at least " if any(group.more for group in found.groups) else ""
    return f"{asked} is in {many}{found.total:,} place{'s' if found.total != 1 else ''} of the book."
