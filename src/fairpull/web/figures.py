"""A chart by its address: the live document, or a file to take away."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from hashlib import sha256
from typing import TYPE_CHECKING, Any
from urllib.parse import quote

from fastapi import HTTPException, Response

from fairpull.show.chart_theme import SIZES, THEMES, Size, Theme

if TYPE_CHECKING:
    from fairpull.web.ask import Ask

TYPES = {
    "json": "application/json",
    "svg": "image/svg+xml",
    "png": "image/png",
    "pdf": "application/pdf",
    "csv": "text/csv; charset=utf-8",
}


def answer(
    asked: Ask,
    kind: str,
    *,
    draw: Callable[[Theme, Size], Mapping[str, Any]],
    csv: Callable[[], str],
    name: str,
    reading: Callable[[], Mapping[str, Any]] | None = None,
    key: str = "",
) -> Response:
    """A chart in the kind that the address names.

    Args:
        asked: the request; its query may name theme and size ("wide", "narrow"), and ``away=1`` makes it a download.
        kind: one of ``TYPES``.
        draw: the chart as a Vega-Lite document.
        csv: what it draws, as a table.
        name: of the file, without its ending.
        reading: what the keyboard's reader says: "fields" and "rows".
        key: everything but kind, theme, size and units that decides the chart; "" draws it each time.

    Returns:
        The answer; 304 where the browser has it already.

    Raises:
        HTTPException: 404, no such kind, theme or size.
    """
    query = asked.request.query_params
    theme, size = query.get("theme", "light"), query.get("size", "wide")
    if kind not in TYPES or theme not in (*THEMES, "auto") or size not in SIZES:
        raise HTTPException(404, "no such chart")
    look = THEMES["light" if theme == "auto" else theme]

    def make() -> bytes:
        return _made(kind, lambda: draw(look, SIZES[size]), csv, reading)

    content = _kept(f"{key} {name} {kind} {theme} {size} {asked.system}", make) if key else make()
    mark = f'"{sha256(content).hexdigest()[:24]}"'
    headers = {"etag": mark, "cache-control": "private, no-cache"}
    if asked.request.headers.get("if-none-match") == mark:
        return Response(status_code=304, headers=headers)
    if kind in ("pdf", "csv") or query.get("away"):
        headers["content-disposition"] = f"attachment; filename*=UTF-8''{quote(name, safe='')}.{kind}"
    return Response(content, media_type=TYPES[kind], headers=headers)


def _kept(key: str, make: Callable[[], bytes]) -> bytes:
    from fairpull.tasks.bench.seen import drawn

    return drawn(key, make)


def _made(
    kind: str,
    draw: Callable[[], Mapping[str, Any]],
    csv: Callable[[], str],
    reading: Callable[[], Mapping[str, Any]] | None,
) -> bytes:
    if kind == "csv":
        return csv().encode("utf-8")
    document = dict(draw())
    if kind == "json":
        document.pop("title", None)  # the page's own headings say it
        read = reading() if reading else None
        return json.dumps({"spec": document, "reading": read}, allow_nan=False, separators=(",", ":")).encode("utf-8")
    from fairpull.show.pictures import render

    return render(document, kind)
