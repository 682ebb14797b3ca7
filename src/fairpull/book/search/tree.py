"""What a search asks for, as plain records: the only thing that the search text turns into."""

from __future__ import annotations

from dataclasses import dataclass

ANY = "any"
PICKS = (ANY, "least", "mean", "most")


@dataclass(frozen=True, slots=True)
class Bound:
    """What a number is held against, house unit.

    Attributes:
        comparison: ">", ">=", "<", "<=" or "=".
        low, high: the value twice; for "=" the span of numbers that round to what was written.
    """

    comparison: str
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class Range:
    """Rows that count: speed above ``past``, below ``below`` [rpm], or from ``first`` to ``last``, both included.

    Only one pair is in use; the other holds None.
    """

    past: float | None = None
    below: float | None = None
    first: float | None = None
    last: float | None = None


@dataclass(frozen=True, slots=True)
class NumberIs:
    """A channel or a summary figure lies where the bound says.

    Attributes:
        names: what it may be called in the figures table: a summary figure's one name, or a channel's and its numbered
            ones.
        pick: one of PICKS; "any": at any moment of the pull.
        bound: what it is held against.
        range: rows that count; None: all of the pull.
    """

    names: tuple[str, ...]
    pick: str
    bound: Bound
    range: Range | None = None


@dataclass(frozen=True, slots=True)
class WordIs:
    """A word about the pull.

    Attributes:
        about: "name", "engine", "build", "part", "session", "state", "kind", "change", "sign" or "text".
        value: the word looked for.
        part_of: True where the word may be any part of the name ("~"), False for the whole name ("=").
        kind: for "part": only parts of this kind, "" for all.
        column: where the value stands in the text, from 1, for refusals that only the book can give.
    """

    about: str
    value: str
    part_of: bool = False
    kind: str = ""
    column: int = 1


@dataclass(frozen=True, slots=True)
class DateIs:
    """A day, a month or a year: ``start`` to before ``end`` [s since 1970].

    about: "date" (of the first row) or "taken" (into the book).
    """

    about: str
    comparison: str
    start: float
    end: float


@dataclass(frozen=True, slots=True)
class Every:
    """All parts hold."""

    parts: tuple[Condition, ...]


@dataclass(frozen=True, slots=True)
class Either:
    """At least one part holds."""

    parts: tuple[Condition, ...]


@dataclass(frozen=True, slots=True)
class Unless:
    """The part does not hold, be it for want of the channel."""

    part: Condition


Condition = NumberIs | WordIs | DateIs | Every | Either | Unless


@dataclass(frozen=True, slots=True)
class Where:
    """A search, understood.

    Attributes:
        text: as the person wrote it.
        condition: what it asks for.
    """

    text: str
    condition: Condition
