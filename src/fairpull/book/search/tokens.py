"""A search text in pieces: words, quoted words, comparisons, parentheses, each with its place."""

from __future__ import annotations

import re
from dataclasses import dataclass

from fairpull.terms.errors import Fault, SearchRefused

WORD, QUOTED, COMPARISON, OPEN, CLOSE, END = "word", "quoted", "comparison", "open", "close", "end"
LONGEST = 4000  # characters; no person writes a longer search

_COMPARISONS = {"≥": ">=", "≤": "<="}
_PIECE = re.compile(
    r"""\s*(?:
    (?P<comparison>>=|<=|≥|≤|>|<|=|~)
    |(?P<open>\()
    |(?P<close>\))
    |"(?P<quoted>[^"]*)"
    |(?P<unclosed>")
    |(?P<word>[^\s"()<>=~≥≤]+)
    )""",
    re.VERBOSE,
)


@dataclass(frozen=True, slots=True)
class Piece:
    """One piece: what kind, its text (without quotes), and where it starts and ends in the search text, from 0."""

    kind: str
    text: str
    start: int
    end: int

    def says(self, *words: str) -> bool:
        """Whether it is one of these words, not quoted, in any case."""
        return self.kind == WORD and self.text.casefold() in words


def place(start: int) -> str:
    """Where something stands, for a refusal.

    Args:
        start: from 0.

    Returns:
        E.g. "search, column 7".
    """
    return f"search, column {start + 1}"


def pieces(text: str) -> tuple[Piece, ...]:
    """Cut a search text into pieces.

    Args:
        text: as the person wrote it.

    Returns:
        The pieces; the last is the end.

    Raises:
        SearchRefused: too long, or a quote that is never closed.
    """
    if len(text) > LONGEST:
        remedy = f"write at most {LONGEST} characters"
        raise SearchRefused(Fault("search-too-long", "search", f"{len(text)} characters", remedy))
    found: list[Piece] = []
    at = 0
    while matched := _PIECE.match(text, at):
        kind = matched.lastgroup or WORD
        said = matched.group(kind)
        start, at = matched.end() - len(matched.group().lstrip()), matched.end()
        if kind == "unclosed":
            remedy = "close the quotes, or leave them out"
            raise SearchRefused(Fault("search-quote", place(start), "quotes that are never closed", remedy))
        found.append(Piece(kind, _COMPARISONS.get(said, said), start, at))
    return (*found, Piece(END, "", len(text.rstrip()), len(text)))
