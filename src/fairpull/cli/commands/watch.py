"""fairpull watch: a folder's new logs are taken in and judged as they come."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from fairpull.cli import options, screen


def watch(
    folder: Annotated[Path, typer.Argument(help="Folder that the logger writes into.")],
    build: Annotated[str, typer.Option(help="What is fitted now; from then on, fairpull fitted NAME switches.")] = "",
    session: Annotated[str, typer.Option(help="Day on the brake; else the house's current one.")] = "",
    reference: Annotated[str, typer.Option(help="Build to judge against; else what the build's sheet names.")] = "",
    quiet: Annotated[float, typer.Option(help="Seconds a file must have stood still.")] = 3.0,
    weather: Annotated[str, typer.Option(help="Weather by hand for logs that have none.")] = "",
    files: Annotated[int, typer.Option(help="Stop after so many files; 0: never.")] = 0,
    units: options.HouseUnits = "",
    book: options.Book = "",
) -> None:
    """Take new logs in as they come, and say the verdict before the engine has cooled."""
    from fairpull.show.arrival_text import arrival_text, fitted_text, watching_text
    from fairpull.tasks.bench.door import change_setting, the_book
    from fairpull.tasks.bench.take import TakeOptions
    from fairpull.tasks.bench.watch import Watch
    from fairpull.tasks.bench.watch import watch as arrivals

    asked = TakeOptions(session=session, weather=options.weather(weather))
    with the_book(book) as kept:
        shown = options.house_system(units, kept.settings())
        if build:
            change_setting(kept, "fitted", build)
        fitted = kept.settings().get("fitted", "")
    under = Watch(folder, reference=reference, options=asked, quiet=quiet)
    screen.say(watching_text(str(folder), fitted, **screen.look()))
    try:
        for count, arrival in enumerate(arrivals(lambda: the_book(book), under), start=1):
            report = arrival.report
            if report is not None and report.build != fitted:
                screen.say(fitted_text(report.build, fitted, **screen.look()))
                fitted = report.build
            told = arrival_text(
                arrival.path.name,
                () if report is None else report.kept,
                arrival.comparison,
                why_not=arrival.why_not,
                look=arrival.look,
                findings=() if report is None else report.findings,
                system=shown,
                **screen.look(),
            )
            screen.say(told)
            if count == files:
                break
    except KeyboardInterrupt:
        screen.tell("watch ended")
