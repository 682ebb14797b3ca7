"""What pages load beside themselves: style sheets and scripts, held in memory under the hash of their content."""

from __future__ import annotations

import gzip
from dataclasses import dataclass
from functools import cache
from hashlib import sha256
from pathlib import Path

import js_lib_htmx
from fastapi import APIRouter, HTTPException, Request, Response

router = APIRouter()

STATIC = Path(__file__).parent / "static"
HTMX = Path(js_lib_htmx.__file__).parent / "static" / "htmx" / "htmx.min.js"
TYPES = {"css": "text/css; charset=utf-8", "js": "text/javascript; charset=utf-8", "svg": "image/svg+xml"}
NAMES = ("look.css", "pages.css", "figures.js", "pages.js", "htmx.js", "vega.js", "mark.svg")


@dataclass(frozen=True, slots=True)
class Held:
    """One file: its content, packed too, and a short hash of it."""

    content: bytes
    packed: bytes
    mark: str


def _content(name: str) -> str:
    if name == "look.css":
        from fairpull.show.page_look import style

        return style()
    if name == "vega.js":
        from fairpull.show.report_figures import script

        return script()
    path = HTMX if name == "htmx.js" else STATIC / name
    return path.read_text(encoding="utf-8")


@cache
def held(name: str) -> Held:
    """A file by name.

    Args:
        name: one of ``NAMES``.

    Returns:
        It.
    """
    content = _content(name).encode("utf-8")
    return Held(content, gzip.compress(content, 9, mtime=0), sha256(content).hexdigest()[:12])


@cache
def address(name: str) -> str:
    """Where a page finds a file: the address changes with the content, so that browsers may keep it.

    Args:
        name: one of ``NAMES``. The charting library is made while pages are shown already, so its release stands in
            its address instead of its hash.

    Returns:
        Path and query.
    """
    if name == "vega.js":
        import vl_convert

        return f"/static/{name}?v={vl_convert.get_vega_version()}-{vl_convert.get_vega_embed_version()}"
    return f"/static/{name}?v={held(name).mark}"


@router.get("/static/{name}")
def static(request: Request, name: str) -> Response:
    """A file."""
    if name not in NAMES:
        raise HTTPException(404, "no such file")
    found = held(name)
    kind = TYPES[name.rsplit(".", 1)[1]]
    if "gzip" in request.headers.get("accept-encoding", ""):
        return Response(found.packed, media_type=kind, headers={"content-encoding": "gzip", "vary": "accept-encoding"})
    return Response(found.content, media_type=kind, headers={"vary": "accept-encoding"})
