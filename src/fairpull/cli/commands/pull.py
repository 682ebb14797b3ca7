"""fairpull pull: one pull of the book."""

from __future__ import annotations

from typing import Annotated

import typer

from fairpull.cli import options, screen


def pull(
    name: Annotated[str, typer.Argument(help="Name of the pull, or its number in the list.")],
    units: options.HouseUnits = "",
    json: options.Json = False,
    book: options.Book = "",
) -> None:
    """Show one pull: state and its history, health, figures, choices, remarks and files."""
    from fairpull.tasks.bench.door import the_book
    from fairpull.tasks.bench.one_pull import pull_name
    from fairpull.tasks.bench.papers_of import papers_of

    with the_book(book, read_only=True) as kept:
        shown = options.house_system(units, kept.settings())
        line = kept.pull(pull_name(kept, name))
        marks, found = kept.marks(line.name), papers_of(kept, ("pull", line.name))
    if json:
        from fairpull.show.json_bench import pulls_to_json
        from fairpull.show.json_parts import dumps

        screen.say(dumps(pulls_to_json([line], shown)))
        return
    from fairpull.show.bench_text import marks_text, papers_text, pull_text

    look = screen.look()
    texts = [pull_text(line, shown, **look), marks_text(marks, **look)]
    if found:
        texts.append(papers_text(found.notes, found.laid, found.places, **look))
    screen.say("\n".join(texts))
