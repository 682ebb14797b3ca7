"""The command line's front door: commands in, exit codes out."""

from __future__ import annotations

import sys
from collections.abc import Collection, Sequence

import typer

from fairpull.cli import process, screen
from fairpull.cli.commands.air import air
from fairpull.cli.commands.attach import attach
from fairpull.cli.commands.book import book
from fairpull.cli.commands.calibrate import calibrate
from fairpull.cli.commands.compare import compare
from fairpull.cli.commands.demo import demo
from fairpull.cli.commands.fitted import fitted
from fairpull.cli.commands.health import health
from fairpull.cli.commands.inertia import inertia
from fairpull.cli.commands.join import join
from fairpull.cli.commands.mark import mark
from fairpull.cli.commands.move import move
from fairpull.cli.commands.papers import papers
from fairpull.cli.commands.past import past
from fairpull.cli.commands.pull import pull
from fairpull.cli.commands.pulls import pulls
from fairpull.cli.commands.purpose import purpose
from fairpull.cli.commands.read import read
from fairpull.cli.commands.remark import remark
from fairpull.cli.commands.results import results
from fairpull.cli.commands.running_in import running_in
from fairpull.cli.commands.serve import serve
from fairpull.cli.commands.sheets import sheets
from fairpull.cli.commands.take import take
from fairpull.cli.commands.tune import tune
from fairpull.cli.commands.watch import watch
from fairpull.cli.plain import PlainCommand, PlainGroup
from fairpull.terms.errors import FairpullError, Fault
from fairpull.terms.version import VERSION

REFUSED = 2
CANCELLED = 130

ALONE = (read, compare, air, join, calibrate, inertia, demo)
ON_THE_BOOK = (serve, take, watch, fitted, pulls, pull, mark, move, remark, attach, papers)
ANSWERS = (health, purpose, tune, running_in, past, results)
COMMANDS = {one.__name__.replace("_", "-"): one for one in (*ALONE, *ON_THE_BOOK, *ANSWERS)}
GROUPS = {"book": book, "sheets": sheets}


def front(version: bool = typer.Option(False, "--version", help="Say the version and stop.")) -> None:
    """Honest comparison of full-load pulls on an engine brake."""
    if version:
        screen.say(f"fairpull {VERSION}")
        raise typer.Exit


def app_with(names: Collection[str]) -> typer.Typer:
    """The command line with these commands and groups.

    Args:
        names: as they are typed.

    Returns:
        The program; help lists the commands in the house's order.
    """
    # Plain help: drawing it in colour would double the time it takes to appear.
    made = typer.Typer(
        name="fairpull",
        cls=PlainGroup,
        help="Honest comparison of full-load pulls on an engine brake.",
        epilog="Engine testing can kill: carbon monoxide, fuel fire, burst parts. "
        "Local codes and licensed practice rule.",
        add_completion=False,
        rich_markup_mode=None,
        no_args_is_help=True,
        pretty_exceptions_enable=False,
    )
    made.callback(invoke_without_command=True)(front)
    for name, command in COMMANDS.items():
        if name in names:
            made.command(cls=PlainCommand)(command)
    for name, group in GROUPS.items():
        if name in names:
            made.add_typer(group, name=name)
    return made


app = app_with([*COMMANDS, *GROUPS])


def _app_of(words: Sequence[str]) -> typer.Typer:
    """The command line with the one command that is called: laying out the options of all takes time."""
    called = words[0] if words else ""
    return app_with([called]) if called in COMMANDS or called in GROUPS else app


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command.

    Args:
        argv: words after the program's name; None takes the process's own.

    Returns:
        0 done (perhaps with findings), 2 refused, 130 cancelled.
    """
    try:
        words = list(sys.argv[1:] if argv is None else argv)
        _app_of(words)(args=words, prog_name="fairpull")
    except FairpullError as error:
        for fault in dict.fromkeys(error.faults):
            screen.tell(f"refused: {' '.join(fault.line().split())}")
        return REFUSED
    except BrokenPipeError:
        return 0
    except KeyboardInterrupt:  # in the moment before or after the command line's own watch for it
        return CANCELLED
    except OSError as error:
        screen.tell(f"refused: {_no_access(error).line()}")
        return REFUSED
    except SystemExit as leaving:
        return leaving.code if isinstance(leaving.code, int) else 0
    return 0


def _no_access(error: OSError) -> Fault:
    where, seen = str(error.filename or "file"), error.strerror or str(error)
    return Fault("no-access", where, seen, "name a place that may be read or written")


def run() -> None:
    """Run the process's own command and leave with its code."""
    process.start()
    try:
        code = main()
    except KeyboardInterrupt:  # in the moment between two commands of the interpreter's own
        code = CANCELLED
    process.leave(code)
