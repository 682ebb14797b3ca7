"""Which builds hold a sheet, and how many counted pulls stand behind it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from fairpull.tasks.bench.comparable import comparable
from fairpull.terms.bench import COUNTS, Sheet
from fairpull.terms.sheet_view import UsedBy

if TYPE_CHECKING:
    from fairpull.book import Book


def counts_of(kept: Book) -> Mapping[str, int]:
    """Counted pulls of every build that has any.

    Args:
        kept: the book.

    Returns:
        Build -> number.
    """
    return {one.name: one.pulls for one in comparable(kept)}


def uses(kept: Book, kind: str) -> Mapping[str, tuple[UsedBy, ...]]:
    """Builds that hold each sheet of a kind.

    Args:
        kept: the book.
        kind: of sheet.

    Returns:
        Name -> builds; a build holds itself.
    """
    counts = counts_of(kept)
    found: dict[str, list[UsedBy]] = {}
    for sheet in kept.sheets("build"):
        one = UsedBy(sheet.name, counts.get(sheet.name, 0))
        for name in dict.fromkeys(_held(sheet, kind)):
            found.setdefault(name, []).append(one)
    return {name: tuple(builds) for name, builds in found.items()}


def _held(build: Sheet, kind: str) -> list[str]:
    if kind == "build":
        return [build.name]
    if kind == "engine":
        named = build.body.get("engine")
        return [named] if isinstance(named, str) else []
    parts = build.body.get("parts")
    if kind != "part" or not isinstance(parts, Mapping):
        return []
    return [one for one in parts.values() if isinstance(one, str)]


def peak_speed(kept: Book, builds: tuple[UsedBy, ...]) -> tuple[str, float] | None:
    """Where the most power was made with these builds.

    Args:
        kept: the book.
        builds: that are looked at.

    Returns:
        "peak power of BUILD" and its speed [rpm]; None where no counted pull tells.
    """
    names = tuple(one.build for one in builds if one.pulls)
    if not names:
        return None
    lines = kept.pulls(builds=names, states=(COUNTS,))
    told = [one for one in lines if one.summary.get("peak_power") and one.summary.get("peak_power_rpm")]
    if not told:
        return None
    best = max(told, key=lambda one: one.summary["peak_power"])
    return f"peak power of {best.build}", float(best.summary["peak_power_rpm"])
