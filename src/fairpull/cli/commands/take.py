"""fairpull take: log files into the book, each pull judged on its way."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from fairpull.cli import options, screen


def take(
    files: Annotated[
        list[Path] | None, typer.Argument(help="Log files, or with --list none.", metavar="FILE...")
    ] = None,
    build: Annotated[str, typer.Option(help="What the engine ran with; else what is said to be fitted.")] = "",
    session: Annotated[str, typer.Option(help="Day on the brake; else the house's current one.")] = "",
    list_file: Annotated[
        Path | None, typer.Option("--list", help="Day sheet (CSV): file, build, session, set aside because.")
    ] = None,
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
    units: options.HouseUnits = "",
    book: options.Book = "",
) -> None:
    """Take log files into the book."""
    from fairpull.tasks.bench.door import the_book
    from fairpull.tasks.bench.take import take_files
    from fairpull.tasks.bench.take_request import take_options

    asked = take_options(
        options.reading(
            format=format,
            sheet=sheet,
            by=by,
            column=column,
            unit=unit,
            channels=channels,
            conditions=conditions,
            weather_words=weather,
            date=date,
        ),
        session=session,
        inertia=inertia,
        calibration=calibration,
        lags=options.pairs("--lag", lag),
    )
    with the_book(book) as kept, screen.Progress() as progress:
        shown = options.house_system(units, kept.settings())
        if list_file is not None:
            from fairpull.tasks.bench.day_sheet import take_day

            reports = take_day(kept, list_file, asked, progress)
        else:
            reports = (take_files(kept, files or [], build, asked, progress),)
    from fairpull.show.bench_text import taken_text

    for report in reports:
        screen.say(taken_text(report.build, report.kept, report.already, report.findings, shown, **screen.look()))
