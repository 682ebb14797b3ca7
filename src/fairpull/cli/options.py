"""Options that several commands share, and how their words become values."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from fairpull.terms.errors import Fault, ValueRefused

if TYPE_CHECKING:
    from fairpull.terms.recording import Conditions

Groups = Annotated[
    list[str],
    typer.Argument(help="The reference first: a file, a folder or a pattern, or NAME= before it.", metavar="GROUP..."),
]
Logs = Annotated[list[Path] | None, typer.Argument(help="Log files, or with --list none.", metavar="FILE...")]
DaySheet = Annotated[
    Path | None, typer.Option("--list", help="Day sheet (CSV): file, build, session, set aside because, remark.")
]
Engines = Annotated[
    list[str] | None, typer.Option(help="engine.toml, or GROUP=engine.toml for unlike engines. Repeatable.")
]
Calibration = Annotated[
    list[str] | None,
    typer.Option(help="Dead-weight table (CSV) to apply to torque, or NAME=TABLE for one build or log. Repeatable."),
]
Format = Annotated[str, typer.Option("--format", help="Format of the files; found by itself otherwise.")]
Sheet = Annotated[str, typer.Option("--sheet", help="Sheet of a workbook.")]
By = Annotated[str, typer.Option("--by", help="Column that splits one long table into several curves.")]
Column = Annotated[
    list[str] | None,
    typer.Option("--column", help="COLUMN=CHANNEL: what a column is; an empty CHANNEL leaves it aside. Repeatable."),
]
Unit = Annotated[list[str] | None, typer.Option("--unit", help="COLUMN=UNIT: unit of a column. Repeatable.")]
Channels = Annotated[Path | None, typer.Option("--channels", help="channels.toml with your own column names.")]
ConditionsFile = Annotated[Path | None, typer.Option("--conditions", help="conditions.toml with weather by hand.")]
Weather = Annotated[
    str,
    typer.Option("--weather", help='Weather by hand: "PRESSURE TEMPERATURE HUMIDITY", e.g. "29.62inHg 68degF 56%".'),
]
Displacement = Annotated[str, typer.Option("--displacement", help="Swept volume, for BMEP columns, e.g. 1.991L.")]
Altitude = Annotated[str, typer.Option("--altitude", help="Height of the place, to catch a sea-level barometer.")]
Date = Annotated[str, typer.Option("--date", help="Day of the test, YYYY-MM-DD, where logs hold only a time of day.")]
Units = Annotated[str, typer.Option("--units", help="us or metric.")]
Book = Annotated[
    str, typer.Option("--book", help="Folder of the bench book; else the nearest one from the working folder upwards.")
]
Json = Annotated[bool, typer.Option("--json", help="Print JSON instead of text.")]

HouseUnits = Annotated[str, typer.Option("--units", help="us or metric; else what the book prefers.")]

SYSTEMS = ("us", "metric")
KEPT = ("pull", "engine", "part", "build", "session", "check", "question", "duty")


def pairs(option: str, words: Sequence[str] | None) -> dict[str, str]:
    """KEY=VALUE words of a repeatable option.

    Args:
        option: its name, for the refusal.
        words: as typed.

    Returns:
        Key to value.

    Raises:
        ValueRefused: a word without an equals sign.
    """
    faults = [
        Fault("no-equals", option, repr(word), "write it as NAME=VALUE") for word in words or () if "=" not in word
    ]
    if faults:
        raise ValueRefused(faults)
    return {key: value for key, _, value in (word.rpartition("=") for word in words or ())}


def about(word: str) -> tuple[str, str]:
    """What a photograph or a remark is about, from KIND:NAME.

    Args:
        word: such as "pull:cam-b-first" or "build:anvil-header"; a bare name means a pull.

    Returns:
        (kind, name).

    Raises:
        ValueRefused: a kind that the book does not keep.
    """
    kind, mark, name = word.partition(":")
    if not mark:
        return "pull", word
    if kind not in KEPT:
        raise ValueRefused(Fault("about-kind", "--about", repr(word), f"write KIND:NAME, one of: {', '.join(KEPT)}"))
    return kind, name


def house_system(units: str, settings: Mapping[str, str]) -> str:
    """The unit system named, or else the house's.

    Args:
        units: "us", "metric", or "" for the house's.
        settings: of the book.

    Returns:
        "us" or "metric".

    Raises:
        ValueRefused: any other word.
    """
    return system(units or settings.get("units", "") or "us")


def system(units: str) -> str:
    """The unit system named.

    Args:
        units: "us" or "metric".

    Returns:
        The same word.

    Raises:
        ValueRefused: any other word.
    """
    if units not in SYSTEMS:
        raise ValueRefused(Fault("units", "--units", repr(units), "use us or metric"))
    return units


def weather(words: str) -> Conditions:
    """Conditions from "PRESSURE TEMPERATURE HUMIDITY".

    Args:
        words: values with units, separated by blanks; the humidity a percentage, or a pressure for vapour pressure.

    Returns:
        The conditions; empty for no words.

    Raises:
        ValueRefused, UnitRefused: a word that fits none of the three, or a quantity given twice.
    """
    from fairpull.tasks.weather_words import weather_from_words

    return weather_from_words(words, "--weather")


def reading(
    *,
    format: str = "",
    sheet: str = "",
    by: str = "",
    column: Sequence[str] | None = None,
    unit: Sequence[str] | None = None,
    channels: Path | None = None,
    conditions: Path | None = None,
    weather_words: str = "",
    displacement: str = "",
    altitude: str = "",
    date: str = "",
) -> dict[str, Any]:
    """The fields of ``ReadOptions`` that the options name.

    Args:
        format, sheet, by, column, unit, channels, conditions, weather_words, displacement, altitude, date: as typed.

    Returns:
        Field name to value, SI.

    Raises:
        FairpullError: words that cannot be values.
    """
    from fairpull.terms.units import parse

    return {
        "format": format,
        "sheet": sheet,
        "by": by,
        "columns": pairs("--column", column),
        "units": pairs("--unit", unit),
        "channels_file": channels,
        "conditions_file": conditions,
        "given": weather(weather_words),
        "displacement": parse(displacement, "m3") if displacement else None,
        "altitude": parse(altitude, "m") if altitude else None,
        "date": date,
    }
