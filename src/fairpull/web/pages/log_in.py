"""Log in and out: only where the pages are open to a network."""

from typing import Annotated

from fastapi import APIRouter, Form, Query, Response

from fairpull.web.ask import Asked
from fairpull.web.guard.logins import local_next, try_log_in
from fairpull.web.guard.visits import visit_of

router = APIRouter()

LONGEST = 4000
WRONG = "This password opens nothing here."
UNSET = "No password is set for this book."


@router.get("/log-in")
def log_in(asked: Asked, next: Annotated[str, Query(max_length=LONGEST)] = "/") -> Response:
    """The form."""
    visit = visit_of(asked.request)
    if not visit.desk.needed:
        return asked.away(local_next(next))
    said = "" if visit.desk.passwords().hashes else UNSET
    return asked.page("log_in.html", next=local_next(next), said=said, wait=0)


@router.post("/log-in")
async def logged_in(
    asked: Asked,
    password: Annotated[str, Form(max_length=LONGEST)] = "",
    next: Annotated[str, Form(max_length=LONGEST)] = "/",
) -> Response:
    """A password, right or wrong."""
    there = local_next(next)
    if not visit_of(asked.request).desk.needed:
        return asked.away(there)
    outcome = await try_log_in(asked.request, password)
    if outcome.role:
        return asked.away(there)
    if not outcome.wait:
        return asked.page("log_in.html", 422, next=there, said=WRONG, wait=0)
    page = asked.page("log_in.html", 429, next=there, said="Too many wrong passwords.", wait=outcome.wait)
    page.headers["retry-after"] = str(outcome.wait)
    return page


@router.post("/log-out")
async def log_out(asked: Asked) -> Response:
    """Nobody is logged in afterwards."""
    visit_of(asked.request).log_out()
    return asked.away("/log-in" if visit_of(asked.request).desk.needed else "/")
