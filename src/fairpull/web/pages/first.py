"""The first page: what the book is, and a book to begin with: the demo's, or an empty one."""

from typing import Annotated

from fastapi import APIRouter, Form, Response

from fairpull.terms.errors import FairpullError, Fault, ValueRefused
from fairpull.web.ask import SYSTEMS, Asked

router = APIRouter()

DEMO, EMPTY = "demo", "empty"
UNITS = (("us", "US: lb-ft, hp, degF"), ("metric", "Metric: N m, kW, degC"))

Short = Annotated[str, Form(max_length=40)]


@router.get("/")
def door(asked: Asked) -> Response:
    """To the day on the bench, or to the first page while there is no book."""
    return asked.away("/first" if asked.shop.folder is None else "/today")


@router.get("/first")
def first(asked: Asked) -> Response:
    """The offer."""
    return _shown(asked, "us", ())


@router.post("/first")
def make(asked: Asked, what: Short = "", units: Short = "") -> Response:
    """Make the book, with progress."""
    try:
        if what not in (DEMO, EMPTY):
            raise ValueRefused(Fault("no-such-book", "what", repr(what), f"choose {DEMO} or {EMPTY}"))
        if units not in SYSTEMS:
            raise ValueRefused(Fault("units", "units", repr(units), "choose us or metric"))
        if asked.shop.folder is not None:
            raise ValueRefused(Fault("book-exists", "book", "there is a book already", "open it: go to Today"))
        given = {"folder": str(asked.shop.wanted), "units": units}
        if what == DEMO:
            return asked.start("demo", given, "Making the demo's book", "/today")
        return asked.start("new_book", given, "Making an empty book", "/today")
    except FairpullError as error:
        return _shown(asked, units, error.faults, 422)


def _shown(asked: Asked, units: str, faults: tuple[Fault, ...], status: int = 200) -> Response:
    return asked.page(
        "first.html",
        status,
        there=asked.shop.folder is not None,
        place=asked.shop.wanted.name,
        units=units if units in SYSTEMS else "us",
        choices=UNITS,
        faults_=faults,
    )
