"""fairpull read: what a log file holds, and how each column was understood."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from fairpull.cli import options, screen


def read(
    files: Annotated[list[Path], typer.Argument(help="Log files.", metavar="FILE...")],
    format: options.Format = "",
    sheet: options.Sheet = "",
    by: options.By = "",
    column: options.Column = None,
    unit: options.Unit = None,
    channels: options.Channels = None,
    conditions: options.ConditionsFile = None,
    weather: options.Weather = "",
    displacement: options.Displacement = "",
    altitude: options.Altitude = "",
    date: options.Date = "",
    units: options.Units = "us",
    json: options.Json = False,
    values: Annotated[bool, typer.Option("--values", help="With --json: all samples too.")] = False,
) -> None:
    """Show how each column of a log was understood."""
    from fairpull.tasks.read_files import read_files

    shown = options.system(units)
    asked = options.reading(
        format=format,
        sheet=sheet,
        by=by,
        column=column,
        unit=unit,
        channels=channels,
        conditions=conditions,
        weather_words=weather,
        displacement=displacement,
        altitude=altitude,
        date=date,
    )
    with screen.Progress() as progress:
        recordings = read_files(files, progress, **asked)
    if json:
        from fairpull.show.json_parts import dumps
        from fairpull.show.json_reading import recordings_to_json

        screen.say(dumps(recordings_to_json(recordings, shown, values=values)))
    else:
        from fairpull.show.recording_text import recordings_text

        screen.say(recordings_text(recordings, shown, **screen.look()))
