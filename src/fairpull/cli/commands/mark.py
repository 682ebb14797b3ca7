"""fairpull mark: a pull counts, is set aside with the reason, or is void."""

from __future__ import annotations

from typing import Annotated

import typer

from fairpull.cli import options, screen


def mark(
    name: Annotated[str, typer.Argument(help="Name of the pull, or its number in the list.")],
    state: Annotated[str, typer.Argument(help="counts, aside or void.")],
    reason: Annotated[str, typer.Option(help="Why; needed for aside and void, kept for ever.")] = "",
    valid_to: Annotated[str, typer.Option(help="Speed up to which it counts, e.g. 5000rpm, or end.")] = "",
    by: Annotated[str, typer.Option(help="Initials.")] = "",
    book: options.Book = "",
) -> None:
    """Say whether a pull counts; nothing is ever deleted."""
    from fairpull.show.bench_text import changed_text
    from fairpull.tasks.bench.door import the_book
    from fairpull.tasks.bench.lists import mark_pull
    from fairpull.tasks.bench.one_pull import pull_name

    with the_book(book) as kept:
        before = kept.pull(pull_name(kept, name))
        after = mark_pull(kept, before.name, state, reason, valid_to=valid_to, by=by)
    screen.say(changed_text(before, after, **screen.look()))
