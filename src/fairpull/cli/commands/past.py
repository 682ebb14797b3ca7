"""fairpull past: what the book's own comparisons say about a kind of change."""

from __future__ import annotations

from typing import Annotated

import typer

from fairpull.cli import options, screen


def past(
    kind: Annotated[str, typer.Argument(help='Such as "camshaft", "header", "spark", "setting NAME", or boost.')],
    units: options.HouseUnits = "",
    json: options.Json = False,
    book: options.Book = "",
) -> None:
    """Say what such a change did before, as the expectation next time."""
    from fairpull.tasks.bench.door import the_book
    from fairpull.tasks.bench.past_of import past_of

    with the_book(book, read_only=True) as kept, screen.Progress() as progress:
        shown = options.house_system(units, kept.settings())
        result = past_of(kept, kind, progress.told)
    if json:
        from fairpull.show.json_parts import dumps
        from fairpull.show.json_purpose import past_to_json

        screen.say(dumps(past_to_json(result)))
    else:
        from fairpull.show.past_text import past_text

        screen.say(past_text(result, shown, **screen.look()))
