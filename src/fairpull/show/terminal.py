"""Tables and sentences as terminal text that fits a width, with Rich (imported only when something is drawn)."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from fairpull.show.facts.table import Table
from fairpull.show.facts.words import plain

if TYPE_CHECKING:
    from rich.console import RenderableType

WIDTH = 80


def draw(parts: Iterable[RenderableType], *, width: int = WIDTH, colour: bool = False) -> str:
    """Finished text of Rich renderables, no line longer than ``width``, no trailing spaces.

    Args:
        parts: what to draw, top to bottom.
        width: columns of the terminal.
        colour: with ANSI styles; without, plain text.
    """
    from io import StringIO

    from rich.console import Console

    console = Console(
        file=StringIO(),
        width=width,
        force_terminal=colour,
        no_color=not colour,
        color_system="standard" if colour else None,
        legacy_windows=False,
        highlight=False,
        markup=False,
        emoji=False,
    )
    with console.capture() as captured:
        for part in parts:
            console.print(part)
    lines = "\n".join(line.rstrip() for line in captured.get().splitlines())
    return lines.lstrip("\n") + "\n"


def sentence(text: str, *, style: str = "", above: bool = False) -> RenderableType:
    """A paragraph of words, wrapped at the width; text from files is never read as markup.

    Args:
        text: the words.
        style: Rich style; empty: plain.
        above: with an empty line above.
    """
    from rich.text import Text

    return Text(f"\n{plain(text)}" if above else plain(text), style=style)


def heading(text: str) -> RenderableType:
    """A heading with an empty line above it."""
    from rich.text import Text

    return Text("\n" + plain(text), style="bold")


def table(given: Table, *, note: bool = True) -> tuple[RenderableType, ...]:
    """A table under its heading with its note beneath; cells fold instead of running over the edge."""
    from rich import box
    from rich.table import Table as RichTable
    from rich.text import Text

    parts: list[RenderableType] = [heading(given.title)]
    if given.rows:
        drawn = RichTable(box=box.SIMPLE_HEAD, padding=(0, 1, 0, 0), pad_edge=False, show_edge=False)
        two_rows = any(column.unit for column in given.columns)
        for column in given.columns:
            head = f"{plain(column.name)}\n{plain(column.unit)}" if two_rows else plain(column.name)
            words = [len(word) for row in given.rows for word in plain(row[len(drawn.columns)]).split()]
            drawn.add_column(
                Text(head, style="bold"),
                justify="right" if column.number else "left",
                no_wrap=False,
                overflow="fold",
                min_width=min(max(words, default=1), 12) if column.number else None,
            )
        for row in given.rows:
            drawn.add_row(*(Text(plain(cell)) for cell in row))
        parts.append(drawn)
    if note and given.note:
        parts.append(sentence(given.note, style="dim"))
    return tuple(parts)


def pairs(given: Table) -> tuple[RenderableType, ...]:
    """A table of two columns without its head: name, then value."""
    from rich.table import Table as RichTable
    from rich.text import Text

    parts: list[RenderableType] = [heading(given.title)]
    drawn = RichTable(box=None, padding=(0, 2, 0, 0), pad_edge=False, show_header=False)
    drawn.add_column(overflow="fold", max_width=26)
    drawn.add_column(overflow="fold")
    for name, value in given.rows:
        drawn.add_row(Text(plain(name), style="dim"), Text(plain(value)))
    if given.rows:
        parts.append(drawn)
    if given.note:
        parts.append(sentence(given.note, style="dim"))
    return tuple(parts)


def blocks(given: Table) -> tuple[RenderableType, ...]:
    """Rows too wordy for columns, one paragraph each: the findings."""
    from rich.padding import Padding
    from rich.text import Text

    parts: list[RenderableType] = [heading(given.title)]
    for severity, code, where, text, remedy in given.rows:
        style = {"fault": "bold red", "warning": "yellow"}.get(severity, "cyan")
        line = Text()
        line.append(f"{severity} ", style=style)
        line.append(f"{plain(code)} ", style="bold")
        line.append(plain(where), style="dim")
        parts.append(line)
        parts.append(Padding(Text(plain(text)), (0, 0, 0, 2)))
        parts.append(Padding(Text(f"-> {plain(remedy)}"), (0, 0, 0, 2)))
    if given.note:
        parts.append(sentence(given.note, style="dim"))
    return tuple(parts)
