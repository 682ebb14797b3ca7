"""fairpull book: make, check, back up, export and set the bench book."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from fairpull.cli import options, screen
from fairpull.cli.plain import PlainCommand, PlainGroup
from fairpull.terms.errors import Fault, ValueRefused

FAILED = 1

book = typer.Typer(
    cls=PlainGroup,
    help="Make, check, back up, export and set the bench book.",
    rich_markup_mode=None,
    no_args_is_help=True,
    pretty_exceptions_enable=False,
)


@book.command(cls=PlainCommand)
def new(
    folder: Annotated[Path, typer.Argument(help="Where the book goes; made if missing.")],
    units: options.Units = "us",
    standard: Annotated[str, typer.Option(help="Correction standard of the house.")] = "",
    database: Annotated[
        str, typer.Option(help="URL of a PostgreSQL database for a shop with several people; its password stays out.")
    ] = "",
) -> None:
    """Make an empty book."""
    from fairpull.tasks.bench.door import change_setting, new_book

    shown = options.system(units)
    with new_book(folder, {"units": shown}, database) as kept:
        if standard:
            change_setting(kept, "standard", standard)
    screen.say(f"book: {folder}")


@book.command(cls=PlainCommand)
def check(
    book: options.Book = "",
    recompute: Annotated[bool, typer.Option(help="Read originals and compute stored results again.")] = True,
    json: options.Json = False,
) -> None:
    """Look whether everything is there and comes out the same; ends with 1 where not."""
    from fairpull.show.bench_text import check_text
    from fairpull.tasks.bench.door import the_book
    from fairpull.tasks.bench.recompute import whole_check

    with the_book(book) as kept, screen.Progress() as progress:
        found = whole_check(kept, progress.told, recompute=recompute)
    if json:
        from fairpull.show.json_parts import dumps
        from fairpull.show.json_sheets import check_to_json

        screen.say(dumps(check_to_json(found)))
    else:
        screen.say(check_text(found, **screen.look()))
    if any(finding.severity.value == "fault" for finding in found.findings):
        raise typer.Exit(FAILED)


@book.command(cls=PlainCommand)
def backup(
    target: Annotated[Path, typer.Argument(help="File to write.")],
    book: options.Book = "",
) -> None:
    """Write the whole book into one file, while others may go on working."""
    from fairpull.tasks.bench.door import the_book

    with the_book(book, read_only=True) as kept, screen.Progress() as progress:
        progress.doing("backing up")
        written = kept.backup(target)
    screen.say(f"back-up: {written}")


@book.command(cls=PlainCommand)
def restore(
    archive: Annotated[Path, typer.Argument(help="Back-up to unpack.")],
    folder: Annotated[Path, typer.Argument(help="New folder for the book.")],
) -> None:
    """Unpack a back-up into a new folder."""
    from fairpull.tasks.bench.door import restore_book

    with screen.Progress() as progress:
        progress.doing("restoring")
        restored = restore_book(archive, folder)
    screen.say(f"book: {restored}")


@book.command(cls=PlainCommand)
def export(
    folder: Annotated[Path, typer.Argument(help="New folder for the open files.")],
    book: options.Book = "",
) -> None:
    """Write everything as open files: Parquet, CSV, TOML, JSON, originals."""
    from fairpull.tasks.bench.door import the_book

    with the_book(book, read_only=True) as kept, screen.Progress() as progress:
        progress.doing("exporting")
        written = kept.export(folder)
    screen.say(f"export: {written}")


@book.command("import", cls=PlainCommand)
def import_(
    exported: Annotated[Path, typer.Argument(help="Folder that an export wrote.")],
    folder: Annotated[Path, typer.Argument(help="New folder for the book.")],
    database: Annotated[str, typer.Option(help="URL of a PostgreSQL database.")] = "",
) -> None:
    """Make a book from an export."""
    from fairpull.tasks.bench.door import import_book

    with screen.Progress() as progress:
        progress.doing("importing")
        made = import_book(exported, folder, database)
    screen.say(f"book: {made}")


@book.command(cls=PlainCommand)
def compact(book: options.Book = "") -> None:
    """Put traces of single pulls together, so that searches over channels are fast."""
    from fairpull.tasks.bench.door import the_book

    with the_book(book) as kept, screen.Progress() as progress:
        progress.doing("putting traces together")
        count = kept.compact()
    screen.say(f"{count} traces put together")


@book.command("set", cls=PlainCommand)
def set_(
    key: Annotated[str, typer.Argument(help="Setting; without one, all are shown.")] = "",
    value: Annotated[str | None, typer.Argument(help='Its value; without one, it is shown; "" as --default.')] = None,
    default: Annotated[bool, typer.Option("--default", help="Take the default of this setting again.")] = False,
    book: options.Book = "",
) -> None:
    """Show or set what the house prefers: units, standard, grid, band, smallest, session.

    Another standard corrects the summary figures of all kept pulls again.
    """
    from fairpull.tasks.bench.door import change_setting, house_settings, known_setting, setting_line, the_book

    if key:
        known_setting(key)
    changing = bool(key) and (default or value is not None)
    with the_book(book, read_only=not changing) as kept:
        count = 0
        if changing:
            with screen.Progress() as progress:
                count = change_setting(kept, key, "" if default else value or "", progress.told)
        for name, said in house_settings(kept).items():
            if not key or name == key:
                screen.say(setting_line(name, said))
    if count:
        screen.say(f"{count} pull{'s' if count != 1 else ''} corrected again")


@book.command(cls=PlainCommand)
def password(
    role: Annotated[str, typer.Argument(help="reads, or writes.")],
    from_stdin: Annotated[bool, typer.Option("--from-stdin", help="Take it from standard input, for scripts.")] = False,
    book: options.Book = "",
) -> None:
    """Set the password that opens the pages to a shop network: of those who read, or of those who write too."""
    from fairpull.tasks.bench.door import the_book
    from fairpull.tasks.shop.passwords import known_role, set_password

    known_role(role)
    with the_book(book, read_only=True) as kept:
        folder = kept.folder
    written = set_password(folder, role, _secret(role, from_stdin))
    screen.say(f"password of {role}: {written}")


def _secret(role: str, from_stdin: bool) -> str:
    """A password, typed twice and not shown, or the first line of standard input; never from the command line.

    Others on the machine can read command lines.
    """
    import sys
    from getpass import getpass

    if from_stdin:
        return sys.stdin.readline().rstrip("\r\n")
    if not sys.stdin.isatty():
        raise ValueRefused(Fault("password-unasked", "password", "no terminal to type it", "add --from-stdin"))
    words, again = getpass(f"password of {role}: "), getpass("once more: ")
    if words != again:
        raise ValueRefused(Fault("password-mistyped", "password", "the two are not the same", "type it twice alike"))
    return words
