"""Find: one box over everything in the book."""

from typing import Annotated
from urllib.parse import quote, urlencode

from fastapi import APIRouter, Query, Response

from fairpull.show.facts import found as told
from fairpull.tasks.bench.find import find
from fairpull.terms.looking import PAPER, PULL, REMARK, RESULT, Hit
from fairpull.web.ask import Asked

router = APIRouter()

FEW, MANY = 8, 200


@router.get("/find")
def show(
    asked: Asked, q: Annotated[str, Query(max_length=400)] = "", kind: Annotated[str, Query(max_length=40)] = ""
) -> Response:
    """The box and what it found; one kind in full where ``kind`` names it."""
    with asked.book() as kept:
        found = find(kept, q, MANY if kind else FEW)
    groups = [
        {
            "kind": group.kind,
            "title": told.group_title(group),
            "hits": [(address(hit), title(hit), hit, told.snippet(hit, found.words)) for hit in group.hits],
            "rest": asked.url(kind=group.kind) if group.total > len(group.hits) and not kind else "",
            "cut": group.total - len(group.hits),
        }
        for group in found.groups
        if not kind or group.kind == kind
    ]
    return asked.page(
        "find.html",
        q=q,
        found=found,
        summary=told.summary(found),
        groups=groups,
        everything=asked.url(kind=None) if kind else "",
        pulls_address=f"/pulls?{urlencode({'where': q})}",
        near=[(address(Hit(kind, name, "name", name)), name, told.KINDS[kind][0]) for kind, name in found.near],
    )


def address(hit: Hit) -> str:
    """Path of the page that shows a hit.

    Args:
        hit: found.

    Returns:
        The path; of a remark or paper that of the thing it is about.
    """
    kind = hit.about if hit.kind in (REMARK, PAPER) else hit.kind
    name = quote(hit.name, safe="")
    if kind == PULL:
        return f"/pulls/{name}"
    if kind == RESULT:
        return f"/results/{name}"
    return f"/sheets/{kind}/{name}" if hit.name else "/settings"


def title(hit: Hit) -> str:
    """What a hit's link says."""
    if hit.kind in (REMARK, PAPER):
        about = told.KINDS.get(hit.about, (hit.about, ""))[0]
        return f"{about} {hit.name}".strip() or "the book"
    return hit.name
