"""The usual cautions of engine testing."""

from fastapi import APIRouter, Response

from fairpull.show.facts import cautions_page
from fairpull.web.ask import Asked

router = APIRouter()


@router.get("/cautions")
def show(asked: Asked) -> Response:
    """All of them on one page, to be read before the day and printed for the wall."""
    return asked.page("cautions.html", usual=cautions_page.CAUTIONS, estimates=cautions_page.ESTIMATES)
