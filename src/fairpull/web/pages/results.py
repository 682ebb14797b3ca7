"""Kept results: as they were, what decides them, and whether that is still so."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated, Any
from urllib.parse import quote, urlencode

from fastapi import APIRouter, Response
from fastapi import Path as FromPath

from fairpull.show.facts import result_page
from fairpull.tasks.bench.results_seen import result_seen, results_seen
from fairpull.terms.asking import ResultView
from fairpull.web.ask import Asked

router = APIRouter()

Name = Annotated[str, FromPath(max_length=400)]
LIVE = ("standard", "step", "band", "smallest", "leave_out", "seed")
"""What a comparison's address can ask again."""


@router.get("/results")
def show(asked: Asked) -> Response:
    """All of them, newest first."""
    with asked.book() as kept:
        found = results_seen(kept)
    return asked.page("results.html", results=[_row(one) for one in found])


@router.get("/results/{name:path}/document.json")
def document(asked: Asked, name: Name) -> Response:
    """A result's document, byte for byte as it was kept."""
    with asked.book() as kept:
        found = kept.result(name)
    headers = {"content-disposition": f"attachment; filename*=UTF-8''{quote(name, safe='')}.json"}
    return Response(found.result, media_type="application/json", headers=headers)


@router.get("/results/{name:path}")
def one(asked: Asked, name: Name) -> Response:
    """One of them, as it was when it was kept."""
    with asked.book() as kept:
        found = result_seen(kept, name)
    return asked.page(
        "result.html",
        result=_row(found),
        about=result_page.about_table(found.result, found.document),
        tables=result_page.decides_tables(found.result, found.document),
        findings_kept=result_page.findings(found.document),
        links=_links(found),
    )


def _row(one: ResultView) -> dict[str, Any]:
    name = one.result.name
    return {
        "name": name,
        "url": f"/results/{quote(name, safe='')}",
        "head": result_page.head(one.result),
        "verdicts": result_page.verdicts(one.document),
        "changed": one.changed,
        "live": live_url(one),
        "lost": _lost(one),
    }


def live_url(one: ResultView) -> str:
    """Address of the page that asks the same today; "" for what no page asks."""
    request = one.result.request
    if one.result.kind != "comparison" or not request.get("builds"):
        return ""
    pairs = [("of", str(name)) for name in request["builds"]]
    asked: Mapping[str, Any] = request.get("asked", {})
    pairs += [(key, said) for key in LIVE if key != "leave_out" and (said := _word(key, asked.get(key)))]
    pairs += [("leave_out", f"{pull}={why}") for pull, why in dict(asked.get("leave_out") or {}).items()]
    return f"/compare?{urlencode(pairs)}"


def _word(key: str, value: object) -> str:
    """What was asked, as the address writes it."""
    if value in (None, "", 0):
        return ""
    if key == "band" and isinstance(value, list | tuple):
        low, high = value
        return f"{low:g}-{high:g}"
    if key == "smallest" and isinstance(value, float | int):
        return f"{100.0 * value:g} %"
    return f"{value:g}" if isinstance(value, float) else str(value)


def _lost(one: ResultView) -> list[str]:
    """What was asked and no address can ask."""
    asked = one.result.request.get("asked", {})
    return sorted(key for key in asked if key not in LIVE)


def _links(one: ResultView) -> dict[str, str]:
    """Pulls and sheets in its tables -> their pages."""
    found = {name: f"/pulls/{quote(name, safe='')}" for name in one.result.traces}
    for sheet in one.result.sheets:
        kind, _, name = sheet.partition("/")
        found[sheet] = f"/sheets/{kind}/{quote(name, safe='')}"
    return found
