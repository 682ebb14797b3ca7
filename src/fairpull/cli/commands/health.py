"""fairpull health: signs of trouble in pulls, from files or from the book."""

from __future__ import annotations

from typing import Annotated

import typer

from fairpull.cli import options, screen


def health(
    pulls: Annotated[list[str], typer.Argument(help="Log files, or names of pulls in the book.", metavar="PULL...")],
    engine: Annotated[str, typer.Option(help="engine.toml, for log files.")] = "",
    against: Annotated[list[str] | None, typer.Option(help="Sound pull of the same build. Repeatable.")] = None,
    json: options.Json = False,
    book: options.Book = "",
) -> None:
    """Look for signs of trouble, and say what could not be looked at."""
    from fairpull.tasks.bench.health_of import health_of

    with screen.Progress() as progress:
        reports = health_of(pulls, engine=engine, against=against or (), book=book, progress=progress)
    if json:
        from fairpull.show.json_bench import health_to_json
        from fairpull.show.json_parts import dumps

        screen.say(dumps(health_to_json(reports)))
    else:
        from fairpull.show.health_text import health_text

        screen.say(health_text(reports, **screen.look()))
