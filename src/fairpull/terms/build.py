"""Parts and builds: what an engine ran with, and how two builds differ."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from fairpull.terms.engine import Engine

PART_KINDS = (
    "camshaft",
    "head",
    "intake",
    "carburettor",
    "throttle",
    "jets",
    "injectors",
    "exhaust",
    "compressor",
    "turbine",
    "pulley",
    "cooler",
    "fuel",
    "ignition",
    "springs",
    "piston",
    "accessories",
    "other",
)


@dataclass(frozen=True, slots=True)
class Fact:
    """One value of a spec sheet, entered or computed.

    name: trade's term; value in ``unit`` (house unit), or a word; how: formula and source of a computed one, "" for an
    entered one.
    """

    name: str
    value: float | str
    unit: str = ""
    how: str = ""


@dataclass(frozen=True, slots=True)
class Part:
    """A part with its data sheet.

    Attributes:
        name: what the shop calls it.
        kind: one of PART_KINDS.
        body: the sheet as it was written.
        data: entered values in house units: numbers, words, and tables as tuples of rows.
        facts: computed values, each with its formula and source.
    """

    name: str
    kind: str
    body: Mapping[str, Any]
    data: Mapping[str, Any] = field(default_factory=dict)
    facts: tuple[Fact, ...] = ()


@dataclass(frozen=True, slots=True)
class Build:
    """An engine with the parts and settings it ran with.

    Attributes:
        name: what the shop calls it.
        engine: the machine; its fuel and induction are those of the build where a part or the sheet says so.
        engine_name: name of the engine's sheet.
        parts: kind -> part.
        settings: name -> entered value as text with its unit, e.g. "spark" -> "31 deg".
        reference: build that it is to be judged against; "" for none.
        tuned_from: build with the same parts as bolted on, of which this one is the re-tuned form; "" for none.
        gear: output shaft reduction, engine rpm / output rpm; 1 where none. gear_efficiency: fraction, 1 where none.
        hours: engine hours at the start [h]; None where unknown.
        body: the sheet as it was written.
        facts: computed values.
        accessories: declared accessories that were fitted.
    """

    name: str
    engine: Engine
    engine_name: str
    parts: Mapping[str, Part] = field(default_factory=dict)
    settings: Mapping[str, str] = field(default_factory=dict)
    reference: str = ""
    gear: float = 1.0
    gear_efficiency: float = 1.0
    hours: float | None = None
    body: Mapping[str, Any] = field(default_factory=dict)
    facts: tuple[Fact, ...] = ()
    accessories: tuple[str, ...] = ()
    tuned_from: str = ""


@dataclass(frozen=True, slots=True)
class Change:
    """One thing that differs between two builds.

    kind: "engine", a kind of part, or "setting NAME"; before, after: readable values, "" where absent; details: which
    entries of the sheets differ, readable, e.g. "lift 0.440 in -> 0.480 in".
    """

    kind: str
    before: str
    after: str
    details: tuple[str, ...] = ()
