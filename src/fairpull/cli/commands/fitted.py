"""fairpull fitted: say once which build is on the brake."""

from __future__ import annotations

from typing import Annotated

import typer

from fairpull.cli import options, screen


def fitted(
    build: Annotated[str, typer.Argument(help="Name of the build; without one, it is only said.")] = "",
    book: options.Book = "",
) -> None:
    """Say which build is on the brake; a watch takes it from then on."""
    from fairpull.tasks.bench.door import change_setting, the_book

    with the_book(book, read_only=not build) as kept:
        if build:
            change_setting(kept, "fitted", build)
        screen.say(f"fitted: {kept.settings().get('fitted') or 'nothing said yet'}")
