"""fairpull calibrate: the brake's torque line from hung weights, against the limits."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from fairpull.cli import options, screen


def calibrate(
    weights: Annotated[
        Path, typer.Argument(help="CSV: hung [lb-ft], read [lb-ft]; or mass [lb], arm [in], read [lb-ft].")
    ],
    latitude: Annotated[float | None, typer.Option(help="Of the place in degrees, for local gravity.")] = None,
    full_scale: Annotated[str, typer.Option(help='Torque the limits refer to, e.g. "500 lb-ft".')] = "",
    units: options.Units = "us",
    json: options.Json = False,
) -> None:
    """Check a dead-weight table against the limits."""
    from fairpull.tasks.weights_file import read_weights

    shown = options.system(units)
    calibration = read_weights(weights, latitude, full_scale)
    if json:
        from fairpull.show.calibration_text import calibration_to_json
        from fairpull.show.json_parts import dumps

        screen.say(dumps(calibration_to_json(calibration)))
    else:
        from fairpull.show.calibration_text import calibration_text

        screen.say(calibration_text(calibration, shown, **screen.look()))
