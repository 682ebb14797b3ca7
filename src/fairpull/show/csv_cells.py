"""Cells of a CSV as a spreadsheet may open them: words that it would take for a formula are words again."""

from __future__ import annotations

import csv
import re
from collections.abc import Iterable, Sequence
from io import StringIO

from fairpull.show.facts.words import plain

STARTS = ("=", "+", "-", "@", "\t", "\r", "\n", "\uff1d", "\uff0b", "\uff0d", "\uff20")
"""What a formula may begin with, full-width forms too; a tab or a line's end lets another cell begin."""

_NUMBER = re.compile(r"[+-]?(?=\.?\d)(?:\d{1,3}(?:,\d{3})+|\d+)?(?:\.\d+)?(?:[eE][+-]?\d+)?")


def is_number(text: str) -> bool:
    """Whether a text is one plain number, perhaps signed, with thousands commas or an exponent."""
    return bool(_NUMBER.fullmatch(text))


def cell(text: str) -> str:
    """A text for one cell.

    Args:
        text: from anywhere.

    Returns:
        The text without control characters; with an apostrophe before it where a spreadsheet would compute it, also
        after leading blanks. A plain number stays as it is.
    """
    bare = text.lstrip(" \u00a0\u3000\ufeff\u200b")
    kept = plain(text)
    risky = bare.startswith(STARTS) or kept.lstrip().startswith(STARTS)
    return f"'{kept}" if risky and not is_number(kept.strip()) else kept


def csv_text(head: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    """A table as CSV text, every cell as ``cell`` gives it.

    Args:
        head: one heading a column.
        rows: finished strings.

    Returns:
        Lines that end in a line feed.
    """
    out = StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow([cell(one) for one in head])
    writer.writerows([cell(one) for one in row] for row in rows)
    return out.getvalue()
