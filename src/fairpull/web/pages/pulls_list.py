"""Pulls: the whole list, or those that a search sentence finds, a page at a time."""

from typing import Annotated
from urllib.parse import quote

from fastapi import APIRouter, Query, Response

from fairpull.show.bench_text import pull_table
from fairpull.show.facts.words import plain
from fairpull.tasks.bench.lists import pulls_page
from fairpull.terms.bench import STATES, KeptPull
from fairpull.terms.errors import FairpullError, Fault, ValueRefused
from fairpull.web.ask import Asked

router = APIRouter()

LINES = 100

Texts = Annotated[list[str] | None, Query(max_length=200)]


@router.get("/pulls")
def show(
    asked: Asked,
    where: Annotated[str, Query(max_length=2000)] = "",
    build: Texts = None,
    state: Texts = None,
    skip: Annotated[str, Query(alias="from", max_length=10)] = "",
) -> Response:
    """The list."""
    builds = tuple(plain(one) for one in build or () if one)
    states = tuple(plain(one) for one in state or () if one)
    faults: tuple[Fault, ...] = ()
    lines: tuple[KeptPull, ...] = ()
    total = first = 0
    with asked.book() as kept:
        names = tuple(sheet.name for sheet in kept.sheets("build"))
        try:
            first = _number(skip)
            lines, total = pulls_page(kept, where, builds, states, most=LINES, skip=first)
        except FairpullError as error:
            faults = error.faults
    links = {line.build: f"/sheets/build/{quote(line.build, safe='')}" for line in lines}
    links |= {line.name: f"/pulls/{quote(line.name, safe='')}" for line in lines}
    return asked.page(
        "pulls_list.html",
        422 if faults else 200,
        where=where,
        chosen=(builds, states),
        names=names,
        states=STATES,
        faults_=faults,
        total=total,
        span=(first + 1, first + len(lines)),
        pulls=pull_table(lines, asked.system, asked.house.get("standard", "")),
        links=links,
        newer=asked.url(**{"from": str(max(first - LINES, 0))}) if first else "",
        older=asked.url(**{"from": str(first + LINES)}) if first + LINES < total else "",
    )


def _number(text: str) -> int:
    if not text:
        return 0
    if not (text.isascii() and text.isdigit()):
        raise ValueRefused(Fault("bad-value", "from", repr(text), "write a whole number, 0 for the newest"))
    return int(text)
