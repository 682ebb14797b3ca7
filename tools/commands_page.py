"""Write docs/commands.md: what each command says of itself with ``--help``, under its own heading.

``python -m tools.commands_page`` writes the page, ``--check`` only says whether it is stale.
"""

from __future__ import annotations

import sys

from typer.models import CommandInfo
from typer.testing import CliRunner

from fairpull.cli.main import app
from tools.finding_codes import ROOT

PAGE = ROOT / "docs" / "commands.md"
WIDTH = {"COLUMNS": "80", "NO_COLOR": "1", "TERM": "dumb"}
INTRO = """\
# Commands

<!-- Made by `make docs-write` from the commands' own help. Do not edit by hand. -->

Every command ends with 0 when it did its work (perhaps with findings), and with 2 when it refused, with nothing half
written. What a finding or a refusal means stands in [findings.md](findings.md).
"""


def _named(command: CommandInfo) -> str:
    """The word that a command goes by."""
    return str(command.name or getattr(command.callback, "__name__", "")).replace("_", "-")


def names() -> list[str]:
    """The commands, in the order in which help lists them; groups by their own word."""
    return [*map(_named, app.registered_commands), *(str(group.name) for group in app.registered_groups)]


def calls() -> list[str]:
    """Every command as it is typed: those of a group with the group's word before them."""
    found = list(map(_named, app.registered_commands))
    for group in app.registered_groups:
        inner = group.typer_instance
        found += [f"{group.name} {_named(command)}" for command in inner.registered_commands] if inner else []
    return found


def help_of(name: str) -> str:
    """What one command says of itself, 80 columns wide.

    Args:
        name: as it is typed, e.g. "book check".

    Raises:
        RuntimeError: the command cannot say it.
    """
    done = CliRunner().invoke(app, [*name.split(), "--help"], prog_name="fairpull", env=WIDTH)
    if done.exit_code != 0:
        raise RuntimeError(f"fairpull {name} --help ended with {done.exit_code}")
    return "\n".join(line.rstrip() for line in done.output.strip().splitlines())


def page() -> str:
    """The whole page as Markdown."""
    parts = [f"## fairpull {name}\n\n```text\n{help_of(name)}\n```\n" for name in calls()]
    return "\n".join([INTRO, *parts])


def main(arguments: list[str]) -> int:
    """Write the page, or with ``--check`` compare it; the exit code says whether all is well."""
    fresh = page()
    if "--check" not in arguments:
        PAGE.write_text(fresh, "utf-8")
    elif not PAGE.exists() or PAGE.read_text("utf-8") != fresh:
        print("docs/commands.md is stale: run 'make docs-write'", file=sys.stderr)
        return 1
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
