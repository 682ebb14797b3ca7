"""Engines, parts, builds and the other sheets: the list of a kind, and one sheet with what follows from it."""

from typing import Annotated, Any

from fastapi import APIRouter, Form, Query, Response

from fairpull.show.facts import spec_sheet
from fairpull.show.facts.words import moment, plain
from fairpull.tasks.bench.beside import beside
from fairpull.tasks.bench.sheet_computed import sheet_view
from fairpull.tasks.bench.used_by import counts_of, uses
from fairpull.terms.bench import SHEET_KINDS
from fairpull.terms.errors import FairpullError, UnknownName, ValueRefused
from fairpull.terms.sheet_view import Beside, SheetView
from fairpull.web.ask import Asked
from fairpull.web.names import known
from fairpull.web.sheet_ask import Kind, Name, Told, address, known_kind, number

router = APIRouter()

LONGEST_NOTE = 8000
Long = Annotated[str, Form(max_length=LONGEST_NOTE)]
Short = Annotated[str, Form(max_length=400)]
SAID = {
    "new": "Kept as a new sheet.",
    "changed": "Kept as a new version; the older ones stay.",
    "unchanged": "Nothing was changed, so there is no new version.",
}


@router.get("/sheets/{kind}")
def listed(asked: Asked, kind: Kind, part: Told = "") -> Response:
    """All sheets of a kind, newest versions."""
    known_kind(kind)
    with asked.book() as kept:
        every = kept.sheets(kind)
        counts = counts_of(kept) if kind in ("engine", "part", "build") else {}
        used = uses(kept, kind) if counts else {}
    kinds = sorted({str(one.body.get("kind", "")) for one in every}) if kind == "part" else []
    shown = [one for one in every if not part or one.body.get("kind") == part]
    return asked.page(
        "sheets_list.html",
        kind=kind,
        kinds=SHEET_KINDS,
        plurals=spec_sheet.PLURALS,
        part=part,
        part_kinds=kinds,
        table=spec_sheet.sheets_table(kind, shown, used, counts),
        links={one.name: address(kind, one.name) for one in shown},
        may_write=asked.role == "writes",
    )


@router.post("/sheets/{kind}/{name:path}/remark")
def remark(asked: Asked, kind: Kind, name: Name, text: Long = "", by: Short = "") -> Response:
    """A note in somebody's words."""
    known_kind(kind)
    refused: FairpullError | None = None
    with asked.book(write=True) as kept:
        kept.sheet(kind, known(name))
        said = "\n".join(plain(line) for line in text.splitlines())
        try:
            kept.remark((kind, name), said, plain(by))
        except FairpullError as error:
            refused = ValueRefused(error.faults)
    if refused is not None:
        return _page(asked, kind, name, typed=(text, by), refused=refused)
    return asked.away(address(kind, name, "#of-remarks"))


@router.get("/sheets/{kind}/{name:path}")
def show(
    asked: Asked,
    kind: Kind,
    name: Name,
    version: Annotated[str, Query(max_length=12)] = "",
    against: Told = "",
    saved: Annotated[str, Query(max_length=12)] = "",
) -> Response:
    """The spec sheet."""
    return _page(asked, known_kind(kind), known(name), version, known(against), SAID.get(saved, ""))


def _page(
    asked: Asked,
    kind: str,
    name: str,
    version: str = "",
    against: str = "",
    said: str = "",
    typed: tuple[str, str] = ("", ""),
    refused: FairpullError | None = None,
) -> Response:
    system = asked.system
    with asked.book() as kept:
        view = sheet_view(kept, kind, name, number(version))
        other = _other(kept, view, against)
    body = view.sheet.body
    at = "" if view.sheet.version == view.newest else f"&version={view.sheet.version}"
    return asked.page(
        "sheet.html",
        422 if refused else 200,
        view=view,
        kind=kind,
        name=name,
        here=address(kind, name),
        plural=spec_sheet.PLURALS[kind],
        said=said,
        against=against if other else "",
        changed=[] if other is None else _differences(other, system),
        entries=spec_sheet.entries(body, system),
        computed=spec_sheet.computed(view.facts, {**view.engine, **body}, system),
        parts=_parts(view, system),
        links=_links(view),
        changes=None if not _reference(view) else spec_sheet.changes_table(view.changes, _reference(view), name),
        reference=_reference(view),
        versions=spec_sheet.versions_table(view),
        version_links={str(one.version): address(kind, name, f"?version={one.version}") for one in view.versions},
        used=spec_sheet.uses_table(view.used_by),
        flow=None if view.flow is None else spec_sheet.flow_table(view.flow, system),
        events=spec_sheet.events_table(view.cams),
        overlaps=[(one.stated, spec_sheet.overlap_said(one)) for one in view.cams],
        query=f"{asked.query}{at}".lstrip("&"),
        notes=[(one.by or "remark", moment(one.added_at), one.text) for one in view.notes],
        typed=typed,
        refused=refused,
        may_write=asked.role == "writes",
        shown_version=f"?version={view.sheet.version}" if at else "",
    )


def _other(kept: Any, view: SheetView, against: str) -> Beside | None:
    """The sheet beside the one that it was made from; None where that is not there."""
    try:
        names = (against, view.sheet.name)
        return beside(kept, view.sheet.kind, names, (None, view.sheet.version)) if against else None
    except UnknownName:
        return None


def _differences(other: Any, system: str) -> Any:
    from fairpull.show.facts import beside as facts

    return facts.tables(other, system)


def _reference(view: SheetView) -> str:
    named = view.sheet.body.get("reference") if view.sheet.kind == "build" else ""
    return named if isinstance(named, str) and named != view.sheet.name and not view.faults else ""


def _parts(view: SheetView, system: str) -> list[dict[str, Any]]:
    made = []
    for n, one in enumerate(view.parts):
        entries = spec_sheet.entries(one.body, system, f"{one.kind[:1].upper()}{one.kind[1:]} {one.name}", f"part-{n}")
        made.append(
            {
                "kind": one.kind,
                "name": one.name,
                "entries": entries,
                "computed": spec_sheet.computed(one.facts, one.body, system),
                "href": address("part", one.name),
            }
        )
    return made


def _links(view: SheetView) -> dict[str, str]:
    """Names that the sheet's entries and lists hold, and their pages."""
    links = {one.build: address("build", one.build) for one in view.used_by}
    body = view.sheet.body
    if view.sheet.kind in ("build", "check"):
        for entry, kind in (("engine", "engine"), ("reference", "build"), ("tuned_from", "build"), ("build", "build")):
            if isinstance(body.get(entry), str) and body[entry]:
                links[str(body[entry])] = address(kind, str(body[entry]))
    links |= {one.name: address("part", one.name) for one in view.parts}
    return links
