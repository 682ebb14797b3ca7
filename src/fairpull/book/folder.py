"""The book's folder: which file lies where, and the page that says it is a book."""

from __future__ import annotations

import os
import tomllib
import uuid
from dataclasses import dataclass
from pathlib import Path

from fairpull.terms.errors import BookRefused, Fault

PAGE = "book.toml"
FORMAT = "fairpull bench book"
LAYOUT = 1
CATALOGUE = "book.sqlite"
TRACES = "traces"
ORIGINALS = "originals"
STAGING = "staging"


@dataclass(frozen=True, slots=True)
class Page:
    """What ``book.toml`` says.

    Attributes:
        schema: revision of the catalogue when the page was written; a hint, the catalogue knows better.
        database: URL of a PostgreSQL database without its password; "" where the catalogue is ``book.sqlite``.
    """

    schema: str
    database: str = ""


def find_book(start: Path) -> Path | None:
    """The nearest book: the folder itself or one above it.

    Args:
        start: where to begin.

    Returns:
        The book's folder; None where there is none.
    """
    here = Path(start).resolve()
    return next((folder for folder in (here, *here.parents) if (folder / PAGE).is_file()), None)


def read_page(folder: Path) -> Page:
    """Read ``book.toml``.

    Args:
        folder: the book's.

    Returns:
        What it says.

    Raises:
        BookRefused: no such folder, no book in it, or one of a layout that this code does not know.
    """
    place = str(folder / PAGE)
    if not folder.is_dir():
        remedy = "name the book's folder, or make one with fairpull book new FOLDER"
        raise BookRefused(Fault("book-missing", str(folder), "there is no such folder", remedy))
    try:
        said = tomllib.loads((folder / PAGE).read_text("utf-8"))
    except FileNotFoundError as error:
        remedy = "name the folder that holds book.toml, or make a book with fairpull book new FOLDER"
        raise BookRefused(Fault("not-a-book", str(folder), "the folder holds no book.toml", remedy)) from error
    except (UnicodeDecodeError, tomllib.TOMLDecodeError) as error:
        remedy = "put back book.toml from a backup"
        raise BookRefused(Fault("not-a-book", place, f"it cannot be read: {error}", remedy)) from error
    except OSError as error:
        remedy = "ask for the right to read the book's folder"
        raise BookRefused(Fault("book-unreadable", place, error.strerror or str(error), remedy)) from error
    return _page(said, place)


def _page(said: dict[str, object], place: str) -> Page:
    if said.get("format") != FORMAT:
        raise BookRefused(Fault("not-a-book", place, f"format {said.get('format')!r}", f"a book says {FORMAT!r}"))
    layout = said.get("layout")
    if layout != LAYOUT:
        remedy = "use the newer fairpull that wrote this book"
        raise BookRefused(Fault("book-newer", place, f"layout {layout!r}, known here: {LAYOUT}", remedy))
    return Page(str(said.get("schema", "")), str(said.get("database", "")))


def write_page(folder: Path, page: Page) -> None:
    """Write ``book.toml`` in one step: readers see the old page or the new one, never half of one.

    Call it only while holding the writer's lock: it passes through ``staging/``.

    Args:
        folder: the book's.
        page: what it says.
    """
    lines = [f'format = "{FORMAT}"', f"layout = {LAYOUT}", f'schema = "{page.schema}"']
    if page.database:
        quoted = page.database.replace("\\", "\\\\").replace('"', '\\"')
        lines.append(f'database = "{quoted}"')
    temporary = folder / STAGING / f"page-{uuid.uuid4().hex}"
    write_surely(temporary, ("\n".join(lines) + "\n").encode("utf-8"))
    temporary.replace(folder / PAGE)
    settle(folder)


def write_surely(path: Path, content: bytes) -> None:
    """Write a file and wait until the disk has it."""
    with path.open("wb") as file:
        file.write(content)
        file.flush()
        os.fsync(file.fileno())


def settle(folder: Path) -> None:
    """Wait until the disk has the folder's list of names; nothing to do where folders cannot be opened."""
    if os.name != "posix":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def original_place(sha256: str) -> str:
    """Where the original of this content hash lies, below the book's folder."""
    return f"{ORIGINALS}/{sha256[:2]}/{sha256}"


def trace_place(trace_file: str) -> str:
    """Where a trace file lies, below the book's folder."""
    return f"{TRACES}/{trace_file}"
