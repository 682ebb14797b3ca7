"""fairpull join: the brake's log and the engine controller's log of one pull, on one clock."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from fairpull.cli import options, screen


def join(
    brake: Annotated[Path, typer.Argument(help="The brake's log; its clock is kept.")],
    other: Annotated[Path, typer.Argument(help="The other logger's log of the same pull.")],
    out: Annotated[Path | None, typer.Option(help="Write the joined log here, as Parquet.")] = None,
    column: options.Column = None,
    unit: options.Unit = None,
    channels: options.Channels = None,
    units: options.Units = "us",
    json: options.Json = False,
) -> None:
    """Join two logs of one pull by their speeds."""
    from fairpull.tasks.read_files import join_files, write_recording

    shown = options.system(units)
    joined = join_files(brake, other, **options.reading(column=column, unit=unit, channels=channels))
    if json:
        from fairpull.show.json_parts import dumps
        from fairpull.show.json_reading import recordings_to_json

        screen.say(dumps(recordings_to_json([joined], shown)))
    else:
        from fairpull.show.recording_text import recordings_text

        screen.say(recordings_text([joined], shown, **screen.look()))
    if out is not None:
        screen.tell(f"written: {write_recording(joined, out)}")
