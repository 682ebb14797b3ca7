"""One pull: what came out, what was found, its channels, and what a person says of it."""

from collections.abc import Callable, Mapping
from dataclasses import replace
from functools import partial
from typing import Annotated, Any
from urllib.parse import quote

from fastapi import APIRouter, Form, Query, Response
from fastapi import Path as FromPath
from fastapi.responses import FileResponse

from fairpull.show import chart_pull_panels, chart_pull_rows, pull_csv
from fairpull.show.facts import pull, pull_made, pull_tables, pull_words
from fairpull.show.facts.words import axis_range, plain
from fairpull.tasks.bench.lists import mark_pull
from fairpull.tasks.bench.moving import move_pull
from fairpull.tasks.bench.one_pull import pull_name
from fairpull.tasks.bench.pull_page import original_of, paper_of, pull_page
from fairpull.terms.bench import COUNTS, SET_ASIDE, VOID
from fairpull.terms.errors import FairpullError, Fault, UnknownName, ValueRefused
from fairpull.terms.pull_page import PullPage
from fairpull.web import figures
from fairpull.web.ask import Asked
from fairpull.web.names import known

router = APIRouter()

LONGEST = 400
LONGEST_NOTE = 8000
BEHIND = 6  # earlier pulls behind the curve
CURVE, CHANNELS = "curve", "channels"
STATES = (("counts", COUNTS), ("aside", SET_ASIDE), ("void", VOID))
"""What the form sends, and the book's word for it."""
FORMS = {
    "mark": ("state", "reason", "valid_to", "by"),
    "move": ("build", "why", "by"),
    "remark": ("text", "by"),
}
"""What can be typed into each form."""
FIELDS = {"--valid-to": "counts up to"}
"""What a refusal calls a field of the command line -> what the form calls it."""

Name = Annotated[str, FromPath(max_length=LONGEST)]
By = Annotated[str, Query(max_length=8)]
Chosen = Annotated[list[str] | None, Query(max_length=LONGEST)]
Short = Annotated[str, Form(max_length=LONGEST)]
Long = Annotated[str, Form(max_length=LONGEST_NOTE)]


@router.get("/pulls/{name:path}/chart/{chart}.{kind}")
def chart(asked: Asked, name: Name, chart: str, kind: str, by: By = "", channels: Chosen = None) -> Response:
    """One of the two charts, live or as a file to take away."""
    if chart not in (CURVE, CHANNELS):
        raise UnknownName(Fault("chart-unknown", "chart", repr(plain(chart)), f"one of: {CURVE}, {CHANNELS}"))
    with asked.book() as kept:
        page = pull_page(kept, known(name), earlier=BEHIND if chart == CURVE else 1)
    if chart == CURVE:
        return figures.answer(
            asked,
            kind,
            draw=partial(_curve, page, asked.system, kind == "json"),
            csv=lambda: pull_csv.curve_csv(page, asked.system),
            name=f"{page.line.name}-curve",
            reading=lambda: _reading(chart_pull_rows.curve_reading(page, asked.system)),
            key=_evidence(page),
        )
    along, only = chart_pull_panels.asked(by), tuple(channels or ())
    return figures.answer(
        asked,
        kind,
        draw=partial(_channels, page, asked.system, along, only, kind == "json"),
        csv=lambda: _trace_text(page, asked.system),
        name=f"{page.line.name}-channels",
        reading=lambda: _spoken(page, along, asked.system, only),
        key=f"{_evidence(page)} {along} {only!r}",
    )


def _evidence(page: PullPage) -> str:
    """Everything that decides a chart of this pull but its looks."""
    line = page.line
    earlier = [(one.curve.name, one.curve.tested, one.factor) for one in page.earlier]
    return repr(
        (line.name, line.trace, line.taken_at, line.valid_to, len(page.marks), page.making, page.signs, earlier)
    )


def _curve(page: PullPage, system: str, live: bool, theme: Any, size: Any) -> Any:
    from fairpull.show import chart_pull

    return chart_pull.curve(page, theme, size, system, live=live)


def _channels(page: PullPage, system: str, by: str, only: tuple[str, ...], live: bool, theme: Any, size: Any) -> Any:
    from fairpull.show import chart_pull_channels

    return chart_pull_channels.channels(page, theme, size, system, by=by, only=only, live=live)


def _reading(told: tuple[list[tuple[str, str]], list[dict[str, Any]]]) -> dict[str, Any]:
    return {"fields": told[0], "rows": told[1]}


def _spoken(page: PullPage, by: str, system: str, only: tuple[str, ...]) -> dict[str, Any]:
    return _reading(chart_pull_panels.spoken(*chart_pull_panels.reading(page, by, system, only)))


@router.get("/pulls/{name:path}/original")
def original(asked: Asked, name: Name) -> Response:
    """The file as it was taken in, byte for byte."""
    with asked.book() as kept:
        path, file_name = original_of(kept, known(name))
    return FileResponse(path, media_type="application/octet-stream", headers=_attached(file_name))


@router.get("/pulls/{name:path}/papers/{sha256}")
def paper(asked: Asked, name: Name, sha256: Annotated[str, FromPath(max_length=64)]) -> Response:
    """A photograph or another file that lies beside the pull."""
    with asked.book() as kept:
        path, file_name = paper_of(kept, known(name), known(sha256))
    return FileResponse(path, media_type="application/octet-stream", headers=_attached(file_name))


@router.get("/pulls/{name:path}/trace.csv")
def trace(asked: Asked, name: Name) -> Response:
    """Every channel, every row."""
    with asked.book() as kept:
        page = pull_page(kept, known(name))
    headers = _attached(f"{page.line.name}.csv")
    return Response(_trace_text(page, asked.system), media_type="text/csv; charset=utf-8", headers=headers)


def _trace_text(page: PullPage, system: str) -> str:
    if page.trace is None:
        raise ValueRefused(page.faults)
    return pull_csv.trace_csv(page.trace, system)


def _attached(file_name: str) -> dict[str, str]:
    """Headers of a file to keep: its name without any folder, and no guess at what it is."""
    bare = plain(file_name).replace("\\", "/").rpartition("/")[2].strip(". ") or "pull"
    disposition = f"attachment; filename*=UTF-8''{quote(bare, safe='')}"
    return {"content-disposition": disposition, "x-content-type-options": "nosniff"}


@router.post("/pulls/{name:path}/mark")
def mark(
    asked: Asked, name: Name, state: Short = "", reason: Long = "", valid_to: Short = "", by: Short = ""
) -> Response:
    """It counts, is set aside, or is void."""
    typed = {"state": state, "reason": reason, "valid_to": valid_to, "by": by}
    return _done(
        asked,
        name,
        "mark",
        typed,
        lambda kept, it: mark_pull(kept, it, state, plain(reason), valid_to=plain(valid_to), by=plain(by)),
    )


@router.post("/pulls/{name:path}/move")
def move(asked: Asked, name: Name, build: Short = "", why: Long = "", by: Short = "") -> Response:
    """It ran with another build."""

    def moved(kept: Any, it: str) -> None:
        if kept.pull(it).build == build:
            remedy = "name the build that it really ran with, or leave it"
            raise ValueRefused(Fault("moved-to-itself", it, f"it is {build}'s already", remedy))
        move_pull(kept, it, known(build), plain(why), by=plain(by))

    return _done(asked, name, "move", {"build": build, "why": why, "by": by}, moved)


@router.post("/pulls/{name:path}/remark")
def remark(asked: Asked, name: Name, text: Long = "", by: Short = "") -> Response:
    """A note in somebody's words."""
    said = "\n".join(plain(line) for line in text.splitlines())
    typed = {"text": text, "by": by}
    return _done(asked, name, "remark", typed, lambda kept, it: kept.remark(("pull", it), said, plain(by)))


def _done(asked: Asked, name: str, form: str, typed: dict[str, str], change: Callable[[Any, str], object]) -> Response:
    """Change the book and show the pull again; a refusal shows what was typed with it."""
    refused: FairpullError | None = None
    with asked.book(write=True) as kept:
        line = kept.pull(known(name))
        try:
            change(kept, line.name)
        except FairpullError as error:
            refused = ValueRefused([replace(one, where=FIELDS.get(one.where, one.where)) for one in error.faults])
    if refused is not None:
        return _shown(asked, line.name, "", (), 422, form=form, typed=typed, refused=refused)
    after = "#of-remarks" if form == "remark" else ""  # state and build stand on top
    return asked.away(f"/pulls/{quote(line.name, safe='')}{after}")


@router.get("/pulls/{name:path}")
def show(asked: Asked, name: Name, by: By = "", channels: Chosen = None) -> Response:
    """The page."""
    with asked.book() as kept:
        real = pull_name(kept, known(name))
    if real != name:
        return asked.away(f"/pulls/{quote(real, safe='')}")
    return _shown(asked, real, by, tuple(channels or ()), 200)


def _shown(
    asked: Asked,
    name: str,
    by: str,
    only: tuple[str, ...],
    status: int,
    form: str = "",
    typed: Mapping[str, str] | None = None,
    refused: FairpullError | None = None,
) -> Response:
    with asked.book() as kept:
        page = pull_page(kept, name)
        builds = tuple(sheet.name for sheet in kept.sheets("build"))
    system = asked.system
    along = chart_pull_panels.asked(by)
    clock = page.trace is not None and chart_pull_panels.has_time(page.trace)
    return asked.page(
        "pull.html",
        status,
        page=page,
        line=page.line,
        head=pull.head(page, system),
        told=pull.told(page),
        blind=pull.blind(page),
        others=pull.other_findings(page),
        made=pull_made.headline(page, system),
        derived_made=pull_made.derived(page),
        by_rpm=pull_tables.by_rpm(page, system),
        health=pull_tables.health(page),
        conditions=pull_tables.conditions(page, system),
        choices=pull_tables.choices(page),
        reading=pull_tables.reading(page),
        paper=pull_tables.paper(page),
        history=pull_tables.history(page),
        captions=(pull_words.curve_caption(page), pull_words.channels_caption(page)),
        alts=(pull_words.curve_alt(page, system), pull_words.channels_alt(page, along)),
        along=along if clock else chart_pull_panels.RPM,
        clock=clock,
        groups=() if page.trace is None else chart_pull_panels.names(page.trace, along),
        only=only,
        notes=pull_tables.notes(page),
        tested=axis_range(*page.line.tested),
        now=next(key for key, state in STATES if state == page.line.state),
        may_write=asked.role == "writes",
        builds=builds,
        states=STATES,
        form=form,
        typed={one: {key: (typed or {}).get(key, "") if one == form else "" for key in FORMS[one]} for one in FORMS},
        refused=refused,
    )
