"""Tables and sentences as terminal text that fits a width, with Rich (imported only when something is drawn)."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from fairpull.show import columns as fit
from fairpull.show.facts.remarks import Entry
from fairpull.show.facts.table import Column, Table
from fairpull.show.facts.words import plain

if TYPE_CHECKING:
    from rich.console import Console, ConsoleOptions, RenderableType, RenderResult
    from rich.text import Text

WIDTH = 80
NAME_WIDTH = 26
_WEIGHTS = {"fault": "bold red", "warning": "yellow"}


def draw(parts: Iterable[RenderableType], *, width: int = WIDTH, colour: bool = False) -> str:
    """Finished text of renderables, no line longer than ``width``, no trailing spaces.

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


def _line() -> Text:
    from rich.text import Text

    return Text(no_wrap=True, overflow="ignore", end="")


@dataclass(frozen=True, slots=True)
class Paragraph:
    """Words wrapped at the width, after an indent; ``lead`` runs in before them in a style of its own."""

    text: str
    style: str = ""
    indent: int = 0
    hang: int = 0
    lead: tuple[tuple[str, str], ...] = ()

    def __rich_console__(self, console: Console, options: ConsoleOptions) -> RenderResult:
        """Lines for the width that there is; text from files is never read as markup."""
        lead = "".join(plain(text) for text, _ in self.lead)
        room = max(options.max_width - self.indent, 2 * self.hang, 8)
        first, *rest = fit.wrap(lead + plain(self.text), room, self.hang)
        pad = " " * self.indent
        drawn = _line()
        drawn.append("\n".join([pad + first, *(f"{pad}{' ' * self.hang}{one}" for one in rest)]))
        drawn.stylize(self.style, len(lead))
        at = self.indent
        for text, style in self.lead:
            drawn.stylize(style, at, at + len(plain(text)))
            at += len(plain(text))
        drawn.append("\n")
        yield drawn


def sentence(text: str, *, style: str = "", above: bool = False) -> RenderableType:
    """A paragraph of words, wrapped at the width; text from files is never read as markup.

    Args:
        text: the words.
        style: Rich style; empty: plain.
        above: with an empty line above.
    """
    from rich.console import Group

    words = Paragraph(text, style)
    return Group("", words) if above else words


def heading(text: str) -> RenderableType:
    """A heading with an empty line above it."""
    return sentence(text, style="bold", above=True)


@dataclass(frozen=True, slots=True)
class Grid:
    """A table without lines between rows; cells wrap instead of running over the edge."""

    columns: tuple[Column, ...]
    rows: tuple[tuple[str, ...], ...]

    def _heads(self, kept: Sequence[int]) -> list[str]:
        two_rows = any(column.unit for column in self.columns)
        heads = [self.columns[n] for n in kept]
        return [f"{plain(one.name)}\n{plain(one.unit)}" if two_rows else plain(one.name) for one in heads]

    def _least_head(self, n: int) -> int:
        """Width below which a heading would be broken in a word, or in its unit."""
        column = self.columns[n]
        return max(fit.longest_piece(plain(column.name)), fit.natural(plain(column.unit)))

    def _layout(self, cells: list[list[str]], room: int) -> tuple[list[int], list[int], int]:
        """Which columns are kept, their widths, and the gap between them."""
        kept = list(range(len(self.columns)))
        spare = [n for n in kept if self.columns[n].spare]
        while True:
            body = [max((fit.natural(row[n]) for row in cells), default=0) for n in kept]
            rows = [max(self._least_head(n), one) for n, one in zip(kept, body, strict=True)]
            full = [max(fit.natural(head), one) for head, one in zip(self._heads(kept), rows, strict=True)]
            for gap in (2,) if spare else (2, 1):
                if sum(rows) + gap * (len(kept) - 1) <= room:
                    return kept, fit.shares(full, rows, room - gap * (len(kept) - 1)), gap
            if not spare:
                break
            kept.remove(spare.pop())
        gap = 1 if 2 * sum(self.columns[n].number for n in kept) > len(kept) else 2
        least = [self._least(n, one, cells) for n, one in zip(kept, rows, strict=True)]
        return kept, fit.shares(rows, least, room - gap * (len(kept) - 1)), gap

    def _least(self, n: int, wanted: int, cells: list[list[str]]) -> int:
        if self.columns[n].number:
            return wanted
        return max(self._least_head(n), *(fit.longest_piece(row[n]) for row in cells))

    def __rich_console__(self, console: Console, options: ConsoleOptions) -> RenderResult:
        """Head, rule and rows for the width that there is."""
        cells = [[plain(cell) for cell in row] for row in self.rows]
        kept, widths, gap = self._layout(cells, options.max_width)
        numbers = [self.columns[n].number for n in kept]
        drawn = _line()
        drawn.append("\n".join(_lines(self._heads(kept), widths, numbers, gap, foot=True)) + "\n", style="bold")
        drawn.append("\u2500" * (sum(widths) + gap * (len(kept) - 1)) + "\n")
        for row in cells:
            drawn.append("\n".join(_lines([row[n] for n in kept], widths, numbers, gap)) + "\n")
        yield drawn


def _lines(
    cells: Sequence[str], widths: Sequence[int], numbers: Sequence[bool], gap: int, *, foot: bool = False
) -> list[str]:
    """One row as lines; ``foot``: short cells stand at its foot, as headings do."""
    wrapped = [fit.wrap(cell, width) for cell, width in zip(cells, widths, strict=True)]
    height = max((len(one) for one in wrapped), default=1)
    padded = [[""] * (height - len(one)) + one if foot else one + [""] * (height - len(one)) for one in wrapped]
    return [
        (" " * gap).join(
            part[n].rjust(width) if number else part[n].ljust(width)
            for part, width, number in zip(padded, widths, numbers, strict=True)
        )
        for n in range(height)
    ]


def table(given: Table, *, note: bool = True) -> tuple[RenderableType, ...]:
    """A table under its heading with its note beneath."""
    parts: list[RenderableType] = [heading(given.title)]
    if given.rows:
        parts.append(Grid(given.columns, given.rows))
    if note and given.note:
        parts.append(sentence(given.note, style="dim"))
    return tuple(parts)


@dataclass(frozen=True, slots=True)
class Pairs:
    """Names and values side by side."""

    rows: tuple[tuple[str, str], ...]

    def __rich_console__(self, console: Console, options: ConsoleOptions) -> RenderResult:
        """Rows for the width that there is."""
        rows = [(plain(name), plain(value)) for name, value in self.rows]
        first = min(max(fit.natural(name) for name, _ in rows), NAME_WIDTH)
        widths = (first, max(options.max_width - first - 2, 8))
        drawn = _line()
        for row in rows:
            for line in _lines(row, widths, (False, False), 2):
                drawn.append(line[:first], style="dim")
                drawn.append(f"{line[first:]}\n")
        yield drawn


def pairs(given: Table) -> tuple[RenderableType, ...]:
    """A table of two columns without its head: name, then value."""
    parts: list[RenderableType] = [heading(given.title)]
    if given.rows:
        parts.append(Pairs(tuple((name, value) for name, value in given.rows)))
    if given.note:
        parts.append(sentence(given.note, style="dim"))
    return tuple(parts)


def listing(given: Table) -> tuple[RenderableType, ...]:
    """A table of two columns as ``name: value``, one paragraph each: the most words on the fewest lines."""
    parts: list[RenderableType] = [heading(given.title)]
    parts.extend(Paragraph(value, hang=2, lead=((f"{name}: ", "dim"),)) for name, value in given.rows)
    if given.note:
        parts.append(sentence(given.note, style="dim"))
    return tuple(parts)


def blocks(entries: Sequence[Entry]) -> tuple[RenderableType, ...]:
    """Findings, one paragraph each with its remedy."""
    parts: list[RenderableType] = [heading("Findings")]
    for one in entries:
        weight = one.severity.value
        lead = ((f"{weight} ", _WEIGHTS.get(weight, "cyan")), (f"{one.code} ", "bold"))
        parts.append(Paragraph(one.where, style="dim", hang=2, lead=lead))
        parts.append(Paragraph(one.first, indent=2))
        parts.append(Paragraph(f"-> {one.remedy}", indent=2))
    if not entries:
        parts.append(sentence("None.", style="dim"))
    return tuple(parts)
