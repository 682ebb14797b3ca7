"""The glossary of channels as a page shows it: both systems of units side by side, and a search in it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from fairpull.show import digits, scale
from fairpull.show.facts import words
from fairpull.terms.glossary import CHANNELS, Channel

BETTER = {"higher": "more is better", "lower": "less is better", "": "neither as such"}
SPELLINGS = 4  # that a row names; the search knows all
FIGURES = 3  # of a plausible range; it is a rough one


@dataclass(frozen=True, slots=True)
class Entry:
    """One channel as finished words.

    Attributes:
        name: as in tables, JSON and ``channels.toml``.
        about: what it is.
        us, metric: its unit in each system; "" for a bare number.
        us_range, metric_range: what an engine on a brake can show, with the unit.
        better: which direction is.
        logged_as: some of the names that it is known by.
        numbered: there may be one per cylinder, bank or meter: ``name_1``, ``name_2``.
    """

    name: str
    about: str
    us: str
    metric: str
    us_range: str
    metric_range: str
    better: str
    logged_as: str
    numbered: bool


def entries(search: str = "") -> tuple[Entry, ...]:
    """The channels of the glossary.

    Args:
        search: words, each of which must be in the name, in what it is, in a unit or in a spelling; "" gives all.

    Returns:
        In the glossary's order.
    """
    wanted = search.casefold().replace("_", " ").split()
    found = ((one, _entry(one)) for one in CHANNELS)
    return tuple(entry for one, entry in found if all(word in _said(one, entry) for word in wanted))


def names() -> tuple[str, ...]:
    """The names of all channels, in the glossary's order."""
    return tuple(one.name for one in CHANNELS)


def _said(one: Channel, entry: Entry) -> str:
    every: Sequence[str] = (one.name.replace("_", " "), one.about, entry.us, entry.metric, *one.spellings)
    return "\n".join(every).casefold()


def _entry(one: Channel) -> Entry:
    return Entry(
        name=one.name,
        about=one.about,
        us=scale.label(one.unit, "us", one.name),
        metric=scale.label(one.unit, "metric", one.name),
        us_range=_range(one, "us"),
        metric_range=_range(one, "metric"),
        better=BETTER[one.better],
        logged_as=words.listed(one.spellings, SPELLINGS),
        numbered=one.numbered,
    )


def _range(one: Channel, system: str) -> str:
    """The plausible range with its unit, both ends to the place of the larger one's third figure."""
    low, high = (scale.scalar(end, one.unit, system, one.name) for end in (one.low, one.high))
    decimals = FIGURES - 1 - math.floor(math.log10(max(abs(low), abs(high))))
    unit = scale.label(one.unit, system, one.name)
    return f"{digits.interval(low, high, decimals)} {unit}".strip()
