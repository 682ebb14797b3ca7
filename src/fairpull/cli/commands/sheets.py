"""fairpull sheets: engines, parts, builds, sessions, checks, questions and duties, written by hand."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from fairpull.cli import options, screen
from fairpull.cli.plain import PlainCommand, PlainGroup

sheets = typer.Typer(
    cls=PlainGroup,
    help="Engines, parts, builds, sessions, checks, questions and duties, written by hand.",
    rich_markup_mode=None,
    no_args_is_help=True,
    pretty_exceptions_enable=False,
)
Kind = Annotated[str, typer.Option("--kind", help="engine, part, build, session, check, question or duty.")]


@sheets.command(cls=PlainCommand)
def add(
    files: Annotated[list[Path], typer.Argument(help="TOML files, or folders of them.", metavar="FILE...")],
    kind: Kind = "",
    book: options.Book = "",
) -> None:
    """Keep sheets; a changed one becomes a new version."""
    from fairpull.show.sheets_text import added_text
    from fairpull.tasks.bench.adding import added, newest
    from fairpull.tasks.bench.door import the_book
    from fairpull.tasks.bench.sheet_files import keep_sheets, read_sheets

    read = read_sheets(files, kind)
    with the_book(book) as kept:
        before = newest(kept, read)
        done = added(kept, keep_sheets(kept, read), before)
    rows = [(one.sheet, one.what, one.said) for one in done]
    findings = [one.finding for one in done if one.finding is not None]
    screen.say(added_text(rows, findings, **screen.look()))


@sheets.command("list", cls=PlainCommand)
def list_(kind: Kind = "", book: options.Book = "") -> None:
    """List the sheets, newest versions."""
    from fairpull.show.bench_text import sheet_list_text
    from fairpull.tasks.bench.door import the_book
    from fairpull.tasks.bench.sheet_files import ORDER

    with the_book(book, read_only=True) as kept:
        found = [sheet for one in ([kind] if kind else ORDER) for sheet in kept.sheets(one)]
    screen.say(sheet_list_text(found, **screen.look()))


@sheets.command(cls=PlainCommand)
def show(
    kind: Annotated[str, typer.Argument(help="engine, part, build, session, check, question or duty.")],
    name: Annotated[str, typer.Argument(help="Name of the sheet.")],
    version: Annotated[int | None, typer.Option(help="An older version.")] = None,
    toml: Annotated[bool, typer.Option("--toml", help="As the text of its file.")] = False,
    json: options.Json = False,
    units: options.HouseUnits = "",
    book: options.Book = "",
) -> None:
    """Show one sheet, with what is computed from it and what lies beside it."""
    from fairpull.tasks.bench.door import the_book
    from fairpull.tasks.bench.papers_of import papers_of
    from fairpull.tasks.bench.sheet_files import sheet_text
    from fairpull.tasks.bench.sheet_page import sheet_findings_of, sheet_page

    with the_book(book, read_only=True) as kept:
        sheet = kept.sheet(kind, name, version)
        if toml:
            screen.say(sheet_text(sheet))
            return
        found = papers_of(kept, (kind, name))
        if json:
            from fairpull.show.json_parts import dumps
            from fairpull.show.json_sheets import sheet_to_json

            means = sheet_findings_of(sheet)
            screen.say(dumps(sheet_to_json(sheet, means, found.notes, found.laid, found.places)))
            return
        from fairpull.show.bench_text import papers_text

        shown, look = options.house_system(units, kept.settings()), screen.look()
        texts = [sheet_page(kept, sheet, shown, **look)]
    if found:
        texts.append(papers_text(found.notes, found.laid, found.places, **look))
    screen.say("\n".join(texts))


@sheets.command(cls=PlainCommand)
def out(
    folder: Annotated[Path, typer.Argument(help="Folder to write TOML files into.")],
    kind: Kind = "",
    book: options.Book = "",
) -> None:
    """Write sheets as TOML files that can be edited and added again."""
    from fairpull.tasks.bench.door import the_book
    from fairpull.tasks.bench.sheet_files import write_sheets

    with the_book(book, read_only=True) as kept:
        for path in write_sheets(kept, folder, kind):
            screen.say(str(path))
