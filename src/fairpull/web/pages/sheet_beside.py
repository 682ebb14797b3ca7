"""Two sheets of one kind beside each other, only what differs."""

from typing import Annotated
from urllib.parse import quote

from fastapi import APIRouter, Query, Response

from fairpull.show.facts import beside as facts
from fairpull.show.facts.spec_sheet import PLURALS, changes_table
from fairpull.tasks.bench.beside import beside
from fairpull.web.ask import Asked
from fairpull.web.names import known
from fairpull.web.sheet_ask import Kind, Name, Told, address, known_kind, number

router = APIRouter()

Version = Annotated[str, Query(max_length=12)]


@router.get("/sheets/{kind}/{name:path}/with")
def chosen(asked: Asked, kind: Kind, name: Name, other: Told = "") -> Response:
    """From a choice in a form to the page of the two."""
    with asked.book() as kept:
        kept.sheet(known_kind(kind), known(name))
        kept.sheet(kind, known(other))
    return asked.away(address(kind, name, f"/beside/{quote(other, safe='')}"))


@router.get("/sheets/{kind}/{name:path}/beside/{other:path}")
def show(
    asked: Asked,
    kind: Kind,
    name: Name,
    other: Name,
    every: Annotated[str, Query(alias="all", max_length=4)] = "",
    version: Version = "",
    to: Version = "",
) -> Response:
    """The page."""
    with asked.book() as kept:
        seen = beside(kept, known_kind(kind), (known(name), known(other)), (number(version), number(to)))
        names = tuple(one.name for one in kept.sheets(kind))
    builds = kind == "build" and name != other
    return asked.page(
        "sheet_beside.html",
        kind=kind,
        plural=PLURALS[kind],
        seen=seen,
        names=names,
        titles=facts.titles(seen),
        hrefs=(address(kind, name), address(kind, other)),
        tables=facts.tables(seen, asked.system, every=every == "1"),
        hidden=0 if every == "1" else facts.hidden(seen),
        every=every == "1",
        all_url=asked.url(all=None if every == "1" else "1"),
        changes=changes_table(seen.changes, name, other) if builds and not seen.faults else None,
        compare=f"/compare?of={quote(name, safe='')}&of={quote(other, safe='')}" if builds else "",
    )
