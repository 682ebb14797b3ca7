"""fairpull purpose: builds scored on what the engine is for."""

from __future__ import annotations

from typing import Annotated

import typer

from fairpull.cli import options, screen


def purpose(
    duty: Annotated[str, typer.Argument(help="A duty's sheet or TOML file, or a published cycle such as E3.")],
    builds: Annotated[
        list[str] | None, typer.Argument(help="Builds; without, every one with counted pulls.", metavar="BUILD...")
    ] = None,
    altitude: Annotated[str, typer.Option(help='In the air of a place: its height, e.g. "7200 ft".')] = "",
    temperature: Annotated[str, typer.Option(help='Air temperature there, e.g. "41 degF".')] = "",
    standard: Annotated[str, typer.Option(help="Correction standard; else the house's.")] = "",
    rated: Annotated[str, typer.Option(help='For a published cycle, e.g. "93 hp at 3800 rpm".')] = "",
    intermediate: Annotated[str, typer.Option(help='For cycle C1 also, e.g. "80 hp at 2400 rpm".')] = "",
    units: options.HouseUnits = "",
    json: options.Json = False,
    book: options.Book = "",
) -> None:
    """Score builds on a declared duty; ties are called ties."""
    from fairpull.tasks.bench.door import the_book
    from fairpull.tasks.bench.purpose_of import purpose_of

    with the_book(book, read_only=True) as kept:
        shown = options.house_system(units, kept.settings())
        scores = purpose_of(
            kept,
            duty,
            builds or (),
            altitude=altitude,
            temperature=temperature,
            standard=standard,
            rated=rated,
            intermediate=intermediate,
        )
    if json:
        from fairpull.show.json_parts import dumps
        from fairpull.show.json_purpose import scores_to_json

        screen.say(dumps(scores_to_json(scores)))
    else:
        from fairpull.show.purpose_text import purpose_text

        screen.say(purpose_text(scores, shown, **screen.look()))
