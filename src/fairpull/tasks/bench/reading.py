"""How an original was read and cleaned, as plain data, so that it can be read again the same way."""

from __future__ import annotations

import shutil
import tempfile
from collections.abc import Mapping, Sequence
from dataclasses import asdict, fields, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import numpy as np

from fairpull import logs, pulls
from fairpull.logs import ReadOptions
from fairpull.pulls import PullOptions
from fairpull.terms.recording import Conditions, Recording

if TYPE_CHECKING:
    from fairpull.book import Book
    from fairpull.terms.bench import KeptPull
    from fairpull.terms.calibration import Calibration
    from fairpull.terms.pull import Pull

LEFT = ("channels_file", "conditions_file", "given")  # what they said is kept; where they lay is not
BY_PERSON = ("person", "option")
HUMIDITY = ("vapour_pressure", "dew_point", "wet_bulb", "relative_humidity")
WORDS = {"given": "weather", "channels_file": "channels.toml", "conditions_file": "conditions.toml"}
Options = TypeVar("Options", ReadOptions, PullOptions)


def as_data(read: ReadOptions, clean: PullOptions, recording: Recording) -> dict[str, Any]:
    """What was asked of reading and cleaning, over the defaults.

    Args:
        read, clean: the options.
        recording: what came out; columns that a person named are kept by column.

    Returns:
        Plain data: text, numbers, lists and tables.
    """
    told: dict[str, Any] = {
        one.name: value
        for one in fields(read)
        if one.name not in LEFT and (value := getattr(read, one.name)) != getattr(ReadOptions(), one.name)
    }
    named = {column.column: column.channel or "" for column in recording.mapped if column.how in BY_PERSON}
    units = {column.column: column.unit for column in recording.mapped if column.how in BY_PERSON and column.unit}
    told["columns"] = {**named, **read.columns}
    told["units"] = {**units, **read.units}
    told = {name: dict(value) if isinstance(value, Mapping) else value for name, value in told.items() if value != {}}
    asked = {
        one.name: value
        for one in fields(clean)
        if one.name != "calibration" and (value := getattr(clean, one.name)) != getattr(PullOptions(), one.name)
    }
    asked = {name: dict(value) if isinstance(value, Mapping) else value for name, value in asked.items()}
    data: dict[str, Any] = {"read": told, "clean": asked, "given": _given(recording.given)}
    if clean.calibration is not None:
        data["dead_weights"] = _weights(clean.calibration)
    return {name: value for name, value in data.items() if value}


def _given(given: Conditions) -> dict[str, float]:
    return {name: value for name, value in asdict(given).items() if value is not None}


def _weights(line: Calibration) -> dict[str, Any]:
    return {
        "reference": line.reference.tolist(),
        "indicated": line.indicated.tolist(),
        "full_scale": line.full_scale,
    }


def from_data(data: Mapping[str, Any]) -> tuple[ReadOptions, PullOptions]:
    """The options again.

    Args:
        data: as ``as_data`` gave them.

    Returns:
        Options of reading and of cleaning.
    """
    read = replace(ReadOptions(**data.get("read", {})), given=Conditions(**data.get("given", {})))
    clean = PullOptions(**data.get("clean", {}))
    weights = data.get("dead_weights")
    if weights:
        line = pulls.calibrate(
            np.array(weights["reference"]), np.array(weights["indicated"]), full_scale=weights["full_scale"]
        )
        clean = replace(clean, calibration=line)
    return read, clean


def read_filled(
    path: Path, read: ReadOptions, fallbacks: Sequence[tuple[Conditions, str]] = ()
) -> tuple[Recording, ...]:
    """Read a log, and fill in weather that neither it, nor a conditions.toml, nor an option tells.

    Args:
        path: the log.
        read: options of reading.
        fallbacks: weather with where it stands, best first.

    Returns:
        Its recordings; their choices say what was filled in from where.

    Raises:
        FairpullError: the log cannot be read.
    """
    found = logs.read(path, read)
    filled: dict[str, tuple[float, str]] = {}
    for weather, place in fallbacks:
        for name, value in _given(weather).items():
            known = {*filled, *(one for recording in found for one in _known(recording))}
            humid = name not in ("pressure", "temperature")
            if name not in known and not (humid and known & set(HUMIDITY)):
                filled[name] = (value, place)
    if not filled:
        return found
    given = replace(read.given, **{name: value for name, (value, _) in filled.items()})
    said = {f"given {name}": f"from {place}" for name, (_, place) in filled.items()}
    again = logs.read(path, replace(read, given=given))
    return tuple(replace(one, choices={**one.choices, **said}) for one in again)


def _known(recording: Recording) -> set[str]:
    """What a recording says of the air, by hand or logged."""
    logged = {"pressure": "barometer", "temperature": "inlet_temperature"}
    logged |= {name: name for name in HUMIDITY}
    channels = recording.channels
    found = {name for name, channel in logged.items() if channel in channels and np.isfinite(channels[channel]).any()}
    return found | set(_given(recording.given))


def over(
    base: tuple[ReadOptions, PullOptions], asked: tuple[ReadOptions, PullOptions]
) -> tuple[ReadOptions, PullOptions]:
    """Options with others laid over them: what was asked replaces what stood before, entry by entry.

    Args:
        base: how a log was read before.
        asked: what is asked now; what is at its default says nothing. Its weather stands alone.

    Returns:
        Options of reading and of cleaning.
    """
    return _over(base[0], asked[0]), _over(base[1], asked[1])


def _over(base: Options, asked: Options) -> Options:
    said: dict[str, Any] = {}
    for one in fields(asked):
        value = getattr(asked, one.name)
        if one.name == "given":
            said[one.name] = value
        elif isinstance(value, Mapping):
            said[one.name] = {**getattr(base, one.name), **value}
        elif value != getattr(type(asked)(), one.name):
            said[one.name] = value
    return replace(base, **said)


def read_again(kept: Book, pull: KeptPull) -> Pull:
    """Read a pull's original again, the way it was read when it was taken in.

    Args:
        kept: the book.
        pull: its line of the catalogue.

    Returns:
        The pull under its kept name.

    Raises:
        FairpullError: the original cannot be read that way any more.
    """
    read, clean = from_data(pull.reading)
    with tempfile.TemporaryDirectory() as folder:
        # formats may go by a file's ending, which the content hash does not have
        copy = Path(folder) / pull.original_name
        shutil.copyfile(kept.original(pull.original), copy)
        found = [one for recording in logs.read(copy, read) for one in pulls.find(recording, clean)]
    return replace(found[pull.piece], name=pull.name)


def changed(base: tuple[ReadOptions, PullOptions], asked: tuple[ReadOptions, PullOptions]) -> tuple[str, ...]:
    """What would be read otherwise than it was.

    Args:
        base: how a log was read before.
        asked: what is asked now; what is at its default says nothing.

    Returns:
        Names of options, in words.
    """
    found = []
    pairs: tuple[tuple[ReadOptions | PullOptions, ReadOptions | PullOptions], ...] = (
        (base[0], asked[0]),
        (base[1], asked[1]),
    )
    for before, now in pairs:
        for one in fields(now):
            value, old = getattr(now, one.name), getattr(before, one.name)
            if one.name == "given":
                differs = any(getattr(old, name) != number for name, number in _given(value).items())
            elif one.name == "calibration":
                differs = value is not None and (old is None or _weights(old) != _weights(value))
            elif isinstance(value, Mapping):
                differs = any(old.get(name) != word for name, word in value.items())
            else:
                differs = value not in (getattr(type(now)(), one.name), old)
            found += [WORDS.get(one.name, one.name.replace("_", " "))] if differs else []
    return tuple(found)
