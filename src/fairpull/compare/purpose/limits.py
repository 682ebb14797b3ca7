"""Vetoes: limits over measured channels and sheet facts; what was not measured is not passed."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from fairpull.terms.build import Build, Fact
from fairpull.terms.errors import FairpullError
from fairpull.terms.pull import Curve
from fairpull.terms.purpose import Veto
from fairpull.terms.units import from_house, parse, shown_unit

ENOUGH = 0.9  # share of the duty's nodes at which a channel must have been measured


@dataclass(frozen=True, slots=True)
class Held:
    """A build held against a veto: broken, readable, or why it is not known; both empty where it was kept."""

    broken: str = ""
    unknown: str = ""


def hold(veto: Veto, curves: Sequence[Curve], build: Build | None, span: tuple[float, float]) -> Held:
    """Hold one build against one veto.

    Channels of its pulls are asked first (numbered ones all together, greatest and least over all pulls within the
    duty's speeds), then the build's facts and settings, then those of its parts and its engine.

    Args:
        veto: the limit, in house units.
        curves: the build's pulls.
        build: its sheet, if there is one.
        span: (low, high) engine speed of the duty [rpm].

    Returns:
        Broken, not known, or kept.
    """
    measured, partly = _measured(veto.name, curves, span)
    values = measured or _declared(veto, build)
    if not values:
        why = "measured over part of the duty's speeds only" if partly else "nothing measured or declared"
        return Held(unknown=f"{_label(veto)}: {why}")
    if veto.most is not None and max(values) > veto.most:
        return Held(broken=f"{_label(veto)} {_shown(max(values), veto)}, at most {_shown(veto.most, veto)} allowed")
    if veto.least is not None and min(values) < veto.least:
        return Held(broken=f"{_label(veto)} {_shown(min(values), veto)}, at least {_shown(veto.least, veto)} wanted")
    return Held()


def _key(name: str) -> str:
    """A name as channels are named, so that "rod ratio" and "rod_ratio" are one."""
    return re.sub(r"[^a-z0-9]+", "_", name.lower()).strip("_")


def _label(veto: Veto) -> str:
    return veto.name.replace("_", " ")


def _shown(value: float, veto: Veto) -> str:
    try:
        symbol = shown_unit(veto.name, "metric")
        value = from_house(value, symbol, veto.unit) if veto.unit != "1" else value
    except FairpullError:
        symbol = veto.unit
    words = "" if symbol == "1" else f" {symbol}"
    return f"{value:.4g}{words}"


def _measured(name: str, curves: Sequence[Curve], span: tuple[float, float]) -> tuple[list[float], bool]:
    """Least and greatest over all pulls; whether it was there but not over enough of the span."""
    pattern = re.compile(rf"{_key(name)}(_\d+)?")
    values: list[float] = []
    partly = False
    for curve in curves:
        inside = (curve.rpm >= span[0]) & (curve.rpm <= span[1]) & np.isfinite(curve.torque)
        for channel, row in curve.channels.items():
            if not pattern.fullmatch(channel):
                continue
            known = row[inside & np.isfinite(row)]
            if inside.any() and len(known) >= ENOUGH * inside.sum():
                values += [float(known.min()), float(known.max())]
            else:
                partly = True
    return ([], True) if partly else (values, False)


def _declared(veto: Veto, build: Build | None) -> list[float]:
    if build is None:
        return []
    for found in (
        _facts(veto, build.facts),
        _entry(veto, build.settings),
        *(_facts(veto, part.facts) or _entry(veto, part.data) for part in build.parts.values()),
        _parsed(getattr(build.engine, _key(veto.name), None), veto.unit),
    ):
        if found:
            return found
    return []


def _facts(veto: Veto, facts: Iterable[Fact]) -> list[float]:
    return [
        float(fact.value)
        for fact in facts
        if _key(fact.name) == _key(veto.name) and not isinstance(fact.value, str) and (fact.unit or "1") == veto.unit
    ]


def _entry(veto: Veto, entries: Mapping[str, object]) -> list[float]:
    return next((_parsed(value, veto.unit) for name, value in entries.items() if _key(name) == _key(veto.name)), [])


def _parsed(value: object, unit: str) -> list[float]:
    """A number in the house unit, or a text with its unit; anything else is nothing."""
    if isinstance(value, str):
        try:
            return [parse(value, unit)]
        except FairpullError:
            return []
    return [float(value)] if isinstance(value, (int, float)) and not isinstance(value, bool) else []
