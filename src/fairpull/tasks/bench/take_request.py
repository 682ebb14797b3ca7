"""How a taking in is asked for by typed words."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from fairpull.logs import ReadOptions
from fairpull.pulls import PullOptions
from fairpull.tasks.bench.take import TakeOptions
from fairpull.tasks.weights_file import read_weights
from fairpull.terms.errors import FairpullError, Fault, ValueRefused
from fairpull.terms.units import parse


def take_options(
    reading: Mapping[str, Any],
    *,
    session: str = "",
    inertia: str = "",
    calibration: Path | None = None,
    lags: Mapping[str, str] | None = None,
) -> TakeOptions:
    """Options of taking in from typed words.

    Args:
        reading: fields of ``ReadOptions``.
        session: name of the session's sheet.
        inertia: e.g. "0.20kg.m2"; "" for the engine sheet's.
        calibration: dead-weight table.
        lags: channel -> delay, e.g. "0.3s".

    Returns:
        The options.

    Raises:
        ValueRefused: words that cannot be values; all faults at once.
    """
    faults: list[Fault] = []
    delays: dict[str, float] = {}
    for channel, text in (lags or {}).items():
        value = _value(f"--lag {channel}", text, "s", faults)
        if value is not None:
            delays[channel] = value
    turning = _value("--inertia", inertia, "kg m2", faults) if inertia else None
    line = None
    if calibration is not None:
        try:
            line = read_weights(calibration)
        except FairpullError as error:
            faults += error.faults
    if faults:
        raise ValueRefused(faults)
    clean = PullOptions(inertia=turning, calibration=line, lags=delays)
    return TakeOptions(session=session, read=ReadOptions(**reading), clean=clean)


def _value(option: str, text: str, unit: str, faults: list[Fault]) -> float | None:
    try:
        return parse(text, unit)
    except FairpullError as error:
        faults += [Fault(one.code, option, one.seen, one.remedy) for one in error.faults]
        return None
