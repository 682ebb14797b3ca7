"""Writes sheets as TOML that a person can read and edit: the same page gives the same bytes."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from fairpull.terms.build import Build, Part

_FIRST = ("sheet", "kind", "name", "label", "engine", "reference", "tuned_from")
_LAST = ("notes",)


def part_text(part: Part) -> str:
    """A part's sheet as TOML, entries in the order of its form.

    Args:
        part: the part.

    Returns:
        TOML that holds the sheet as it was written and nothing else; a name that does not stand on the sheet is that of
        its file.
    """
    from fairpull.engine.parts import forms  # the forms need pydantic

    return table_text(part.body, forms()[part.kind].model_fields)


def build_text(build: Build) -> str:
    """A build's sheet as TOML.

    Args:
        build: the build.

    Returns:
        TOML that holds the sheet as it was written and nothing else.
    """
    from fairpull.engine.build_form import BuildForm  # the forms need pydantic

    return table_text(build.body, BuildForm.model_fields)


def table_text(body: Mapping[str, Any], order: Iterable[str] = ()) -> str:
    """Any sheet as TOML.

    Args:
        body: text, numbers, yes and no, dates, lists, and tables of these.
        order: entries in the order wished for; the others follow by the alphabet, tables come last.

    Returns:
        TOML in which a table of numbers has one row a line. The same body gives the same text, whatever the order of
        its entries.
    """
    rank = {entry: place for place, entry in enumerate(dict.fromkeys((*_FIRST, *order)))}
    rank |= {entry: len(rank) + 1 + place for place, entry in enumerate(_LAST)}
    keys = sorted(body, key=lambda entry: (rank.get(entry, len(rank)), entry))
    return _page((), {entry: body[entry] for entry in keys}).lstrip("\n")


def _page(path: tuple[str, ...], body: Mapping[str, Any]) -> str:
    lines = [_line(entry, value) for entry, value in body.items() if not _is_table(value)]
    tables = [_tables((*path, entry), value) for entry, value in body.items() if _is_table(value)]
    return "".join([*lines, *tables])


def _is_table(value: Any) -> bool:
    if isinstance(value, (list, tuple)):
        return bool(value) and all(isinstance(row, Mapping) for row in value)
    return isinstance(value, Mapping)


def _tables(path: tuple[str, ...], value: Any) -> str:
    name = ".".join(_key(part) for part in path)
    if isinstance(value, Mapping):
        return f"\n[{name}]\n{_page(path, dict(sorted(value.items())))}"
    return "".join(f"\n[[{name}]]\n{_page(path, dict(sorted(row.items())))}" for row in value)


def _line(entry: str, value: Any) -> str:
    if isinstance(value, (list, tuple)) and value and all(isinstance(row, (list, tuple)) for row in value):
        rows = "".join(f"    {_inline(row)},\n" for row in value)
        return f"{_key(entry)} = [\n{rows}]\n"
    return f"{_key(entry)} = {_inline(value)}\n"


def _inline(value: Any) -> str:
    if isinstance(value, (list, tuple)):
        return f"[{', '.join(_inline(part) for part in value)}]"
    if isinstance(value, Mapping):
        pairs = (f"{_key(entry)} = {_inline(part)}" for entry, part in sorted(value.items()))
        return f"{{{', '.join(pairs)}}}"
    import tomli_w

    return tomli_w.dumps({"x": value}).removeprefix("x = ").removesuffix("\n")


def _key(entry: str) -> str:
    import tomli_w

    return tomli_w.dumps({entry: 0}).removesuffix(" = 0\n")
