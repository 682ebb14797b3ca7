"""fairpull pull: one pull of the book."""

from __future__ import annotations

from typing import Annotated

import typer

from fairpull.cli import options, screen


def pull(
    name: Annotated[str, typer.Argument(help="Name of the pull.")],
    units: options.HouseUnits = "",
    json: options.Json = False,
    book: options.Book = "",
) -> None:
    """Show one pull: state, health, figures, choices, remarks."""
    from fairpull.tasks.bench.door import the_book

    with the_book(book, read_only=True) as kept:
        shown = options.house_system(units, kept.settings())
        line = kept.pull(name)
        remarks, laid = kept.remarks(("pull", name)), kept.attachments(("pull", name))
    if json:
        from fairpull.show.json_bench import pulls_to_json
        from fairpull.show.json_parts import dumps

        screen.say(dumps(pulls_to_json([line], shown)))
        return
    from fairpull.show.bench_text import papers_text, pull_text

    screen.say(pull_text(line, shown, **screen.look()))
    if remarks or laid:
        screen.say(papers_text(remarks, laid, **screen.look()))
