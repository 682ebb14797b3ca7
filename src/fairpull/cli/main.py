"""The command line's front door: commands in, exit codes out."""

from __future__ import annotations

from collections.abc import Sequence

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
from fairpull.cli.commands.sheets import sheets
from fairpull.cli.commands.take import take
from fairpull.cli.commands.tune import tune
from fairpull.cli.commands.watch import watch
from fairpull.cli.plain import PlainCommand, PlainGroup
from fairpull.terms.errors import FairpullError, Fault
from fairpull.terms.version import VERSION

REFUSED = 2
CANCELLED = 130

# Plain help: drawing it in colour would double the time it takes to appear.
app = typer.Typer(
    name="fairpull",
    cls=PlainGroup,
    help="Honest comparison of full-load pulls on an engine brake.",
    epilog="Engine testing can kill: carbon monoxide, fuel fire, burst parts. Local codes and licensed practice rule.",
    add_completion=False,
    rich_markup_mode=None,
    no_args_is_help=True,
    pretty_exceptions_enable=False,
)
ALONE = (read, compare, air, join, calibrate, inertia, demo)
ON_THE_BOOK = (take, watch, fitted, pulls, pull, mark, move, remark, attach, papers)
ANSWERS = (health, purpose, tune, running_in, past, results)
for command in (*ALONE, *ON_THE_BOOK, *ANSWERS):
    app.command(cls=PlainCommand)(command)
for name, group in (("book", book), ("sheets", sheets)):
    app.add_typer(group, name=name)


@app.callback(invoke_without_command=True)
def front(version: bool = typer.Option(False, "--version", help="Say the version and stop.")) -> None:
    """Honest comparison of full-load pulls on an engine brake."""
    if version:
        screen.say(f"fairpull {VERSION}")
        raise typer.Exit


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command.

    Args:
        argv: words after the program's name; None takes the process's own.

    Returns:
        0 done (perhaps with findings), 2 refused, 130 cancelled.
    """
    try:
        app(args=None if argv is None else list(argv), prog_name="fairpull")
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
