"""How an original was read and cleaned, as plain data, so that it can be read again the same way."""

from __future__ import annotations

import shutil
import tempfile
from collections.abc import Mapping
from dataclasses import asdict, fields, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

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
