"""Two sheets of one kind beside each other: entries and computed values, and which of them differ."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import TYPE_CHECKING, Any

from fairpull import engine
from fairpull.tasks.bench.builds import Shelf
from fairpull.tasks.bench.sheet_computed import facts_of_engine
from fairpull.tasks.bench.sheet_fields import in_order
from fairpull.terms.build import PART_KINDS, Fact
from fairpull.terms.errors import FairpullError, Fault
from fairpull.terms.sheet_view import Beside, Pair

if TYPE_CHECKING:
    from fairpull.book import Book
    from fairpull.terms.bench import Sheet
    from fairpull.terms.build import Change

COMPUTED = "computed"
SAME = 1e-9  # relative
Entries = Mapping[tuple[str, str], "str | Fact"]


def beside(
    kept: Book, kind: str, names: tuple[str, str], versions: tuple[int | None, int | None] = (None, None)
) -> Beside:
    """Two sheets beside each other, or two versions of one.

    Args:
        kept: the book.
        kind: of both.
        names: of the sheet on the left, and of the one that is looked at.
        versions: of each; None for the newest.

    Returns:
        All entries and computed values of both, in the order of the sheets.

    Raises:
        UnknownName: no such kind, name or version.
    """
    sheets = [kept.sheet(kind, name, version) for name, version in zip(names, versions, strict=True)]
    faults: list[Fault] = []
    sides = [_side(kept, sheet, faults) for sheet in sheets]
    one, other = sides
    pairs = [
        Pair(key[0], key[1], one.get(key, ""), other.get(key, ""), _same(one.get(key, ""), other.get(key, "")))
        for key in _merged(list(one), list(other))
    ]
    changed = _changes(kept, sheets) if kind == "build" and not faults else ()
    numbers = (sheets[0].version, sheets[1].version)
    return Beside(kind, names, numbers, tuple(pairs), changed, tuple(dict.fromkeys(faults)))


def _changes(kept: Book, sheets: Sequence[Sheet]) -> tuple[Change, ...]:
    first, second = (Shelf(kept, [sheet]).build_of(sheet) for sheet in sheets)
    return engine.build_changes(first, second)


def _merged(one: Sequence[tuple[str, str]], other: Sequence[tuple[str, str]]) -> list[tuple[str, str]]:
    """Both sides' keys, group by group, the left side's order first."""
    groups = dict.fromkeys(group for group, _ in (*one, *other) if group != COMPUTED and not group.endswith(COMPUTED))
    late = dict.fromkeys(group for group, _ in (*one, *other) if group.endswith(COMPUTED))
    keys = dict.fromkeys((*one, *other))
    return [key for group in (*groups, *late) for key in keys if key[0] == group]


def _side(kept: Book, sheet: Sheet, faults: list[Fault]) -> Entries:
    """All entries of a sheet and what follows from them, by group and name."""
    found: dict[tuple[str, str], str | Fact] = {}
    part = str(sheet.body.get("kind", "")) if sheet.kind == "part" else ""
    for path, value in flat(in_order(sheet.body, sheet.kind, part)):
        group, name = _place(sheet.kind, path)
        if group:
            found[group, name] = value
    try:
        found |= _followed(kept, sheet)
    except FairpullError as error:
        faults += error.faults
    return found


def _place(kind: str, path: tuple[str, ...]) -> tuple[str, str]:
    if kind == "build" and path[0] == "parts":
        return "parts", " ".join(path[1:])
    if kind == "build" and path[0] == "settings":
        return "settings", " ".join(path[1:])
    return kind, " ".join(path).replace("_", " ")


def _followed(kept: Book, sheet: Sheet) -> dict[tuple[str, str], str | Fact]:
    shelf = Shelf(kept, [sheet])
    if sheet.kind == "engine":
        return {(COMPUTED, one.name): one for one in facts_of_engine(kept, shelf, sheet)}
    if sheet.kind == "part":
        return {(COMPUTED, one.name): one for one in shelf.part(sheet.name).facts}
    if sheet.kind != "build":
        return {}
    build = shelf.build_of(sheet)
    found: dict[tuple[str, str], str | Fact] = {}
    for path, text in flat(shelf.sheet("engine", build.engine_name).body):
        found["engine's sheet", " ".join(path).replace("_", " ")] = text
    for kind in PART_KINDS:
        part = build.parts.get(kind)
        if part is not None:
            for path, text in flat(in_order(part.body, "part", kind)):
                if path != ("kind",):
                    found[kind, " ".join(path).replace("_", " ")] = text
            found |= {(f"{kind}, {COMPUTED}", one.name): one for one in part.facts}
    return found | {(COMPUTED, one.name): one for one in build.facts}


def flat(body: Mapping[str, Any], path: tuple[str, ...] = ()) -> Iterator[tuple[tuple[str, ...], str]]:
    """Entries of a sheet by their path, as text.

    Args:
        body: the sheet, or a table in it.
        path: of the table.

    Yields:
        Path and text; a list of rows gives one entry for each row.
    """
    for key, value in body.items():
        here = (*path, str(key))
        if isinstance(value, Mapping):
            yield from flat(value, here)
        elif isinstance(value, list | tuple) and value and all(isinstance(one, Mapping) for one in value):
            for n, row in enumerate(value, start=1):
                yield from flat(row, (*here, str(n)))
        elif isinstance(value, list | tuple) and value and all(isinstance(one, list | tuple) for one in value):
            yield from _table(here, value)
        elif isinstance(value, list | tuple):
            yield here, ", ".join(_text(one) for one in value)
        else:
            yield here, _text(value)


def _table(path: tuple[str, ...], rows: Sequence[Sequence[Any]]) -> Iterator[tuple[tuple[str, ...], str]]:
    """Rows of a table by what stands first in them, each cell with its unit."""
    words = all(isinstance(one, str) for one in rows[0])
    head = rows[0] if words and not all(one[:1] in "+-.0123456789" for one in rows[0]) else ()
    for n, row in enumerate(rows[1:] if head else rows, start=1):
        cells = [f"{_text(one)} {unit}" for one, unit in zip(row, head, strict=False)] if head else [*map(_text, row)]
        if cells:
            yield (*path, "at", cells[0]) if len(cells) > 1 else (*path, str(n)), ", ".join(cells[1:] or cells)


def _text(value: Any) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    return str(value)


def _same(one: str | Fact, other: str | Fact) -> bool:
    if isinstance(one, Fact) and isinstance(other, Fact):
        if isinstance(one.value, str) or isinstance(other.value, str):
            return one.value == other.value
        return abs(one.value - other.value) <= SAME * max(abs(one.value), abs(other.value))
    if isinstance(one, str) and isinstance(other, str):
        return bool(one) == bool(other) and engine.same_text(one, other)
    return False
