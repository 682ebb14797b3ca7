"""What is taken away from a sheet: its charts, its text, the papers beside it."""

import re
from functools import partial
from typing import Annotated, Any

from fastapi import APIRouter, Query, Response
from fastapi import Path as FromPath
from fastapi.responses import FileResponse

from fairpull.show.facts.words import plain
from fairpull.tasks.bench.sheet_computed import sheet_view
from fairpull.tasks.bench.sheet_files import sheet_text
from fairpull.terms.errors import Fault, UnknownName
from fairpull.web import figures
from fairpull.web.ask import Asked
from fairpull.web.names import known
from fairpull.web.sheet_ask import Kind, Name, attached, known_kind, number

router = APIRouter()

FLOW, CAM = "flow", "cam"
Version = Annotated[str, Query(max_length=12)]
_HASH = re.compile(r"[0-9a-f]{64}")


@router.get("/sheets/{kind}/{name:path}/chart/{chart}.{ending}")
def chart(asked: Asked, kind: Kind, name: Name, chart: str, ending: str, version: Version = "") -> Response:
    """Flow table or cam card, live or as a file."""
    with asked.book() as kept:
        view = sheet_view(kept, known_kind(kind), known(name), number(version))
    system = asked.system
    if chart == FLOW and view.flow is not None:
        from fairpull.show import chart_flow

        return figures.answer(
            asked,
            ending,
            draw=partial(_flow, view.flow, name, system),
            csv=lambda: chart_flow.flow_csv(view.flow, system) if view.flow else "",
            name=f"{name}-flow",
            reading=lambda: chart_flow.reading(view.flow, system) if view.flow else {},
            key=repr((view.flow, name)),
        )
    if chart == CAM and view.cams:
        from fairpull.show import chart_cam

        return figures.answer(
            asked,
            ending,
            draw=lambda theme, size: chart_cam.card(view.cams, plain(name), theme, size),
            csv=lambda: chart_cam.card_csv(view.cams),
            name=f"{name}-valve-events",
            key=repr((view.cams, name)),
        )
    raise UnknownName(Fault("chart-unknown", "chart", repr(plain(chart[:40])), f"one of: {FLOW}, {CAM}"))


def _flow(bench: Any, name: str, system: str, theme: Any, size: Any) -> Any:
    from fairpull.show import chart_flow

    return chart_flow.flow(bench, plain(name), theme, size, system)


@router.get("/sheets/{kind}/{name:path}/papers/{sha256}")
def paper(asked: Asked, kind: Kind, name: Name, sha256: Annotated[str, FromPath(max_length=80)]) -> Response:
    """A photograph or another file that lies beside the sheet."""
    fault = Fault("not-in-book", f"{kind} {plain(name)}", "no such paper lies beside it", "see its page")
    if not _HASH.fullmatch(sha256):
        raise UnknownName(fault)
    with asked.book() as kept:
        kept.sheet(known_kind(kind), known(name))
        laid = next((one for one in kept.attachments((kind, name)) if one.sha256 == sha256), None)
        if laid is None:
            raise UnknownName(fault)
        path = kept.original(laid.sha256)
    return FileResponse(path, media_type="application/octet-stream", headers=attached(laid.file_name))


@router.get("/sheets/{kind}/{name:path}.toml")
def text(asked: Asked, kind: Kind, name: Name, version: Version = "") -> Response:
    """The sheet as the text of its file."""
    with asked.book() as kept:
        sheet = kept.sheet(known_kind(kind), known(name), number(version))
    return Response(sheet_text(sheet), media_type="application/toml", headers=attached(f"{sheet.name}.toml"))
