"""All of the house's settings at once, as a form shows and changes them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from fairpull.tasks.bench.door import change_setting, check_setting, house_settings, known_setting
from fairpull.terms.errors import FairpullError, Fault

if TYPE_CHECKING:
    from fairpull.book import Book

LATER = "standard"
"""The setting that corrects every kept pull again: long work, done apart."""


@dataclass(frozen=True, slots=True)
class House:
    """What is set, and what could be.

    Attributes:
        values: setting -> value; "" where the data decide.
        builds, sessions: names of those in the book.
    """

    values: Mapping[str, str]
    builds: tuple[str, ...]
    sessions: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Changed:
    """What came of a form.

    Attributes:
        house: as it is now, where nothing was refused.
        faults: setting -> why its value cannot be; where there is any, nothing was changed.
        changed: settings that have another value now.
        standard: the standard that was asked for and is still to be made the house's; None where it is not another.
    """

    house: House
    faults: Mapping[str, tuple[Fault, ...]] = field(default_factory=dict)
    changed: tuple[str, ...] = ()
    standard: str | None = None


def house_of(kept: Book) -> House:
    """The house as it is.

    Args:
        kept: the book.

    Returns:
        Settings, and names to choose from.
    """
    builds, sessions = (tuple(one.name for one in kept.sheets(kind)) for kind in ("build", "session"))
    return House(house_settings(kept), builds, sessions)


def change_house(kept: Book, typed: Mapping[str, str]) -> Changed:
    """Change settings: all of them, or none where one cannot be. Another standard is only checked.

    Args:
        kept: the book.
        typed: setting -> value in the person's words; those that are not another are left alone.

    Returns:
        What came of it.

    Raises:
        UnknownName: no such setting.
    """
    before = house_of(kept)
    for key in typed:
        known_setting(key)
    wanted = {key: value.strip() for key, value in typed.items() if value.strip() != before.values[key]}
    faults = {key: found for key, value in wanted.items() if (found := _faults(kept, key, value))}
    if faults:
        return Changed(before, faults)
    now = {key: value for key, value in wanted.items() if key != LATER}
    for key, value in now.items():
        change_setting(kept, key, value)
    return Changed(house_of(kept) if now else before, {}, tuple(now), wanted.get(LATER))


def _faults(kept: Book, key: str, value: str) -> tuple[Fault, ...]:
    if not value.isprintable():
        return (Fault("setting-signs", key, repr(value), "write it without signs that cannot be printed"),)
    try:
        check_setting(kept, key, value)
    except FairpullError as error:
        return error.faults
    return ()
