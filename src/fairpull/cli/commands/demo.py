"""fairpull demo: raw logs of an invented shop, taken into a book, judged and compared."""

from __future__ import annotations

from pathlib import Path
from textwrap import fill
from typing import Annotated

import typer

from fairpull.cli import options, screen


def demo(
    folder: Annotated[Path, typer.Argument(help="Where the raw logs and the book go.")] = Path("demo-day"),
    seed: Annotated[int, typer.Option(help="Of the logs; the same seed gives the same bytes.")] = 1,
    report: Annotated[bool, typer.Option(help="Write the HTML report too.")] = True,
    units: options.Units = "us",
) -> None:
    """Make two days of an invented shop, keep them in a book, and judge them."""
    from fairpull.show.day_text import day_text
    from fairpull.tasks.demo_day import run_demo

    shown = options.system(units)
    with screen.Progress() as progress:
        result = run_demo(folder, seed, progress)
    screen.say(day_text(result.pulls, result.verdicts, result.scores, shown, **screen.look()))
    lines = [
        f"raw logs: {result.folder}",
        f"book:     {result.book}",
        f"pages:    fairpull serve --book {result.book}",
    ]
    if report:
        from fairpull.show.report import write_report

        path = write_report(result.header.comparison, folder / "header-against-log.html", shown, result.header)
        lines.append(f"report:   {path}")
    said = f"verdict:  {result.header.comparison.differences[0].verdict.sentence}"
    screen.say("\n".join([*lines, fill(said, screen.look()["width"], subsequent_indent=10 * " ")]))
