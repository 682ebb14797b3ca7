"""Finding: one text, looked for in everything that the book holds, and as a search sentence where it is one."""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterable
from typing import TYPE_CHECKING

from fairpull import book
from fairpull.terms.errors import FairpullError, Fault
from fairpull.terms.looking import Found

if TYPE_CHECKING:
    from fairpull.book import Book

LONGEST = 300  # letters of a text that are looked at
MOST_WORDS = 8
SENTENCE = re.compile(r"[<>=~]")
"""What no name is likely to hold and every search sentence does."""
NEAR = 6  # names offered where nothing was found
LIKELY = 60  # names compared letter by letter


def find(kept: Book, text: str, most: int = 20) -> Found:
    """Look for a text in the whole book.

    Args:
        kept: the book.
        text: words, all of which must stand in the thing found, in any case; words within quotes stand together. Or a
            search sentence, see docs/search.md.
        most: hits listed of each kind.

    Returns:
        What was found, by kind, likeliest first.
    """
    words = words_of(text)
    if not words:
        return Found(text)
    groups = kept.find(words, most)
    search, fits, faults = _as_sentence(kept, text)
    near = () if groups or search else near_names(kept.all_names(), " ".join(words))
    return Found(text, words, groups, search, fits, faults, near)


def words_of(text: str) -> tuple[str, ...]:
    """The words to look for in a text.

    Args:
        text: as typed; control characters and halves of letters count as blanks.

    Returns:
        Its words, what stands within quotes as one; at most ``MOST_WORDS``.
    """
    clean = "".join(letter if letter.isprintable() else " " for letter in text[:LONGEST])
    found = (quoted.strip() or word for quoted, word in re.findall(r'"([^"]+)"|([^\s"]+)', clean))
    return tuple(dict.fromkeys(word for word in found if word))[:MOST_WORDS]


def _as_sentence(kept: Book, text: str) -> tuple[bool, int | None, tuple[Fault, ...]]:
    """Whether a text is a search sentence, how many pulls it finds, and what is wrong with one that nearly is."""
    if not SENTENCE.search(text):
        return False, None, ()
    try:
        where = book.parse_where(text)
    except FairpullError as error:
        return False, None, error.faults
    try:
        return True, kept.count(where), ()
    except FairpullError as error:
        return False, None, error.faults


def near_names(names: Iterable[tuple[str, str]], sought: str) -> tuple[tuple[str, str], ...]:
    """Names that look like what was sought.

    Args:
        names: kind and name of everything.
        sought: the text.

    Returns:
        Kind and name of the nearest, nearest first.
    """
    low = sought.casefold()
    pairs = _pairs(low)
    by_name: dict[str, tuple[str, str]] = {}
    for kind, name in names:
        folded = name.casefold()
        if folded not in by_name or kind != "pull":  # a sheet goes before the pulls that are called like it
            by_name[folded] = (kind, name)
    ranked = sorted(by_name, key=lambda name: -len(pairs & _pairs(name)) / max(len(pairs), len(name), 1))
    near = difflib.get_close_matches(low, ranked[:LIKELY], n=NEAR, cutoff=0.5)
    return tuple(by_name[name] for name in near)


def _pairs(text: str) -> set[str]:
    return {text[at : at + 2] for at in range(len(text) - 1)}
