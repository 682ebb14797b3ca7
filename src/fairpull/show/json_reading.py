"""Recordings, pulls and airs as JSON documents with stable schemas (docs/json.md)."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from fairpull.show import json_parts as parts
from fairpull.show.json_parts import Json
from fairpull.terms import units
from fairpull.terms.air_overview import AirOverview
from fairpull.terms.arrays import FloatArray
from fairpull.terms.pull import Pull
from fairpull.terms.recording import Recording

SCHEMA_VERSION = 1


def _channel(values: FloatArray, unit: str | None, *, full: bool) -> Json:
    known = values[np.isfinite(values)]
    described: Json = {
        "unit": unit,
        "count": len(values),
        "missing": len(values) - len(known),
        "lowest": parts.bare(float(known.min())) if len(known) else None,
        "highest": parts.bare(float(known.max())) if len(known) else None,
    }
    if full:
        described["values"] = parts.numbers(values)
    return described


def _recording(recording: Recording, *, full: bool) -> Json:
    return {
        "name": recording.name,
        "origin": parts.origin(recording.origin),
        "kind": recording.kind,
        "started_at": parts.bare(recording.started_at),
        "channels": {
            name: _channel(values, units.house_unit_of(name), full=full) for name, values in recording.channels.items()
        },
        "extra": {name: _channel(values, None, full=full) for name, values in recording.extra.items()},
        "mapped": [
            {
                "column": one.column,
                "unit": one.unit,
                "channel": one.channel,
                "how": one.how,
                "reason": one.reason,
            }
            for one in recording.mapped
        ],
        "given": parts.conditions(recording.given),
        "choices": parts.texts(recording.choices),
        "findings": parts.findings(recording.findings),
    }


def recordings_to_json(recordings: Sequence[Recording], system: str = "us", *, values: bool = False) -> Json:
    """Recordings as a JSON document; SI numbers.

    Args:
        recordings: what a file, or several, held.
        system: "us" or "metric", handed on under ``shown``.
        values: with every sample of every channel; without, only count, missing, lowest and highest.

    Returns:
        Plain dicts and lists.
    """
    return {
        "schema": "fairpull/recordings",
        "schema_version": SCHEMA_VERSION,
        "shown": parts.shown(system),
        "recordings": [_recording(one, full=values) for one in recordings],
    }


def _pull(pull: Pull, *, full: bool) -> Json:
    return {
        "name": pull.name,
        "origin": parts.origin(pull.origin),
        "kind": pull.kind,
        "first_row": int(pull.first_row),
        "last_row": int(pull.last_row),
        "started_at": parts.bare(pull.started_at),
        "sweep_rate": parts.number(pull.sweep_rate, "rpm/s"),
        "valid_to": None if pull.valid_to is None else parts.number(pull.valid_to, "rpm"),
        "channels": {
            name: _channel(values, units.house_unit_of(name), full=full) for name, values in pull.channels.items()
        },
        "given": parts.conditions(pull.given),
        "choices": parts.texts(pull.choices),
        "findings": parts.findings(pull.findings),
    }


def pulls_to_json(pulls: Sequence[Pull], system: str = "us", *, values: bool = False) -> Json:
    """Pulls as a JSON document; SI numbers.

    Args:
        pulls: as found in one or several recordings.
        system: "us" or "metric", handed on under ``shown``.
        values: with every sample of every channel.

    Returns:
        Plain dicts and lists.
    """
    return {
        "schema": "fairpull/pulls",
        "schema_version": SCHEMA_VERSION,
        "shown": parts.shown(system),
        "pulls": [_pull(one, full=values) for one in pulls],
    }


def air_to_json(overview: AirOverview, system: str = "us") -> Json:
    """One air with every correction factor as a JSON document; SI numbers.

    Args:
        overview: properties and corrections.
        system: "us" or "metric", handed on under ``shown``.

    Returns:
        Plain dicts and lists.
    """
    return {
        "schema": "fairpull/air",
        "schema_version": SCHEMA_VERSION,
        "shown": parts.shown(system),
        "air": parts.air(overview.air),
        "dry_pressure": parts.number(overview.dry_pressure, "Pa"),
        "vapour_pressure": parts.number(overview.vapour_pressure, "Pa"),
        "relative_humidity": parts.number(overview.relative_humidity, "1"),
        "dew_point": parts.number(overview.dew_point, "K"),
        "humidity_ratio": parts.number(overview.humidity_ratio, "1"),
        "density": parts.number(overview.density, "kg/m3"),
        "density_altitude": parts.number(overview.density_altitude, "m"),
        "pressure_altitude": parts.number(overview.pressure_altitude, "m"),
        "corrections": [parts.correction(one) for one in overview.corrections],
        "left_out": parts.texts(overview.left_out),
        "findings": parts.findings(overview.findings),
    }
