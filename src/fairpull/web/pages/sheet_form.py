"""A sheet's form: new, changed, or made from another one."""

from typing import Annotated
from urllib.parse import quote

from fastapi import APIRouter, Query, Response

from fairpull.show.facts.spec_sheet import PLURALS
from fairpull.tasks.bench.sheet_forms import form_of, form_typed, save_form, suggested, typed_of
from fairpull.terms.bench import Sheet
from fairpull.terms.build import PART_KINDS
from fairpull.terms.errors import FairpullError
from fairpull.terms.sheet_view import SheetForm
from fairpull.web.ask import Asked
from fairpull.web.names import known
from fairpull.web.sheet_ask import Kind, Name, Told, Typed, address, known_kind, known_part

router = APIRouter()

NEW_BUILD = "(new)"
"""Where a part was made for a build that is not kept yet."""
Part = Annotated[str, Query(max_length=40)]
Source = Annotated[str, Query(alias="from", max_length=400)]


@router.get("/sheets/{kind}/new")
def new(asked: Asked, kind: Kind, part: Part = "", source: Source = "", back: Told = "", fit: Told = "") -> Response:
    """An empty form, or one filled from another sheet."""
    known_kind(kind)
    with asked.book() as kept:
        first = kept.sheet(kind, known(source)) if source else None
        if kind == "part" and first is None and not part:
            return asked.page("sheet_part_kind.html", kinds=PART_KINDS, back=back)
        part = _part(kind, first, part)
        if first is None:
            typed = {} if kind != "build" else _fitted(kept, {}, fit)
            form = form_typed(kept, kind, part, typed, new=True)
        else:
            filled = {**typed_of(kind, part, first.body), "name": suggested(kept, kind, first.name)}
            form = form_typed(kept, kind, part, _fitted(kept, filled, fit), new=True)
    return _page(asked, form, title=_title(kind, part, source), action=_action(kind, part, source, back))


@router.post("/sheets/{kind}/new")
def make(asked: Asked, kind: Kind, typed: Typed, part: Part = "", source: Source = "", back: Told = "") -> Response:
    """Keep a new sheet."""
    known_kind(kind)
    refused: SheetForm | None = None
    with asked.book(write=True) as kept:
        first = kept.sheet(kind, known(source)) if source else None
        part = _part(kind, first, part)
        try:
            done = save_form(kept, kind, part, typed, source=first)
        except FairpullError as error:
            refused = form_typed(kept, kind, part, typed, new=True, faults=error.faults)
    if refused is not None:
        action = _action(kind, part, source, back)
        return _page(asked, refused, 422, title=_title(kind, part, source), action=action)
    name = done.sheet.name
    if back and kind == "part":
        build = "/sheets/build/new" if back == NEW_BUILD else address("build", back, "/edit")
        return asked.away(f"{build}?fit={quote(name, safe='')}")
    more = f"&against={quote(source, safe='')}" if source else ""
    return asked.away(address(kind, name, f"?saved={done.what}{more}"))


@router.get("/sheets/{kind}/{name:path}/edit")
def edit(asked: Asked, kind: Kind, name: Name, fit: Told = "") -> Response:
    """The form of a sheet that is there."""
    with asked.book() as kept:
        sheet = kept.sheet(known_kind(kind), known(name))
        part = _part(kind, sheet, "")
        form = form_of(kept, kind, part, sheet.body, name, new=False, version=sheet.version)
        if fit and kind == "build":
            filled = {**typed_of(kind, part, sheet.body), "name": name}
            form = form_typed(kept, kind, part, _fitted(kept, filled, fit), new=False)
    return _page(asked, form, title=f"Change {kind} {name}", action=address(kind, name, "/edit"), sheet=sheet)


@router.post("/sheets/{kind}/{name:path}/edit")
def change(asked: Asked, kind: Kind, name: Name, typed: Typed) -> Response:
    """Keep a new version, where anything was changed."""
    refused: SheetForm | None = None
    with asked.book(write=True) as kept:
        sheet = kept.sheet(known_kind(kind), known(name))
        part = _part(kind, sheet, "")
        try:
            done = save_form(kept, kind, part, typed, edited=name)
        except FairpullError as error:
            filled = {**typed, "name": name}
            refused = form_typed(kept, kind, part, filled, new=False, faults=error.faults)
    if refused is not None:
        opened = typed.get("version", "")
        title, action = f"Change {kind} {name}", address(kind, name, "/edit")
        return _page(asked, refused, 422, title=title, action=action, sheet=sheet, opened=opened)
    return asked.away(address(kind, name, f"?saved={done.what}"))


def _part(kind: str, sheet: Sheet | None, part: str) -> str:
    if kind != "part":
        return ""
    return known_part(part if sheet is None else str(sheet.body.get("kind", "")).strip().lower())


def _fitted(kept: object, typed: dict[str, str], part: str) -> dict[str, str]:
    """A build's form with a part that was just made."""
    if not part:
        return typed
    kind = str(kept.sheet("part", known(part)).body.get("kind", ""))  # type: ignore[attr-defined]
    return {**typed, f"parts.{kind}": part}


def _title(kind: str, part: str, source: str) -> str:
    return f"New {part or kind}{f', from {source}' if source else ''}"


def _action(kind: str, part: str, source: str, back: str) -> str:
    given = (("part", part), ("from", source), ("back", back))
    query = "&".join(f"{name}={quote(value, safe='')}" for name, value in given if value)
    return f"/sheets/{kind}/new{'?' if query else ''}{query}"


def _page(
    asked: Asked,
    form: SheetForm,
    status: int = 200,
    *,
    title: str,
    action: str,
    sheet: Sheet | None = None,
    opened: str = "",
) -> Response:
    version = opened or (str(sheet.version) if sheet else "")
    return asked.page(
        "sheet_form.html",
        status,
        form=form,
        title=title,
        action=action,
        version=version[:12],
        plural=PLURALS[form.kind],
        back=address(form.kind, sheet.name) if sheet else f"/sheets/{form.kind}",
        building=sheet.name if sheet else NEW_BUILD,
        wrong=[one for _, row in form.groups for one in row if one.faults],
        may_write=asked.role == "writes",
    )
