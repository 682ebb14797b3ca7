"""fairpull: an honest comparison of full-load pulls on an engine brake.

``read`` and ``compare`` are the main job as Python calls, ``open_book`` opens the bench book; everything else stands in
the rooms.
"""

from __future__ import annotations

import sys
from types import ModuleType
from typing import TYPE_CHECKING, Any

from fairpull.terms import version

if TYPE_CHECKING:
    from pathlib import Path

    from fairpull.book import Book
    from fairpull.terms.comparison import Comparison
    from fairpull.terms.recording import Recording

__all__ = ["__version__", "compare", "open_book", "read"]

__version__ = version.VERSION


def read(*files: str | Path, **options: Any) -> tuple[Recording, ...]:
    """Read log files of any known format.

    Args:
        files: paths.
        options: fields of ``fairpull.logs.ReadOptions``, e.g. ``by="vehicle"``.

    Returns:
        One recording a file, or a curve where ``by`` splits a table.
    """
    from fairpull.tasks.read_files import read_files

    return read_files(files, **options)


def compare(*groups: str | Path, **request: Any) -> Comparison:
    """Compare builds by their log files.

    Args:
        groups: the reference first; each a file, a folder, a glob, or ``NAME=`` before one of these.
        request: fields of ``fairpull.tasks.request.CompareRequest``, e.g. ``standard="iso-1585"``.

    Returns:
        The comparison with its verdicts.
    """
    from fairpull.tasks.compare_files import compare_files
    from fairpull.tasks.request import CompareRequest

    return compare_files([str(group) for group in groups], CompareRequest(**request))


def open_book(folder: str | Path = "", *, read_only: bool = False) -> Book:
    """Open a bench book; use it in a ``with`` statement.

    Args:
        folder: of the book; "" takes the nearest one from the working folder upwards.
        read_only: nothing is to be written.

    Returns:
        The open book: ``pulls``, ``pull``, ``trace``, ``sheets``, ``take``, ``mark`` and the rest.
    """
    from fairpull.tasks.bench.door import the_book

    return the_book(folder, read_only=read_only)


class _Package(ModuleType):
    """Keeps ``fairpull.compare`` the call although a room has that name too.

    Importing the room binds its module to the package under the same name; the room is always reached by its full path
    (``from fairpull.compare import ...``), so that binding is not needed.
    """

    def __setattr__(self, name: str, value: object) -> None:
        if not (name == "compare" and isinstance(value, ModuleType)):
            super().__setattr__(name, value)


sys.modules[__name__].__class__ = _Package
