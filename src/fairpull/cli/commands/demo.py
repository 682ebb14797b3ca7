"""fairpull demo: raw logs of an invented shop, read, cleaned, corrected, compared."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from fairpull.cli import options, screen


def demo(
    folder: Annotated[Path, typer.Argument(help="Where the raw logs go.")] = Path("demo-day"),
    seed: Annotated[int, typer.Option(help="Of the logs; the same seed gives the same bytes.")] = 1,
    report: Annotated[bool, typer.Option(help="Write the HTML report too.")] = True,
    units: options.Units = "us",
) -> None:
    """Make an invented shop's logs and judge them."""
    from fairpull.show.comparison_text import comparison_text
    from fairpull.tasks.demo_day import run_demo

    shown = options.system(units)
    result = run_demo(folder, seed)
    screen.say(comparison_text(result.comparison, shown, **screen.look()))
    screen.say(f"raw logs: {result.folder}")
    if report:
        from fairpull.show.report import write_report

        path = write_report(result.comparison, folder / "header-against-log.html", shown)
        screen.say(f"report:   {path}\nverdict:  {result.comparison.differences[0].verdict.sentence}")
