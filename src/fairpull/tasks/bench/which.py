"""Whether the words of a comparison mean log files or builds of the book."""

from __future__ import annotations

import glob
from collections.abc import Sequence
from pathlib import Path

FILES, BUILDS = "files", "builds"


def meant(words: Sequence[str], book: str = "") -> str:
    """What the words mean.

    Args:
        words: GROUP words of a comparison.
        book: folder of the book by option; then they are builds.

    Returns:
        ``BUILDS`` where a book was named, or where no word is a file, folder or pattern, a book is found, and at least
        one word is a build of it; ``FILES`` otherwise.
    """
    if book:
        return BUILDS
    if any(_is_place(word) for word in words):
        return FILES
    from fairpull.tasks.bench.door import book_folder, the_book  # a comparison of files needs no book

    if book_folder() is None:
        return FILES
    with the_book(read_only=True) as kept:
        names = {sheet.name for sheet in kept.sheets("build")}
    return BUILDS if names & set(words) else FILES


def _is_place(word: str) -> bool:
    place = word.partition("=")[2] if "=" in word else word
    path = Path(place).expanduser()
    return path.exists() or bool(glob.glob(str(path), recursive=True))
