"""fairpull papers: what lies beside something in the book, and its files copied out."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from fairpull.cli import options, screen


def papers(
    about: Annotated[str, typer.Argument(help="KIND:NAME, e.g. build:anvil-header; a bare NAME or number is a pull.")],
    out: Annotated[Path | None, typer.Option(help="Folder to copy the files into; nothing is written over.")] = None,
    json: options.Json = False,
    book: options.Book = "",
) -> None:
    """List remarks and files beside something, and copy the files out."""
    from fairpull.tasks.bench.door import the_book
    from fairpull.tasks.bench.papers_of import copy_out, papers_of

    to = options.about(about)
    with the_book(book, read_only=True) as kept:
        found = papers_of(kept, to)
        written = copy_out(kept, found.laid, out) if out is not None else ()
    if json:
        from fairpull.show.json_parts import dumps
        from fairpull.show.json_sheets import papers_document

        screen.say(dumps(papers_document(found.about, found.notes, found.laid, found.places)))
        return
    from fairpull.show.bench_text import papers_text

    if found:
        screen.say(papers_text(found.notes, found.laid, found.places, **screen.look()))
    else:
        screen.say(f"no papers beside {found.about[0]} {found.about[1]}")
    for path in written:
        screen.say(str(path))
