"""fairpull take: log files into the book, each pull judged on its way."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from fairpull.cli import options, screen


def take(
    files: options.Logs = None,
    build: Annotated[str, typer.Option(help="What the engine ran with; else what is said to be fitted.")] = "",
    session: Annotated[str, typer.Option(help="Day on the brake; else the house's current one.")] = "",
    list_file: options.DaySheet = None,
    inertia: Annotated[str, typer.Option(help="Rotating inertia, e.g. 0.20kg.m2; else the engine sheet's.")] = "",
    calibration: Annotated[Path | None, typer.Option(help="Dead-weight table (CSV) to apply to torque.")] = None,
    lag: Annotated[list[str] | None, typer.Option(help="CHANNEL=TIME a channel comes late, e.g. lambda=0.3s.")] = None,
    format: options.Format = "",
    sheet: options.Sheet = "",
    by: options.By = "",
    column: options.Column = None,
    unit: options.Unit = None,
    channels: options.Channels = None,
    conditions: options.ConditionsFile = None,
    weather: options.Weather = "",
    date: options.Date = "",
    again: Annotated[bool, typer.Option("--again", help="Read kept logs again with these options.")] = False,
    reason: Annotated[str, typer.Option(help="Why they are read again.")] = "",
    units: options.HouseUnits = "",
    book: options.Book = "",
) -> None:
    """Take log files into the book."""
    from fairpull.show.bench_text import taken_text
    from fairpull.tasks.bench.day_sheet import take_named
    from fairpull.tasks.bench.door import the_book
    from fairpull.tasks.bench.retake import take_again
    from fairpull.tasks.bench.take_request import take_options

    read = options.reading(
        format=format,
        sheet=sheet,
        by=by,
        column=column,
        unit=unit,
        channels=channels,
        conditions=conditions,
        weather_words=weather,
        date=date,
    )
    lags = options.pairs("--lag", lag)
    asked = take_options(read, session=session, inertia=inertia, calibration=calibration, lags=lags)
    with the_book(book) as kept, screen.Progress() as progress:
        shown = options.house_system(units, kept.settings())
        if again:
            reports = take_again(kept, files or (), reason, asked, sheet=list_file, build=build, progress=progress)
        else:
            reports = take_named(kept, files or (), list_file, build, asked, progress)
    look = screen.look()
    for report in reports:
        screen.say(taken_text(report.build, report.kept, report.already, report.findings, shown, again=again, **look))
