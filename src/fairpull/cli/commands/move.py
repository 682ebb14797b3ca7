"""fairpull move: a pull that was taken in under the wrong build."""

from __future__ import annotations

from typing import Annotated

import typer

from fairpull.cli import options, screen


def move(
    name: Annotated[str, typer.Argument(help="Name of the pull.")],
    build: Annotated[str, typer.Argument(help="What it really ran with.")],
    reason: Annotated[str, typer.Option(help="Why; needed, and kept for ever.")] = "",
    by: Annotated[str, typer.Option(help="Initials.")] = "",
    book: options.Book = "",
) -> None:
    """Move a pull to the build that it really ran with, and judge it again."""
    from fairpull.tasks.bench.door import the_book
    from fairpull.tasks.bench.lists import move_pull

    with the_book(book) as kept:
        line = move_pull(kept, name, build, reason, by=by)
    screen.say(f"{line.name}: {line.build}, {line.state}" + (f", {line.reason}" if line.reason else ""))
