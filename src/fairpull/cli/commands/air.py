"""fairpull air: density, density altitude, and every correction factor side by side."""

from __future__ import annotations

from typing import Annotated

import typer

from fairpull.cli import options, screen


def air(
    pressure: Annotated[str, typer.Option(help="Station barometer with its unit, e.g. 29.62inHg.")],
    temperature: Annotated[str, typer.Option(help="Air at the inlet, e.g. 68degF.")],
    humidity: Annotated[str, typer.Option(help="Relative humidity, e.g. 56%.")] = "",
    dew_point: Annotated[str, typer.Option(help="Dew point instead, e.g. 52degF.")] = "",
    wet_bulb: Annotated[str, typer.Option(help="Wet bulb instead, e.g. 59degF.")] = "",
    vapour_pressure: Annotated[str, typer.Option(help="Vapour pressure instead, e.g. 0.4inHg.")] = "",
    induction: Annotated[
        str, typer.Option(help="natural, belt, turbo or turbo-held (held absolute pressure).")
    ] = "natural",
    ignition: Annotated[str, typer.Option(help="spark or compression.")] = "spark",
    units: options.Units = "us",
    json: options.Json = False,
) -> None:
    """Density and every correction factor of an air."""
    from fairpull.tasks.air_report import air_overview

    shown = options.system(units)
    overview = air_overview(pressure, temperature, humidity, dew_point, wet_bulb, vapour_pressure, induction, ignition)
    if json:
        from fairpull.show.json_parts import dumps
        from fairpull.show.json_reading import air_to_json

        screen.say(dumps(air_to_json(overview, shown)))
    else:
        from fairpull.show.air_text import air_text

        screen.say(air_text(overview, shown, **screen.look()))
