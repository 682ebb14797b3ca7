"""The bench book: everything that is kept, in one folder. Nothing heavy is imported before a book is opened."""

from __future__ import annotations

from typing import TYPE_CHECKING

from fairpull.book.folder import find_book

if TYPE_CHECKING:
    from collections.abc import Mapping
    from pathlib import Path

    from fairpull.book.book import Book
    from fairpull.book.search import Where

__all__ = ["Book", "create", "find_book", "import_book", "open_book", "parse_where", "restore"]


def create(folder: Path, *, database: str = "", settings: Mapping[str, str] | None = None) -> Book:
    """Make an empty book; see ``fairpull.book.opening.create``."""
    from fairpull.book import opening

    return opening.create(folder, database=database, settings=settings)


def open_book(folder: Path, *, database: str = "", read_only: bool = False) -> Book:
    """Open a book; see ``fairpull.book.opening.open_book``."""
    from fairpull.book import opening

    return opening.open_book(folder, database=database, read_only=read_only)


def restore(archive: Path, folder: Path, *, database: str = "") -> Book:
    """Unpack a backup into a new folder and open it; see ``fairpull.book.restoring.restore``."""
    from fairpull.book import opening, restoring

    restoring.restore(archive, folder, database=database)
    return opening.open_book(folder, database=database)


def import_book(source: Path, folder: Path, *, database: str = "") -> Book:
    """Make a book from an export; see ``fairpull.book.imports.import_book``."""
    from fairpull.book import imports

    return imports.import_book(source, folder, database=database)


def parse_where(text: str) -> Where:
    """Read a search condition; see ``fairpull.book.search``."""
    from fairpull.book import search

    return search.parse_where(text)


def __getattr__(name: str) -> object:
    """Hand on the class when somebody asks for it."""
    if name == "Book":
        from fairpull.book.book import Book

        return Book
    raise AttributeError(name)
