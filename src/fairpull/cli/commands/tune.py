"""fairpull tune: spark and mixture loops."""

from __future__ import annotations

from typing import Annotated

import typer

from fairpull.cli import options, screen


def tune(
    kind: Annotated[str, typer.Argument(help="spark or mixture.")],
    pulls: Annotated[list[str], typer.Argument(help="Log files, pulls or builds of the book.", metavar="PULL...")],
    speeds: Annotated[str, typer.Option(help='Speeds, e.g. "2000,3000 rpm".')] = "",
    by: Annotated[str, typer.Option(help="For mixture: lambda, or jet for the number of the builds' main jet.")] = "",
    limits: Annotated[str, typer.Option(help='What may be run, e.g. "20-34 deg" or "0.82-0.92".')] = "",
    knock_limit: Annotated[float | None, typer.Option(help="Knock level that counts, instrument's own scale.")] = None,
    fuel: Annotated[str, typer.Option(help="petrol or another, for the mixture's rule.")] = "",
    engine: Annotated[str, typer.Option(help="engine.toml, for log files.")] = "",
    units: options.HouseUnits = "",
    json: options.Json = False,
    book: options.Book = "",
) -> None:
    """Fit loops of torque against spark or mixture, and say what to run next."""
    from fairpull.tasks.bench.tune_of import tune_of

    with screen.Progress() as progress:
        result = tune_of(
            kind,
            pulls,
            speeds=speeds,
            by=by,
            limits=limits,
            knock_limit=knock_limit,
            fuel=fuel,
            engine=engine,
            book=book,
            progress=progress,
        )
    if json:
        from fairpull.show.json_parts import dumps
        from fairpull.show.json_tune import tune_to_json

        screen.say(dumps(tune_to_json(result)))
    else:
        from fairpull.show.tune_text import tune_text

        screen.say(tune_text(result, _system(units, book), **screen.look()))


def _system(units: str, book: str) -> str:
    """The unit system named; else what the book prefers, where log files lie in or below one or it is named."""
    from fairpull.tasks.bench.door import book_folder, the_book

    if units or book_folder(book) is None:
        return options.system(units or "us")
    with the_book(book, read_only=True) as kept:
        return options.house_system("", kept.settings())
