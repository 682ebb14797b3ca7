"""fairpull remark: a note in somebody's words."""

from __future__ import annotations

from typing import Annotated

import typer

from fairpull.cli import options, screen


def remark(
    about: Annotated[
        str, typer.Argument(help="KIND:NAME it is about, e.g. build:anvil-header; a bare NAME is a pull.")
    ],
    text: Annotated[str, typer.Argument(help="The words.")],
    by: Annotated[str, typer.Option(help="Initials.")] = "",
    book: options.Book = "",
) -> None:
    """Write a note about something in the book."""
    from fairpull.tasks.bench.door import the_book
    from fairpull.tasks.bench.one_pull import about_named

    with the_book(book) as kept:
        to = about_named(kept, options.about(about))
        kept.remark(to, text, by)
    screen.say(f"noted about {to[0]} {to[1]}")
