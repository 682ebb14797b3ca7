"""A sheet as a form and back: what is typed becomes a sheet, and every fault goes to its field."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from fairpull import engine
from fairpull.tasks.bench.adding import Added, added
from fairpull.tasks.bench.sheet_fields import (
    AREA,
    CHOICE,
    COUNT,
    LIST,
    MORE,
    TABLE_HINTS,
    Field,
    fields,
)
from fairpull.tasks.bench.sheet_files import keep_sheets
from fairpull.terms.bench import Sheet
from fairpull.terms.errors import FairpullError, Fault, UnknownName, ValueRefused
from fairpull.terms.sheet_view import FormField, SheetForm

if TYPE_CHECKING:
    from fairpull.book import Book

NAME, VERSION = "name", "version"
SETTING = "settings."
NEW_SETTINGS = 3  # empty rows for further ones
LONGEST = 20_000  # letters of one field
_WHOLE = re.compile(r"[-+]?\d{1,12}")
_DECIMAL = re.compile(r"[-+]?\d{1,12}(\.\d{1,12})?")


def form_of(
    kept: Book, kind: str, part: str, body: Mapping[str, Any], name: str, *, new: bool, version: int = 0
) -> SheetForm:
    """The form of a sheet as it stands.

    Args:
        kept: the book, for the names that it offers.
        kind: of sheet; part: kind of part.
        body: of the sheet; empty for a new one.
        name: of the sheet, or the suggested one.
        new: it gets a name of its own.
        version: that is edited.

    Returns:
        The form.
    """
    return form_typed(kept, kind, part, {**typed_of(kind, part, body), NAME: name, VERSION: str(version)}, new=new)


def form_typed(
    kept: Book, kind: str, part: str, typed: Mapping[str, str], *, new: bool, faults: Sequence[Fault] = ()
) -> SheetForm:
    """The form with what was typed, and every fault beside its field.

    Args:
        kept: the book, for the names that it offers.
        kind: of sheet; part: kind of part.
        typed: field -> text.
        new: it gets a name of its own.
        faults: of keeping it.

    Returns:
        The form.
    """
    known = fields(kind, part)
    name = typed.get(NAME, "")
    hint = "what the shop calls it" if new else "a sheet keeps its name; duplicate it to give it another"
    groups: dict[str, list[FormField]] = {}
    if new:
        groups["Name"] = [FormField(NAME, "name", name, hint, needed=True)]
    for one in known:
        shape = {COUNT: "line", LIST: "area", AREA: "area", CHOICE: "choice"}.get(one.shape, "line")
        value = typed.get(one.name, "")
        label = one.name.rpartition(".")[2].replace("_", " ")
        choices = _choices(kept, one, value) if one.shape == CHOICE else ()
        row = FormField(one.name, label, value, one.hint, shape, choices, one.needed)
        groups.setdefault(one.group, []).append(row)
    if kind == "build":
        groups = _with_settings(groups, typed)
    hint = TABLE_HINTS.get((kind, part), "")
    example = f"Such as {hint}" if hint else "Nothing of this sheet needs it."
    groups["What a form cannot hold"] = [
        FormField(MORE, "tables and lists, as TOML", typed.get(MORE, ""), example, AREA)
    ]
    form = SheetForm(kind, part, tuple((group, tuple(row)) for group, row in groups.items()))
    return _placed(form, name, faults, _further(typed))


def _further(typed: Mapping[str, str]) -> dict[str, str]:
    """Entry -> field of the settings that were added just now."""
    rows = range(1, NEW_SETTINGS + 1)
    return {f"{SETTING}{typed.get(f'setting_{n}', '').strip()}": f"value_{n}" for n in rows}


def _with_settings(groups: dict[str, list[FormField]], typed: Mapping[str, str]) -> dict[str, list[FormField]]:
    there = [key for key in typed if key.startswith(SETTING)]
    rows = [FormField(key, key.removeprefix(SETTING), typed[key], "empty takes it out") for key in there]
    for n in range(1, NEW_SETTINGS + 1):
        for name, label, hint in (
            (f"setting_{n}", f"further setting {n}", "its name, such as spark"),
            (f"value_{n}", f"its value {n}", "with its unit, such as 31 deg"),
        ):
            rows.append(FormField(name, label, typed.get(name, ""), hint))
    made: dict[str, list[FormField]] = {}
    for group, row in groups.items():
        if group == "Circumstances":
            made["Settings"] = rows
        made[group] = row
    return made


def _choices(kept: Book, one: Field, value: str) -> tuple[tuple[str, str], ...]:
    choices = list(one.choices)
    if one.sheet:
        kind, _, part = one.sheet.partition(" ")
        sheets = [sheet for sheet in kept.sheets(kind) if not part or sheet.body.get("kind") == part]
        choices = [(sheet.name, _called(sheet)) for sheet in sheets]
    if value and value not in dict(choices):
        choices.append((value, f"{value} (not there)"))
    return (("", "none" if one.sheet.startswith("part") else "not said"), *choices)


def _called(sheet: Sheet) -> str:
    label = sheet.body.get("label")
    return f"{sheet.name}: {label}" if isinstance(label, str) and label else sheet.name


def _placed(form: SheetForm, name: str, faults: Iterable[Fault], also: Mapping[str, str]) -> SheetForm:
    """Every fault with the field that it is about."""
    known = {one.name for _, row in form.groups for one in row}
    by_field: dict[str, list[Fault]] = {}
    others: list[Fault] = []
    for fault in dict.fromkeys(faults):
        field, rest = _field_of(fault.where, f"{form.kind} {name}", known, also)
        field = "engine" if fault.code == "build-engine" else field
        if field:
            by_field.setdefault(field, []).append(replace(fault, where=rest))
        else:
            others.append(fault)
    groups = tuple(
        (group, tuple(replace(one, faults=tuple(by_field.get(one.name, ()))) for one in row))
        for group, row in form.groups
    )
    return replace(form, groups=groups, others=tuple(others))


def _field_of(where: str, sheet: str, known: set[str], also: Mapping[str, str]) -> tuple[str, str]:
    """The field that a place names, and what is left to say of the place."""
    if where in known:
        return where, where
    if not where.startswith(sheet) or where[len(sheet) : len(sheet) + 1] not in (",", ":"):
        return "", where
    path = where[len(sheet) + 1 :].strip()
    first = re.split(r"[,:]", path, maxsplit=1)[0].strip()
    if first in known or first in also:
        return also.get(first, first), path
    top = re.split(r"[ .]", first, maxsplit=1)[0]
    if top in known and top != "parts":
        return top, path
    return MORE, path


def typed_of(kind: str, part: str, body: Mapping[str, Any]) -> dict[str, str]:
    """A sheet as the fields of its form hold it.

    Args:
        kind: of sheet; part: kind of part.
        body: of the sheet.

    Returns:
        Field -> text; what no field can hold stands in the free area.
    """
    typed: dict[str, str] = {}
    rest = _copy(body)
    for one in fields(kind, part):
        value = _get(body, one.name)
        text = None if value is None else _as_text(one, value)
        if text is not None and _fits(body, one.name):
            typed[one.name] = text
            _take(rest, one.name)
    settings = body.get("settings")
    if kind == "build" and isinstance(settings, Mapping) and all(_plain(one) for one in settings.values()):
        typed |= {f"{SETTING}{key}": str(value) for key, value in settings.items()}
        rest.pop("settings", None)
    if kind == "part":
        rest.pop("kind", None)
    typed[MORE] = engine.table_text(rest)
    return typed


def _fits(body: Mapping[str, Any], path: str) -> bool:
    """Whether a whole table of a path can be typed: one odd entry sends the table to the free area."""
    top, _, inner = path.partition(".")
    table = body.get(top)
    return not inner or (isinstance(table, Mapping) and all(_plain(one) for one in table.values()))


def _plain(value: Any) -> bool:
    return isinstance(value, str | int | float) and not isinstance(value, bool)


def _as_text(one: Field, value: Any) -> str | None:
    """A value as its field shows it; None where the field cannot hold it."""
    if one.shape == LIST:
        rows = value if isinstance(value, list | tuple) else [value]
        good = all(_plain(row) and str(row).strip() == str(row) and "\n" not in str(row) and str(row) for row in rows)
        return "\n".join(map(str, rows)) if good and rows else None
    if not _plain(value):
        return None
    text = str(value)
    return text if one.shape == AREA or "\n" not in text else None


def read_form(
    kind: str, part: str, typed: Mapping[str, str], old: Mapping[str, Any] | None = None
) -> tuple[dict[str, Any], list[Fault]]:
    """What was typed as a sheet's body.

    Args:
        kind: of sheet; part: kind of part.
        typed: field -> text.
        old: the sheet that the form was filled from; what was not touched stays to the letter.

    Returns:
        The body, and what is wrong with the typing itself; ``where`` is a field.
    """
    before = typed_of(kind, part, old or {})
    body: dict[str, Any] = {"kind": part} if kind == "part" else {}
    faults: list[Fault] = []
    more = _free(typed.get(MORE, ""), faults)
    for one in fields(kind, part):
        text = _clean(typed.get(one.name, ""))
        if not text.strip():
            continue
        if one.name.partition(".")[0] in more:
            seen, remedy = "it stands in the free area too", "leave one of the two empty"
            faults.append(Fault("said-twice", one.name, seen, remedy))
        same = one.name in before and _clean(before[one.name]) == text
        _set(body, one.name, _get(old or {}, one.name) if same else _value(one, text, _get(old or {}, one.name)))
    if kind == "build":
        settings = _settings(typed, old or {}, more, faults)
        body |= {"settings": settings} if settings else {}
    if kind == "part" and "kind" in more:
        faults.append(Fault("said-twice", MORE, "kind is said by the form", "take it out here"))
    return {**more, **body}, faults


def _settings(
    typed: Mapping[str, str], old: Mapping[str, Any], more: Mapping[str, Any], faults: list[Fault]
) -> dict[str, Any]:
    was = old.get("settings")
    was = was if isinstance(was, Mapping) else {}
    rows = [(key, key.removeprefix(SETTING), text) for key, text in typed.items() if key.startswith(SETTING)]
    for number in range(1, NEW_SETTINGS + 1):
        name, value = (typed.get(f"{one}_{number}", "").strip() for one in ("setting", "value"))
        if name and value:
            rows.append((f"setting_{number}", name, value))
        elif name or value:
            field = f"value_{number}" if name else f"setting_{number}"
            faults.append(Fault("entry-missing", field, "the other half is given", "give name and value, or neither"))
    made: dict[str, Any] = {}
    for field, name, raw in rows:
        text = _clean(raw).strip()
        if text and (name in made or "settings" in more):
            faults.append(Fault("said-twice", field, f"{name} is set already", "leave one of the two empty"))
        elif text:
            kept = was.get(name)
            made[name] = kept if kept is not None and _clean(str(kept)).strip() == text else text
    return made


def _free(text: str, faults: list[Fault]) -> dict[str, Any]:
    try:
        return tomllib.loads(_clean(text))
    except (tomllib.TOMLDecodeError, RecursionError, ValueError) as error:
        remedy = 'write lines such as flow = [["in", "cfm"], [0.1, 47]]; text and numbers with a unit stand in quotes'
        faults.append(Fault("not-toml", MORE, str(error)[:200] or "not TOML", remedy))
        return {}


def _clean(text: str) -> str:
    return text.replace("\r\n", "\n").replace("\r", "\n")


def _value(one: Field, text: str, old: Any) -> Any:
    """A typed text as TOML would hold it: numbers only where the sheet wants or had one."""
    if one.shape == LIST:
        return [row.strip() for row in text.split("\n") if row.strip()]
    text = text.strip("\n") if one.shape == AREA else text.strip()
    if one.shape == COUNT and _WHOLE.fullmatch(text):
        return int(text)
    if isinstance(old, int | float) and not isinstance(old, bool) and _DECIMAL.fullmatch(text):
        return int(text) if isinstance(old, int) and _WHOLE.fullmatch(text) else float(text)
    return text


def _get(body: Mapping[str, Any], path: str) -> Any:
    top, _, inner = path.partition(".")
    value = body.get(top)
    if not inner:
        return value
    return value.get(inner) if isinstance(value, Mapping) else None


def _set(body: dict[str, Any], path: str, value: Any) -> None:
    top, _, inner = path.partition(".")
    if inner:
        body.setdefault(top, {})[inner] = value
    else:
        body[top] = value


def _take(body: dict[str, Any], path: str) -> None:
    top, _, inner = path.partition(".")
    if not inner:
        body.pop(top, None)
    elif isinstance(body.get(top), dict):
        body[top].pop(inner, None)
        if not body[top]:
            body.pop(top)


def _copy(body: Mapping[str, Any]) -> dict[str, Any]:
    return {key: dict(value) if isinstance(value, Mapping) else value for key, value in body.items()}


def suggested(kept: Book, kind: str, name: str) -> str:
    """A free name for a duplicate.

    Args:
        kept: the book.
        kind: of sheet.
        name: of the one that is duplicated.

    Returns:
        The name with the next free number.
    """
    taken = {one.name for one in kept.sheets(kind)}
    stem = re.sub(r"-\d{1,4}$", "", name)[:190]
    return next(one for n in range(2, len(taken) + 3) if (one := f"{stem}-{n}") not in taken)


def save_form(
    kept: Book, kind: str, part: str, typed: Mapping[str, str], *, edited: str = "", source: Sheet | None = None
) -> Added:
    """Keep what was typed as a sheet.

    Args:
        kept: the book, to be written.
        kind: of sheet; part: kind of part.
        typed: field -> text, with the name of a new sheet and the version of an edited one.
        edited: name of the sheet that gets a new version; "" for a new sheet.
        source: the sheet that a new one was filled from.

    Returns:
        What keeping it did.

    Raises:
        ValueRefused: faults of typing, of the sheet, or of its name; all at once.
    """
    name = edited or _clean(typed.get(NAME, "")).strip()
    old = kept.sheet(kind, edited) if edited else None
    basis = old or source
    body, faults = read_form(kind, part, typed, None if basis is None else basis.body)
    faults += _name_faults(kept, kind, name) if not edited else []
    if old is not None and _number(typed.get(VERSION, "") or "0") not in (0, old.version):
        seen = f"version {old.version} was kept since this form was opened"
        remedy = "open the sheet again, and change the newest version"
        faults.append(Fault("sheet-changed-meanwhile", f"{kind} {name}", seen, remedy))
    sheet = Sheet(kind, name, body)
    try:
        if not faults:
            before = {} if old is None else {(kind, name): old}
            return added(kept, keep_sheets(kept, [sheet]), before)[0]
    except FairpullError as error:
        raise ValueRefused(error.faults) from error
    raise ValueRefused([*faults, *_wrong(kept, sheet)])


def _wrong(kept: Book, sheet: Sheet) -> list[Fault]:
    """What is wrong with the sheet itself, told together with faults of typing."""
    from fairpull.tasks.bench.adding import adding_faults
    from fairpull.tasks.bench.builds import Shelf
    from fairpull.tasks.bench.sheet_computed import faults_of

    return [*faults_of(kept, sheet), *adding_faults(sheet, Shelf(kept, [sheet]))]


def _number(text: str) -> int:
    return int(text) if _WHOLE.fullmatch(text) else -1


def _name_faults(kept: Book, kind: str, name: str) -> list[Fault]:
    from fairpull.book.names import name_faults

    if not name:
        return [Fault("unfit-name", NAME, "no name", "give it the name that the shop calls it by")]
    faults = [replace(one, where=NAME) for one in name_faults(name, NAME)]
    if faults:
        return faults
    try:
        kept.sheet(kind, name)
    except UnknownName:
        return []
    seen = f"there is a {kind} of this name"
    return [Fault("name-taken", NAME, seen, "give it another name, or edit the one that is there")]
