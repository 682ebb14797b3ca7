"""Records as plain JSON values: SI, every number with its unit, what is not a number as null."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from json import dumps as _dumps
from typing import Any

from fairpull.terms import units
from fairpull.terms.arrays import FloatArray
from fairpull.terms.comparison import Estimate
from fairpull.terms.correction import Correction
from fairpull.terms.findings import Finding
from fairpull.terms.pull import Air
from fairpull.terms.recording import Conditions, Origin

Json = dict[str, Any]


def bare(value: float | None) -> float | None:
    """A float, or None where it is unknown or not finite."""
    if value is None:
        return None
    plain = float(value)
    return plain if math.isfinite(plain) else None


def numbers(values: FloatArray) -> list[float | None]:
    """An array, shape (n,), as a list with None where it is not finite."""
    return [value if math.isfinite(value) else None for value in values.tolist()]


def number(value: float | None, unit: str) -> Json:
    """A number with its unit."""
    return {"value": bare(value), "unit": unit}


def estimate(given: Estimate) -> Json:
    """A number with its 95 % interval, unit, and how it was made."""
    return {
        "value": bare(given.value),
        "low": bare(given.low),
        "high": bare(given.high),
        "unit": given.unit,
        "at_least": bool(given.at_least),
        "how": given.how,
    }


def band(mean: FloatArray, low: FloatArray, high: FloatArray, unit: str) -> Json:
    """A curve with its simultaneous band, shapes (g,)."""
    return {"unit": unit, "values": numbers(mean), "low": numbers(low), "high": numbers(high)}


def array(values: FloatArray, unit: str) -> Json:
    """A curve without a band, shape (n,)."""
    return {"unit": unit, "values": numbers(values)}


def stretch(low: float, high: float, unit: str) -> Json:
    """A range of the axis."""
    return {"low": bare(low), "high": bare(high), "unit": unit}


def finding(given: Finding) -> Json:
    """A finding with its remedy."""
    return {
        "code": given.code,
        "severity": str(given.severity),
        "where": given.where,
        "text": given.text,
        "remedy": given.remedy,
    }


def findings(given: Iterable[Finding]) -> list[Json]:
    """Findings in their order."""
    return [finding(one) for one in given]


def origin(given: Origin) -> Json:
    """Where a recording came from."""
    return {
        "path": given.path,
        "sha256": given.sha256,
        "format": given.format,
        "reason": given.reason,
        "detail": given.detail,
    }


def air(given: Air | None) -> Json | None:
    """Air, or null where it is unknown."""
    if given is None:
        return None
    return {
        "pressure": number(given.pressure, "Pa"),
        "temperature": number(given.temperature, "K"),
        "vapour_pressure": number(given.vapour_pressure, "Pa"),
    }


def conditions(given: Conditions) -> Json:
    """Conditions given by hand; null where nobody said."""
    return {
        "pressure": number(given.pressure, "Pa"),
        "temperature": number(given.temperature, "K"),
        "relative_humidity": number(given.relative_humidity, "1"),
        "dew_point": number(given.dew_point, "K"),
        "wet_bulb": number(given.wet_bulb, "K"),
        "vapour_pressure": number(given.vapour_pressure, "Pa"),
    }


def correction(given: Correction) -> Json:
    """One standard's factor with its findings."""
    return {
        "standard": given.standard,
        "factor": number(given.factor, "1"),
        "dry_pressure": number(given.dry_pressure, "Pa"),
        "findings": findings(given.findings),
    }


def shown(system: str) -> Json:
    """Which units the person chose for the other faces; the numbers in JSON stay SI."""
    wanted = ("torque", "power", "barometer", "temperature")
    return {"system": system, "units": {name: units.shown_unit(name, system) for name in wanted}}


def texts(given: Mapping[str, str]) -> dict[str, str]:
    """A mapping of readable texts."""
    return {str(name): str(value) for name, value in given.items()}


def dumps(document: Json) -> str:
    """The document as one line of text, strict JSON: never NaN or Infinity."""
    return _dumps(document, allow_nan=False, ensure_ascii=False, separators=(",", ":"))
