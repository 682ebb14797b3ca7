"""fairpull pulls: search the book."""

from __future__ import annotations

from typing import Annotated

import typer

from fairpull.cli import options, screen


def pulls(
    where: Annotated[
        str, typer.Option(help='e.g. "boost > 0.3 bar and peak power > 150 hp"; see docs/search.md.')
    ] = "",
    build: Annotated[list[str] | None, typer.Option(help="Only this build. Repeatable.")] = None,
    units: options.HouseUnits = "",
    json: options.Json = False,
    book: options.Book = "",
) -> None:
    """List pulls of the book, all or those that fit."""
    from fairpull.tasks.bench.door import the_book
    from fairpull.tasks.bench.lists import find_pulls

    with the_book(book, read_only=True) as kept:
        house = kept.settings()
        shown = options.house_system(units, house)
        found = find_pulls(kept, where, build or ())
    if json:
        from fairpull.show.json_bench import pulls_to_json
        from fairpull.show.json_parts import dumps

        screen.say(dumps(pulls_to_json(found, shown)))
    else:
        from fairpull.show.bench_text import pulls_list_text

        screen.say(pulls_list_text(found, shown, house.get("standard", ""), **screen.look()))
