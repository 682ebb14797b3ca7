"""fairpull attach: a photograph or another file beside something in the book."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from fairpull.cli import options, screen


def attach(
    files: Annotated[list[Path], typer.Argument(help="Photographs or other files.", metavar="FILE...")],
    about: Annotated[
        str, typer.Option(help="KIND:NAME it belongs to, e.g. build:anvil-header; a bare NAME is a pull.")
    ],
    note: Annotated[str, typer.Option(help="What it shows.")] = "",
    book: options.Book = "",
) -> None:
    """Lay photographs or other files beside something."""
    from fairpull.tasks.bench.door import the_book
    from fairpull.tasks.bench.one_pull import about_named

    with the_book(book) as kept:
        to = about_named(kept, options.about(about))
        for path in files:
            laid = kept.attach(path, to, note)
            screen.say(f"{laid.file_name} beside {to[0]} {to[1]}")
