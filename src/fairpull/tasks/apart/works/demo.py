"""The work that makes the demo's book."""

from __future__ import annotations

import shutil
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from fairpull.tasks.apart.telling import Tell
from fairpull.terms.errors import BookRefused, Fault

MAKING = ".demo-in-the-making"
SEED = 1


def work(given: Mapping[str, Any], tell: Tell) -> dict[str, Any]:
    """Make the demo beside where its book will lie, and move the book there when all of it is done.

    Args:
        given: "folder": where the book will lie, which holds none yet; "units": of the house, "us" or "metric".
        tell: is told of each log.

    Returns:
        "book": its folder; "pulls": how many it holds.
    """
    from fairpull.tasks.bench.door import change_setting, the_book
    from fairpull.tasks.demo_day import run_demo

    folder = Path(given["folder"])
    refuse_occupied(folder)
    making = folder / MAKING

    def told(what: Path, number: int, total: int) -> None:
        tell(number - 1, total, f"taking in {what.name}")

    try:
        shutil.rmtree(making, ignore_errors=True)  # of one that was cancelled
        folder.mkdir(parents=True, exist_ok=True)
        made = run_demo(making, SEED, told)
        if given.get("units"):
            with the_book(made.book) as kept:
                change_setting(kept, "units", given["units"])
        move_book(made.book, folder)
    finally:
        shutil.rmtree(making, ignore_errors=True)
    return {"book": str(folder), "pulls": len(made.pulls)}


def refuse_occupied(folder: Path) -> None:
    """Refuse a folder where a book lies, or other things lie where a book would put its own.

    Args:
        folder: where a book is to be made.

    Raises:
        BookRefused: it is no place for a book.
    """
    from fairpull.book.folder import CATALOGUE, ORIGINALS, PAGE, TRACES

    taken = [name for name in (PAGE, CATALOGUE) if (folder / name).exists()]
    taken += [name for name in (ORIGINALS, TRACES) if (folder / name).is_dir() and any((folder / name).iterdir())]
    if taken:
        seen = f"{', '.join(taken)} {'is' if len(taken) == 1 else 'are'} there already"
        raise BookRefused(
            Fault("book-exists", str(folder), seen, "open the book that is there, or name another folder")
        )


def move_book(made: Path, folder: Path) -> None:
    """Move a whole book into a folder of the same disk. Its page comes last: it is a book only when all of it is there.

    Args:
        made: where it lies.
        folder: where it goes, which holds no book.
    """
    from fairpull.book.folder import PAGE

    for one in sorted(made.iterdir(), key=lambda path: path.name == PAGE):
        place = folder / one.name
        if place.is_dir():
            place.rmdir()  # only what is empty goes
        one.replace(place)
