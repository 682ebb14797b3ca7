"""What a book has to offer to somebody who asks it: duties, loops, engines, kinds of change; how its results stand."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from fairpull.terms.bench import StoredResult


@dataclass(frozen=True, slots=True)
class DutyOffer:
    """A duty that can be chosen: name, what it is for, and whether it is a published cycle that wants a rating.

    intermediate: whether it wants a second rating, at the intermediate speed.
    """

    name: str
    text: str
    cycle: bool = False
    intermediate: bool = False


@dataclass(frozen=True, slots=True)
class BuildOffer:
    """A build with pulls that count: its name, its engine, how many."""

    name: str
    engine: str
    pulls: int


@dataclass(frozen=True, slots=True)
class LoopOffer:
    """Builds that differ in nothing but one setting: ``kind`` and ``by`` as ``tune`` takes them, and what differs."""

    kind: str
    by: str
    builds: tuple[str, ...]
    said: str


@dataclass(frozen=True, slots=True)
class ChangeOffer:
    """A kind of change that builds of the book were made of.

    pairs: comparisons in which nothing else was changed on purpose; others: left out, since more was changed; pulls:
    that the comparisons rest on, each counted once a comparison.
    """

    kind: str
    pairs: int
    others: int
    pulls: int


@dataclass(frozen=True, slots=True)
class ResultView:
    """A kept result.

    Attributes:
        result: as stored; document: its JSON, read.
        changed: what decides it and is not as it was, each a sentence; empty where it would be computed from the same.
    """

    result: StoredResult
    document: Mapping[str, Any]
    changed: tuple[str, ...]
