"""fairpull running-in: has a new engine settled?"""

from __future__ import annotations

from typing import Annotated

import typer

from fairpull.cli import options, screen


def running_in(
    engine: Annotated[str, typer.Argument(help="Name of the engine's sheet.")],
    units: options.HouseUnits = "",
    book: options.Book = "",
) -> None:
    """Say whether an engine still gains from pull to pull."""
    from fairpull.show.tune_text import running_in_text
    from fairpull.tasks.bench.door import the_book
    from fairpull.tasks.bench.tune_of import running_in_of

    with the_book(book, read_only=True) as kept:
        shown = options.house_system(units, kept.settings())
        result = running_in_of(kept, engine)
    screen.say(running_in_text(result, shown, **screen.look()))
