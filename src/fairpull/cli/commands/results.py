"""fairpull results: comparisons that the book keeps."""

from __future__ import annotations

from typing import Annotated

import typer

from fairpull.cli import options, screen


def results(
    name: Annotated[str, typer.Argument(help="Name that it was kept under; without one, all are listed.")] = "",
    json: Annotated[bool, typer.Option("--json", help="Print the document as it was kept; needs a name.")] = False,
    book: options.Book = "",
) -> None:
    """List results that were kept with --keep, or show one as it was kept."""
    from fairpull.tasks.bench.door import the_book
    from fairpull.tasks.bench.kept_results import document_of, results_with_documents
    from fairpull.terms.errors import Fault, ValueRefused

    if json and not name:
        raise ValueRefused(Fault("json-needs-name", "--json", "no name", "name one of the kept results"))
    with the_book(book, read_only=True) as kept:
        if json:
            screen.say(kept.result(name).result)
            return
        if name:
            from fairpull.show.results_text import result_text

            found = kept.result(name)
            screen.say(result_text(found, document_of(found), **screen.look()))
            return
        from fairpull.show.results_text import results_text

        screen.say(results_text(results_with_documents(kept), **screen.look()))
