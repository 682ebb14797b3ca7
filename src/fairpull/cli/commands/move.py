"""fairpull move: a pull that was taken in under the wrong build."""

from __future__ import annotations

from typing import Annotated

import typer

from fairpull.cli import options, screen


def move(
    name: Annotated[str, typer.Argument(help="Name of the pull, or its number in the list.")],
    build: Annotated[str, typer.Argument(help="What it really ran with.")],
    reason: Annotated[str, typer.Option(help="Why; needed, and kept for ever.")] = "",
    by: Annotated[str, typer.Option(help="Initials.")] = "",
    book: options.Book = "",
) -> None:
    """Move a pull to the build that it really ran with, and judge it again."""
    from fairpull.show.bench_text import changed_text
    from fairpull.tasks.bench.door import the_book
    from fairpull.tasks.bench.moving import move_pull
    from fairpull.tasks.bench.one_pull import pull_name
    from fairpull.terms.errors import Fault, ValueRefused

    with the_book(book) as kept:
        before = kept.pull(pull_name(kept, name))
        if before.build == build:
            remedy = "name the build that it really ran with, or leave it"
            raise ValueRefused(Fault("moved-to-itself", before.name, f"it is {build}'s already", remedy))
        after = move_pull(kept, before.name, build, reason, by=by)
    screen.say(changed_text(before, after, **screen.look()))
