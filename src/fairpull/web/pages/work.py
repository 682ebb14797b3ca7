"""Long work: how far it is, and a button that ends it."""

from typing import Annotated, Any

from fastapi import APIRouter, Path, Response

from fairpull.show.facts import offered
from fairpull.show.facts.words import plain
from fairpull.tasks.apart.registry import Entry
from fairpull.web.ask import Asked

router = APIRouter()

PATIENCE = 3.0  # [s] until the page is shown again, ended or not
Id = Annotated[str, Path(max_length=64)]


@router.get("/works/{id}")
def work(asked: Asked, id: Id) -> Response:
    """Where it stands; when it is done, on to what came of it."""
    entry = asked.shop.works.get(id)
    if entry is None:
        return asked.page("work_gone.html", 404)
    state = entry.state()
    if state.ended and asked.part:
        return Response(headers={"hx-redirect": f"/works/{id}" if state.result is None else entry.next_page()})
    if state.ended and state.result is not None:
        return asked.away(entry.next_page())
    if asked.part:
        return asked.page("work_part.html", **_values(entry))
    return asked.page("work.html", 422 if state.faults else 200, **_values(entry))


@router.post("/works/{id}/cancel")
def cancel(asked: Asked, id: Id) -> Response:
    """End it. Where it had come to its end just before, that stands."""
    entry = asked.shop.works.get(id)
    if entry is None:
        return asked.page("work_gone.html", 404)
    entry.running.cancel()
    entry.running.wait(PATIENCE)
    return asked.away(f"/works/{id}")


def _values(entry: Entry) -> dict[str, Any]:
    state = entry.state()
    return {
        "id": entry.id,
        "title": plain(entry.title),
        "state": state,
        "saying": plain(state.saying) or "starting",
        "faults_": offered.faults(state.faults),
        "back": entry.next_page(),
    }
