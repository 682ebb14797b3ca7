"""The open bench book: its contents, and the tools that work on the whole of it."""

from __future__ import annotations

from pathlib import Path

from fairpull.book.contents import Contents
from fairpull.book.looking import Told, nobody
from fairpull.terms.bench import BookCheck


class Book(Contents):
    """An open bench book; a context manager. Made by ``fairpull.book.create`` and ``fairpull.book.open_book``."""

    def check(self, told: Told | None = None) -> BookCheck:
        """Look for anything wrong: hashes, orphans, schema; see ``check.check``.

        Args:
            told: is told of each pull before it is looked at; None for nobody.
        """
        from fairpull.book import check

        return check.check(self, told or nobody)

    def backup(self, target: Path) -> Path:
        """Write a backup that ``fairpull.book.restore`` opens again; see ``archive.backup``."""
        from fairpull.book import archive

        return archive.backup(self, target)

    def export(self, folder: Path) -> Path:
        """Write everything as open files; see ``export.export``."""
        from fairpull.book import export

        return export.export(self, folder)

    def compact(self) -> int:
        """Gather traces of single pulls into larger files for scans; see ``compaction.compact``."""
        from fairpull.book import compaction

        return compaction.compact(self)
