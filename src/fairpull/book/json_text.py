"""Canonical JSON: one text for one value, so that texts can be compared and hashed.

Keys are sorted, separators fixed, numbers written by ``repr``. What TOML holds and JSON does not (dates, times) stands
as ``{"$date": "2026-05-01"}``; numbers that are not finite are refused, or stand as ``{"$number": "nan"}``.
"""

from __future__ import annotations

import json
import math
from collections.abc import Callable, Mapping
from datetime import date, datetime, time
from typing import Any

import numpy as np

from fairpull.terms.errors import BookRefused, Fault

READERS: dict[str, Callable[[str], Any]] = {
    "$number": float,
    "$date": date.fromisoformat,
    "$time": time.fromisoformat,
    "$datetime": datetime.fromisoformat,
}


def dumps(value: Any, *, where: str, finite: bool = True) -> str:
    """A plain value as canonical JSON.

    Args:
        value: texts, numbers, booleans, None, dates, times, and lists, tuples and mappings of these.
        where: what it belongs to, for refusals.
        finite: refuse numbers that are not finite; else they are marked.

    Returns:
        The text.

    Raises:
        BookRefused: something in it cannot be kept; all faults at once.
    """
    faults: list[Fault] = []
    plain = _plain(value, where, finite, faults)
    if faults:
        raise BookRefused(faults)
    return json.dumps(plain, sort_keys=True, separators=(",", ":"), ensure_ascii=False, allow_nan=False)


def loads(text: str) -> Any:
    """The value of a canonical JSON text.

    Args:
        text: as ``dumps`` wrote it.

    Returns:
        The value; tuples come back as lists.
    """
    return json.loads(text, object_hook=_marked if '{"$' in text else None)


def _marked(found: dict[str, Any]) -> Any:
    if len(found) == 1:
        ((key, value),) = found.items()
        if key in READERS:
            return READERS[key](value)
    return found


def _plain(value: Any, where: str, finite: bool, faults: list[Fault]) -> Any:
    if isinstance(value, np.generic):
        value = value.item()
    if value is None or isinstance(value, bool | int):
        return value
    if isinstance(value, str):
        return _text(value, where, faults)
    if isinstance(value, float):
        return _number(value, where, finite, faults)
    if isinstance(value, Mapping):
        return {_key(key, where, faults): _plain(one, f"{where}.{key}", finite, faults) for key, one in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(one, f"{where}[{at}]", finite, faults) for at, one in enumerate(value)]
    return _clock(value, where, faults)


def _text(value: str, where: str, faults: list[Fault]) -> str:
    if "\0" in value or any("\ud800" <= letter <= "\udfff" for letter in value):
        faults.append(Fault("not-text", where, repr(value)[:60], "write plain text without control characters"))
        return ""
    return str(value)


def _number(value: float, where: str, finite: bool, faults: list[Fault]) -> Any:
    if math.isfinite(value):
        return float(value)
    if finite:
        faults.append(Fault("number-not-finite", where, str(value), "write a number, or leave the entry out"))
    return {"$number": repr(float(value))}


def _key(key: Any, where: str, faults: list[Fault]) -> str:
    if not isinstance(key, str) or key in READERS:
        remedy = "give entries names of plain text that do not begin with $"
        faults.append(Fault("entry-name", where, repr(key), remedy))
        return ""
    return _text(key, where, faults)


def _clock(value: Any, where: str, faults: list[Fault]) -> Any:
    for kind, mark in ((datetime, "$datetime"), (date, "$date"), (time, "$time")):
        if isinstance(value, kind):
            return {mark: value.isoformat()}
    remedy = "keep texts, numbers, dates, lists and tables: what a TOML file can hold"
    faults.append(Fault("not-plain-data", where, type(value).__name__, remedy))
    return None
