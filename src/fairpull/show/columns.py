"""How words and columns share a line: breaks at spaces, then behind hyphens and underscores, in a word only at need."""

from __future__ import annotations

import re
from collections.abc import Sequence

_JOINS = re.compile(r"(?<=\w[-_/])(?=[^-_/])|(?<=[^\W\d_])(?=[([])")
_WORDS = re.compile(r"\S+(?: %\S*)*")  # a per cent sign stays with its number


def pieces(word: str) -> list[str]:
    """A word cut where it may be broken: behind each hyphen, underscore or slash, and before a bracket."""
    return [piece for piece in _JOINS.split(word) if piece]


def longest_piece(text: str) -> int:
    """Width below which some word of the text would have to be broken inside [columns]."""
    return max((len(piece) for word in _WORDS.findall(text) for piece in pieces(word)), default=0)


def natural(text: str) -> int:
    """Width of the text's longest line when nothing is broken [columns]."""
    return max((len(line) for line in text.split("\n")), default=0)


def _cut(word: str, width: int) -> list[str]:
    """A word that is longer than a line, as parts that fit."""
    lines, line = [], ""
    for piece in pieces(word):
        if len(line) + len(piece) <= width:
            line += piece
            continue
        if line:
            lines.append(line)
        while len(piece) > width:
            lines.append(piece[:width])
            piece = piece[width:]
        line = piece
    return [*lines, line] if line else lines


def wrap(text: str, width: int, hang: int = 0) -> list[str]:
    """The text in lines no longer than ``width``; line breaks in it stay.

    Args:
        text: words.
        width: columns of the first line, more than ``hang``.
        hang: columns by which further lines are shorter.

    Returns:
        Lines, at least one, without spaces at their ends.
    """
    lines: list[str] = []
    for paragraph in text.split("\n"):
        line = ""
        for word in _WORDS.findall(paragraph):
            room = width - hang if lines else width
            if line and len(line) + 1 + len(word) <= room:
                line += f" {word}"
                continue
            if line:
                lines.append(line)
            room = width - hang if lines else width
            *whole, line = [word] if len(word) <= room else _cut(word, width - hang)
            lines.extend(whole)
        lines.append(line)
    return lines


def shares(wanted: Sequence[int], least: Sequence[int], room: int) -> list[int]:
    """Widths of columns: what they want if there is room, else the widest give way first, down to their least.

    Args:
        wanted: width each column would like [columns].
        least: width below which a column breaks words inside [columns].
        room: for all together [columns].

    Returns:
        One width per column, at least 1; together at most ``room`` where ``room`` has one for each.
    """
    if sum(wanted) <= room:
        return list(wanted)
    floor = list(least)
    while sum(floor) > room and max(floor) > 1:
        floor[floor.index(max(floor))] -= 1
    cap = max(wanted)
    while sum(max(low, min(want, cap)) for low, want in zip(floor, wanted, strict=True)) > room and cap > 1:
        cap -= 1
    given = [max(low, min(want, cap)) for low, want in zip(floor, wanted, strict=True)]
    spare = room - sum(given)
    for n, want in enumerate(wanted):  # what rounding left over
        more = min(max(spare, 0), want - given[n], 1)
        given[n] += more
        spare -= more
    return given
