"""Values of a search: numbers with units, speeds, dates, words."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from datetime import date

from fairpull.book.search.tokens import place
from fairpull.book.search.tree import Bound, DateIs, Range, WordIs
from fairpull.book.search.words import CHANGES, DATES, KINDS, Named, digits_step, plain
from fairpull.terms.bench import STATES
from fairpull.terms.change_words import BOOST, SETTING, kind_of_change, setting_key
from fairpull.terms.errors import FairpullError, Fault, SearchRefused
from fairpull.terms.health import SIGN_KINDS
from fairpull.terms.units import parse, reference, to_house

__all__ = ["DATES", "Value", "bound", "date_is", "is_word", "range_of", "word_is"]

DAY = 86400.0
EPOCH = date(1970, 1, 1).toordinal()
CLOSED = {"state": STATES, "kind": KINDS, "sign": SIGN_KINDS}
SHORT = {"state": {"aside": "set aside"}}


@dataclass(frozen=True, slots=True)
class Value:
    """A value as written: its text, whether it stood in quotes, where it starts (from 0)."""

    text: str
    quoted: bool
    start: int


def is_word(value: Value, comparison: str, house_unit: str) -> bool:
    """Whether a value can only be a word, where its phrase names both a channel and a kind of part ("fuel").

    Args:
        value: as written.
        comparison: before it.
        house_unit: of the channel.

    Returns:
        True for quoted values, for "~", and for what stands behind "=" and is no number with a unit of the channel.
    """
    if value.quoted or comparison == "~":
        return True
    if comparison != "=":
        return False
    try:
        parse(value.text, house_unit)
    except FairpullError:
        return True
    return False


def number(value: Value, house_unit: str, held_as: str = "") -> float:
    """A number with its unit.

    Args:
        value: as written.
        house_unit: of what it is held against.
        held_as: "gauge" or "absolute" where a pressure is held so; "" where that does not matter.

    Returns:
        The number [house_unit].

    Raises:
        FairpullError: not a number with a unit of that quantity, or larger than any number.
    """
    read = parse(value.text, house_unit)
    if not math.isfinite(read):
        raise SearchRefused(Fault("search-number", place(value.start), f"{value.text} is beyond numbers", "write less"))
    said = reference(_unit(value.text)) if held_as else ""
    if said and said != held_as:
        seen = f"{value.text} is {said}, and the channel holds {held_as} pressure"
        remedy = f"write the {held_as} pressure, or ask for the channel that holds {said} pressure"
        raise SearchRefused(Fault("search-reference", place(value.start), seen, remedy))
    return read


def _unit(text: str) -> str:
    """The unit behind a number."""
    matched = re.fullmatch(r"\s*[-+]?[\d.,' ]*(?:[eE][-+]?\d+)?\s*(.*?)\s*", text, re.DOTALL)
    return matched[1] if matched else ""


def bound(comparison: str, value: Value, house_unit: str, held_as: str = "") -> Bound:
    """What a number is held against.

    "=" accepts what rounds to the digits written: 150 hp means 149.5 to 150.5 hp.

    Args:
        comparison: ">", ">=", "<", "<=" or "=".
        value: as written.
        house_unit: of what it is held against.
        held_as: as for ``number``.

    Returns:
        The bound, house unit.

    Raises:
        FairpullError: as ``number``.
    """
    read = number(value, house_unit, held_as)
    if comparison != "=":
        return Bound(comparison, read, read)
    unit = _unit(value.text) or house_unit
    half = abs(to_house(1.0, unit, house_unit) - to_house(0.0, unit, house_unit)) * digits_step(value.text) / 2.0
    return Bound("=", read - half, read + half)


def range_of(word: str, speeds: tuple[Value, ...]) -> Range:
    """A range of engine speeds.

    Args:
        word: "past", "below" or "between".
        speeds: one, or two for "between".

    Returns:
        The range [rpm].

    Raises:
        FairpullError: not a speed, or the second of two below the first.
    """
    read = [_speed(speed) for speed in speeds]
    if word == "past":
        return Range(past=read[0])
    if word == "below":
        return Range(below=read[0])
    first, last = read
    if last < first:
        seen = f"between {first:g} and {last:g} rpm"
        raise SearchRefused(Fault("search-range", place(speeds[0].start), seen, "write the lower speed first"))
    return Range(first=first, last=last)


def _speed(value: Value) -> float:
    try:
        return number(value, "rpm")
    except SearchRefused:
        raise
    except FairpullError as error:
        raise SearchRefused(
            [Fault(one.code, place(value.start), one.seen, one.remedy) for one in error.faults]
        ) from error


def date_is(about: str, comparison: str, value: Value) -> DateIs:
    """A day, month or year.

    Args:
        about: "date" or "taken".
        comparison: ">", ">=", "<", "<=" or "=".
        value: 2026-05-23, 2026-05 or 2026.

    Returns:
        The record.

    Raises:
        SearchRefused: not a date.
    """
    matched = re.fullmatch(r"(\d{4})(?:-(\d{2}))?(?:-(\d{2}))?", value.text)
    try:
        if not matched:
            raise ValueError(value.text)
        year, month, day = (int(part) if part else 0 for part in matched.groups())
        first = date(year, month or 1, day or 1)
    except ValueError as error:
        remedy = "write a day as 2026-05-23, a month as 2026-05, a year as 2026"
        fault = Fault("search-date", place(value.start), f'"{value.text[:40]}" is not a date', remedy)
        raise SearchRefused(fault) from error
    if day:
        days = 1
    elif month:
        days = 31 if month == 12 else date(year, month + 1, 1).toordinal() - first.toordinal()
    else:
        days = date(year, 12, 31).toordinal() - first.toordinal() + 1
    start = (first.toordinal() - EPOCH) * DAY
    return DateIs(about, comparison, start, start + days * DAY)


def word_is(known: Named, comparison: str, value: Value) -> WordIs:
    """A word about the pull.

    Args:
        known: what the phrase names.
        comparison: "=" or "~".
        value: as written.

    Returns:
        The record; words of a closed list (states, kinds of sign ...) as the list writes them.

    Raises:
        SearchRefused: empty, several words without quotes, or not in the closed list.
    """
    about = known.about
    text = value.text.strip()
    accepted = CLOSED.get(about)
    if not text:
        raise SearchRefused(Fault("search-word", place(value.start), "an empty word", "write what to look for"))
    if about == "change":
        return WordIs(about, _kind_of_change(text), False, "", value.start + 1)
    if accepted is not None:
        text = SHORT.get(about, {}).get(text.casefold(), text)
        text = _listed(about, text, accepted, value.start)
        return WordIs(about, text, False, "", value.start + 1)
    if not value.quoted and len(text.split()) > 1:
        remedy = f'write it in quotes: "{text[:60]}"; comparisons are joined by and, or'
        raise SearchRefused(Fault("search-word", place(value.start), f"several words: {text[:60]}", remedy))
    return WordIs(about, text, comparison == "~" or about == "text", known.part_kind, value.start + 1)


def _kind_of_change(text: str) -> str:
    """A kind of part, "engine", or "setting NAME": whether a sheet has such a setting, only the book can tell."""
    listed = next((word for word in CHANGES if plain(word) == plain(text)), "")
    kind = listed or kind_of_change(text)
    return kind if kind and kind != BOOST else SETTING + setting_key(text)


def _listed(about: str, text: str, accepted: tuple[str, ...], start: int) -> str:
    import difflib

    for word in accepted:
        if plain(word) == plain(text):
            return word
    close = difflib.get_close_matches(text.casefold()[:40], accepted, n=2, cutoff=0.5)
    hint = f"near it: {', '.join(close)}; " if close else ""
    fault = Fault(
        "search-word", place(start), f'{about} "{text[:40]}" is not known', f"{hint}accepted: {', '.join(accepted)}"
    )
    raise SearchRefused(fault)
