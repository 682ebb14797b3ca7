"""docs/commands.md says what the commands say of themselves today."""

from __future__ import annotations

from tests.house.tree import PACKAGE
from tools import commands_page


def test_the_page_is_not_stale() -> None:
    assert commands_page.PAGE.read_text("utf-8") == commands_page.page(), "run 'make docs-write'"


def test_every_command_file_is_a_command() -> None:
    files = {path.stem for path in (PACKAGE / "cli" / "commands").glob("*.py")} - {"__init__"}
    assert set(commands_page.names()) == {name.replace("_", "-") for name in files}


def test_help_fits_80_columns() -> None:
    wide = [line for line in commands_page.page().splitlines() if len(line) > 80 and not line[0].isupper()]
    assert [line for line in wide if not line.startswith("<!--")] == []


def test_every_option_says_what_it_is_for() -> None:
    """An option's line in help carries words beside its name and kind."""
    bare = []
    for name in commands_page.calls():
        lines = commands_page.help_of(name).splitlines()
        for number, line in enumerate(lines):
            if line.startswith("  -") and len(line.split("  ")) < 3:
                below = lines[number + 1] if number + 1 < len(lines) else ""
                bare += [f"{name}: {line.strip()}"] if not below.startswith("      ") else []
    assert bare == []
