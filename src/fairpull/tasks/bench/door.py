"""Finding and opening the bench book that a command means."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from fairpull import book
from fairpull.terms.errors import BookRefused, Fault, UnknownName, ValueRefused

if TYPE_CHECKING:
    from fairpull.book import Book as Book  # handed on to the doors, for their types

VARIABLE = "FAIRPULL_BOOK"
DEFAULTS = {
    "units": "us",
    "standard": "",
    "grid": "",
    "band": "",
    "smallest": "",
    "fitted": "",
    "session": "",
}
"""Settings of the house; "" leaves the choice to the data."""
UNSAID = {"fitted": "(nothing said)", "session": "(none)"}
Told = Callable[[str, int, int], None]


def book_folder(named: str | Path | None = None, start: Path | None = None) -> Path | None:
    """The folder of the book that is meant.

    Args:
        named: by option; None or "" for none.
        start: where the search begins; None: the working folder.

    Returns:
        The named folder; else what the environment names; else the nearest folder upwards that holds a book; None where
        there is none.
    """
    if named:
        return Path(named).expanduser()
    told = os.environ.get(VARIABLE)
    if told:
        return Path(told).expanduser()
    return book.find_book(start or Path.cwd())


def the_book(named: str | Path | None = None, *, read_only: bool = False) -> Book:
    """Open the book that is meant.

    Args:
        named: by option; None or "" for none.
        read_only: nothing is to be written.

    Returns:
        The open book.

    Raises:
        BookRefused: there is none, or it cannot be opened.
    """
    folder = book_folder(named)
    if folder is None:
        remedy = "make one with fairpull book new FOLDER, go into its folder, or name it with --book"
        raise BookRefused(Fault("no-book", "book", "no bench book in this folder or above it", remedy))
    return book.open_book(folder, read_only=read_only)


def new_book(folder: Path, settings: dict[str, str] | None = None, database: str = "") -> Book:
    """Make an empty book.

    Args:
        folder: where; made if missing.
        settings: what the house prefers, over the defaults.
        database: URL of a PostgreSQL database; "" for the file inside the folder.

    Returns:
        The open book.

    Raises:
        BookRefused: there is a book already, or the place cannot be written.
    """
    return book.create(folder, database=database, settings={**DEFAULTS, **(settings or {})})


def house_settings(kept: Book) -> dict[str, str]:
    """All of the house's preferences.

    Args:
        kept: the book.

    Returns:
        Setting -> value, those of ``DEFAULTS`` first; "" where the data decide.
    """
    return {**DEFAULTS, **kept.settings()}


def known_setting(key: str) -> None:
    """Refuse a setting that the house does not have.

    Args:
        key: as named.

    Raises:
        UnknownName: not one of ``DEFAULTS``.
    """
    if key not in DEFAULTS:
        raise UnknownName(Fault("no-such-setting", key, "no setting of this name", f"one of: {', '.join(DEFAULTS)}"))


def change_setting(kept: Book, key: str, value: str, told: Told | None = None) -> int:
    """Set one of the house's preferences; another standard corrects the figures of all kept pulls again.

    Args:
        kept: the book.
        key: one of ``DEFAULTS``.
        value: in the person's words; "" takes the default again.
        told: is told of each pull before it is corrected again.

    Returns:
        How many pulls were corrected again.

    Raises:
        UnknownName: no such setting, standard, build or session.
        ValueRefused: a value that cannot be, or a standard that cannot be computed for pulls of the book.
    """
    known_setting(key)
    check_setting(kept, key, value)
    if key == "standard" and value != kept.settings().get("standard", ""):
        from fairpull.tasks.bench import resummary

        return resummary.resummarise(kept, value, told or resummary.nobody)
    kept.set(key, value)
    return 0


def check_setting(kept: Book, key: str, value: str) -> None:
    """Refuse a value that no later command could use; nothing is changed.

    Args:
        kept: the book.
        key: one of ``DEFAULTS``.
        value: in the person's words; "" takes the default again.

    Raises:
        FairpullError: a value that cannot be, or no such standard, build or session.
    """
    from fairpull import air
    from fairpull.tasks.question_file import parse_band, parse_share
    from fairpull.tasks.request import parse_step

    if not value:
        return
    if key == "units" and value not in ("us", "metric"):
        raise ValueRefused(Fault("units", "units", repr(value), "use us or metric"))
    if key == "standard":
        air.standard(value)
    if key == "grid":
        parse_step(value, "grid")
    if key == "band":
        parse_band(value)
    if key == "smallest":
        parse_share(value)
    if key in ("fitted", "session"):
        kept.sheet("build" if key == "fitted" else key, value)


def setting_line(key: str, value: str) -> str:
    """One setting as a person reads it, e.g. "band: (by the data)".

    Args:
        key: one of ``DEFAULTS``.
        value: as set; "" where nothing was.

    Returns:
        The line.
    """
    return f"{key}: {value or UNSAID.get(key, '(by the data)')}"


def restore_book(archive: Path, folder: Path) -> Path:
    """Unpack a back-up into a new folder.

    Args:
        archive: the back-up.
        folder: where the book goes.

    Returns:
        The folder.

    Raises:
        BookRefused: the archive is damaged, or the folder is not empty.
    """
    with book.restore(archive, folder) as kept:
        return kept.folder


def import_book(exported: Path, folder: Path, database: str = "") -> Path:
    """Make a book from an export.

    Args:
        exported: folder that an export wrote.
        folder: where the book goes.
        database: URL of a PostgreSQL database; "" for the file inside the folder.

    Returns:
        The folder.

    Raises:
        BookRefused: the export is damaged, or the folder is not empty.
    """
    with book.import_book(exported, folder, database=database) as kept:
        return kept.folder


def holds_book(folder: Path) -> bool:
    """Whether a folder itself holds a book.

    Args:
        folder: to look into.

    Returns:
        True where it does.
    """
    return book.find_book(folder) == folder.resolve()
