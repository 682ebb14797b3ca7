"""Take in: files are handed in, what was recognised is shown and overruled, and only then kept."""

from collections.abc import Sequence
from functools import partial
from typing import TYPE_CHECKING, Annotated, Any

from fastapi import APIRouter, File, Form, Query, Response, UploadFile
from fastapi import Path as FromPath
from starlette.exceptions import HTTPException

from fairpull.show.facts import offered
from fairpull.tasks.bench.stay_files import (
    Stay,
    StayState,
    as_data,
    looked_at,
    read_look,
    read_outcome,
    read_state,
    write_state,
)
from fairpull.tasks.bench.stays import LARGEST, MOST_FILES, STAYS, Upload
from fairpull.terms.errors import FairpullError, Fault
from fairpull.terms.offered import OfferedFile, OfferedRecording, Typed, TypedFile
from fairpull.web import figures, take_typed
from fairpull.web.ask import Asked
from fairpull.web.take_typed import SentForm

if TYPE_CHECKING:
    from fairpull.tasks.bench.door import Book

router = APIRouter()

FORMATS = ("delimited", "jsonlines", "parquet", "workbook", "mdf")
Id = Annotated[str, FromPath(max_length=64)]
Place = Annotated[str, FromPath(pattern=r"^[0-9]{1,3}-[0-9]{1,3}$")]
Short = Annotated[str, Form(max_length=400)]
Told = Annotated[str, Query(max_length=400)]


@router.get("/take")
def offer(asked: Asked, build: Told = "", session: Told = "") -> Response:
    """Where files are handed in."""
    return _offer(asked, build, session)


@router.post("/take")
def hand_in(
    asked: Asked,
    files: Annotated[list[UploadFile] | None, File()] = None,
    build: Short = "",
    session: Short = "",
) -> Response:
    """Lay the files into a private folder, and look at them."""
    build, session = take_typed.clean(build), take_typed.clean(session)
    uploads = [Upload(one.filename, one.file) for one in files or () if one.filename]
    try:
        with asked.book() as kept:
            stay = STAYS.hand_in(kept.folder, uploads, build, session)
    except FairpullError as error:
        return _offer(asked, build, session, error.faults)
    try:
        return _look(asked, stay, read_state(stay))
    except FairpullError as error:
        return _page(asked, stay, read_state(stay), error.faults, 422)


@router.get("/take/{id}")
def recognised(asked: Asked, id: Id, changed: Told = "") -> Response:
    """What was recognised; where it was kept by now, what was kept."""
    stay = _stay(asked, id)
    outcome = read_outcome(stay) if stay else None
    if stay is None or outcome is not None:
        return asked.page("take_gone.html", 404 if stay is None else 200, outcome=outcome)
    state = read_state(stay)
    work = asked.shop.works.get(state.work)
    now = work.state() if work else None
    if now is not None and not now.ended:
        return asked.away(f"/works/{state.work}")
    return _page(asked, stay, state, now.faults if now else (), changed=bool(changed))


@router.post("/take/{id}")
def overrule(asked: Asked, id: Id, sent: SentForm) -> Response:
    """Look again with what was typed, keep, or leave."""
    stay = _stay(asked, id)
    if stay is None or read_outcome(stay) is not None:
        return asked.away(f"/take/{take_typed.part(id)}")
    if sent.get("do") == "leave":
        STAYS.leave(stay)
        return asked.away("/take")
    look = read_look(stay)
    state = read_state(stay)
    state = StayState(take_typed.typed_of(sent, state.typed, look), state.files, state.work)
    write_state(stay, state)
    try:
        if sent.get("do") != "keep":
            return _look(asked, stay, state)
        if look is None or not take_typed.reads_alike(state.typed, look.typed):
            return _look(asked, stay, state, changed=True)  # what is kept is what was seen
        return _start(asked, stay, state, "keep", "Taking in", f"/take/{stay.id}")
    except FairpullError as error:
        return _page(asked, stay, state, error.faults, 422)


@router.get("/take/{id}/chart/{place}.{kind}")
def chart(asked: Asked, id: Id, place: Place, kind: str) -> Response:
    """The preview of one recording of one file."""
    stay = _stay(asked, id)
    logs = take_typed.logs_of(read_look(stay)) if stay else ()
    file, part = (int(number) for number in place.split("-"))
    if stay is None or file >= len(logs) or part >= len(logs[file].recordings):
        raise HTTPException(404, "no such chart")
    one = logs[file].recordings[part]
    return figures.answer(
        asked,
        kind,
        draw=partial(_drawn, one, asked.system),
        csv=lambda: _csv(one, asked.system),
        name=f"{logs[file].name}-{part + 1}",
        key=f"take {stay.id} {looked_at(stay)} {place}",
    )


def _drawn(one: OfferedRecording, system: str, theme: Any, size: Any) -> Any:
    from fairpull.show import chart_preview

    return chart_preview.preview(one, theme, size, system)


def _csv(one: OfferedRecording, system: str) -> str:
    from fairpull.show import chart_preview

    return chart_preview.table(one, system)


def _stay(asked: Asked, id: str) -> Stay | None:
    with asked.book() as kept:
        return STAYS.get(id, kept.folder)


def _look(asked: Asked, stay: Stay, state: StayState, *, changed: bool = False) -> Response:
    more = "?changed=1" if changed else ""
    return _start(asked, stay, state, "look", "Looking at the files", f"/take/{stay.id}{more}")


def _start(asked: Asked, stay: Stay, state: StayState, work: str, title: str, then: str) -> Response:
    """Begin a work on a stay's files, and remember which."""
    before = asked.shop.works.get(state.work)
    if before is not None:  # two works on one folder would tread on each other
        before.running.cancel()
        before.running.wait(5.0)
    left = {name for name, one in state.typed.files.items() if one.left} if work == "keep" else set()
    given = {
        "book": str(stay.book),
        "stay": str(stay.folder),
        "typed": as_data(state.typed),
        "files": [[one.name, one.called] for one in state.files if one.name not in left],
    }
    answer = asked.start(work, given, title, then)
    write_state(stay, StayState(state.typed, state.files, answer.headers["location"].rpartition("/")[2]))
    return answer


def _offer(asked: Asked, build: str, session: str, faults: Sequence[Fault] = ()) -> Response:
    return asked.page(
        "take_in.html",
        422 if faults else 200,
        build=build,
        session=session,
        faults_=offered.faults(faults),
        most_files=MOST_FILES,
        largest=LARGEST // 1_000_000,
        **_lists(asked),
    )


def _lists(asked: Asked) -> dict[str, Any]:
    """Builds and sessions to choose from, and what the house takes by itself."""
    with asked.book() as kept:
        found = {"builds": _names(kept, "build"), "sessions": _names(kept, "session")}
    return {**found, "fitted": asked.house.get("fitted", ""), "current": asked.house.get("session", "")}


def _names(kept: "Book", kind: str) -> list[str]:
    return [one.name for one in kept.sheets(kind)]


def _page(
    asked: Asked,
    stay: Stay,
    state: StayState,
    faults: Sequence[Fault] = (),
    status: int = 200,
    *,
    changed: bool = False,
) -> Response:
    look = read_look(stay)
    logs = take_typed.logs_of(look)
    fresh = look is not None and take_typed.reads_alike(state.typed, look.typed)
    views = [_view(asked, n, one, state.typed, len(logs)) for n, one in enumerate(logs)]
    chosen = [view for view in views if not view["own"].left]
    return asked.page(
        "take_look.html",
        status,
        stay=stay,
        views=views,
        papers=[one for one in look.files if one.paper] if look else [],
        handed=state.files,
        typed=state.typed,
        channels=offered.channel_names(),
        lists=sum(view["fields"] for view in views) <= take_typed.LISTS,
        formats=FORMATS,
        faults_=offered.faults(faults),
        changed=changed,
        fresh=fresh,
        good=fresh and bool(chosen) and not any(view["faults"] for view in chosen),
        new=sum(len(view["file"].pulls) for view in chosen if not view["file"].already and not view["file"].twin),
        **_lists(asked),
    )


def _view(asked: Asked, n: int, one: OfferedFile, typed: Typed, logs: int) -> dict[str, Any]:
    """One file for the template: finished strings, and what was typed about it."""
    own = typed.files.get(one.name, TypedFile())
    shown = take_typed.in_form(one, logs)
    return {
        "n": n,
        "file": one,
        "own": own,
        "place": offered.place(one),
        "about": offered.about(one),
        "rivals": offered.rivals(one),
        "rows": offered.column_rows(take_typed.in_order(one)[: take_typed.MOST_SHOWN], asked.system),
        "fields": len(shown),
        "mark": take_typed.mark_of(shown),
        "hidden": len(one.columns) - len(shown),
        "further": take_typed.further_of(own, shown),
        "known": sum(column.channel is not None for column in one.columns),
        "names": [column.column for column in one.columns],
        "faults": offered.faults(one.faults),
        "findings": offered.findings(one),
        "parts": [
            {
                "n": place,
                "recording": recording,
                "air": offered.air(recording, asked.system),
                "pulls": offered.pulls(recording, asked.system),
                "choices": offered.choices(recording),
                "said": offered.said(recording),
            }
            for place, recording in enumerate(one.recordings)
        ],
    }
