"""Findings as a person reads them: faults and warnings in full and first, notes of one code folded to one entry."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable
from dataclasses import dataclass

from fairpull.show.facts import words
from fairpull.show.facts.words import Merged
from fairpull.terms.findings import Finding, Severity

_FILE = re.compile(r"\.\w{2,7}$")


@dataclass(frozen=True, slots=True)
class Entry:
    """What is said under one code.

    Attributes:
        severity: note, warning or fault.
        code: as on the findings.
        where: where, or in how many pulls, files or places.
        said: each text with its places, each said once.
        remedy: what to do about it; of the first, where several differ.
    """

    severity: Severity
    code: str
    where: str
    said: tuple[tuple[str, str], ...]
    remedy: str

    @property
    def first(self) -> str:
        """The first text, and how many more there are."""
        more = len(self.said) - 1
        text = self.said[0][1]
        return text if more == 0 else f"{text.rstrip('.')} (and {more} more alike)"


def _where(places: Collection[str], pulls: Collection[str]) -> str:
    if len(places) <= 2 and sum(map(len, places)) < 50:
        return ", ".join(places)
    if all(place in pulls for place in places):
        return f"{len(places)} pulls"
    if all(_FILE.search(place) for place in places):
        return f"{len(places)} files"
    return f"{len(places)} places"


def _folded(code: str, alike: list[Merged], pulls: Collection[str]) -> Entry:
    places = list(dict.fromkeys(place for one in alike for place in one.places))
    said = tuple((words.listed(one.places), one.text) for one in alike)
    return Entry(alike[0].severity, code, _where(places, pulls), said, alike[0].remedy)


def entries(findings: Iterable[Finding], pulls: Collection[str] = ()) -> tuple[Entry, ...]:
    """Findings as entries, heaviest first.

    Args:
        findings: in any order; those that say the same are said once.
        pulls: names of pulls, so that an entry can say that it is about pulls.

    Returns:
        One entry per fault and warning with all its places; one per code of notes.
    """
    heavy: list[Entry] = []
    notes: dict[str, list[Merged]] = {}
    for one in words.merged(findings):
        if one.severity is Severity.NOTE:
            notes.setdefault(one.code, []).append(one)
        else:
            where = words.listed(one.places)
            heavy.append(Entry(one.severity, one.code, where, ((where, one.text),), one.remedy))
    return (*heavy, *(_folded(code, alike, pulls) for code, alike in notes.items()))
