"""The pages joined: routes, guards around them, and an answer for everything that goes wrong."""

from __future__ import annotations

import threading
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager

from fastapi import FastAPI, Request, Response
from fastapi.exceptions import RequestValidationError
from fastapi.responses import HTMLResponse, RedirectResponse
from starlette.exceptions import HTTPException
from starlette.middleware.gzip import GZipMiddleware
from starlette.types import ASGIApp

from fairpull.terms.errors import BookRefused, FairpullError, Fault, UnknownName
from fairpull.web import static_files
from fairpull.web.ask import Ask, NoBook
from fairpull.web.guard.doors import Doors, guarded
from fairpull.web.pages import PAGES
from fairpull.web.shop import Shop

SMALLEST_PACKED = 1200


class Pages(FastAPI):
    """The application with its guards outermost, around its own error answers too."""

    doors: Doors = Doors()

    def build_middleware_stack(self) -> ASGIApp:
        """All layers, the guards outside."""
        return guarded(super().build_middleware_stack(), self.doors)


def create_app(shop: Shop) -> Pages:
    """The pages of one book.

    Args:
        shop: where the book lies and how the server is reached.

    Returns:
        The application.
    """
    app = Pages(title="fairpull", docs_url=None, redoc_url=None, openapi_url=None, lifespan=_warm)
    app.doors = Doors(shop.port, shop.names, shop.open_to_network, shop.behind_proxy, shop.wanted)
    app.state.shop = shop
    app.include_router(static_files.router, include_in_schema=False)
    for router in PAGES:
        app.include_router(router)
    app.add_middleware(GZipMiddleware, minimum_size=SMALLEST_PACKED)
    app.add_exception_handler(FairpullError, _refused)
    app.add_exception_handler(HTTPException, _not_so)
    app.add_exception_handler(RequestValidationError, _unreadable)
    app.add_exception_handler(NoBook, _first)
    app.add_exception_handler(Exception, _broken)
    return app


@asynccontextmanager
async def _warm(app: FastAPI) -> AsyncIterator[None]:
    """Make what takes a moment while the first page is still being read."""
    threading.Thread(target=_make_ready, name="warm", daemon=True).start()
    yield


def _make_ready() -> None:
    """Packed files, and the libraries that the first comparison would otherwise wait for."""
    from fairpull.show import chart_pull, charts
    from fairpull.tasks.bench import seen

    del chart_pull, charts, seen
    for name in static_files.NAMES:
        static_files.held(name)


def _error_page(request: Request, status: int, title: str, faults: tuple[Fault, ...]) -> Response:
    return Ask(request).page("error.html", status, title=title, faults=faults)


def _refused(request: Request, error: Exception) -> Response:
    assert isinstance(error, FairpullError)
    status = 404 if isinstance(error, UnknownName) else 409 if isinstance(error, BookRefused) else 422
    title = "Not in this book" if status == 404 else "Not possible like this"
    return _error_page(request, status, title, error.faults)


def _not_so(request: Request, error: Exception) -> Response:
    assert isinstance(error, HTTPException)
    titles = {404: "No such page", 405: "Not possible here", 403: "Not allowed"}
    fault = Fault("no-page", request.url.path[:200], str(error.detail), "go back, or find it by name")
    return _error_page(request, error.status_code, titles.get(error.status_code, "Not possible"), (fault,))


def _unreadable(request: Request, error: Exception) -> Response:
    assert isinstance(error, RequestValidationError)
    faults = tuple(
        Fault("bad-value", str(one["loc"][-1])[:80], str(one["msg"])[:200], "change the value and send it again")
        for one in error.errors()
    )
    return _error_page(request, 422, "A value cannot be read", faults)


def _first(request: Request, error: Exception) -> Response:
    return RedirectResponse("/first", 303)


BROKEN = """<!doctype html>
<html lang="en"><head><meta charset="utf-8"><title>A fault of fairpull</title></head>
<body><main><h1>A fault of fairpull itself</h1>
<p>Nothing was changed. What happened stands in the terminal where fairpull serve runs.</p>
<p><a href="/">Back to the first page</a></p></main></body></html>
"""


def _broken(request: Request, error: Exception) -> Response:
    """Without the layout, which may be what broke. The server's own log has the rest."""
    return HTMLResponse(BROKEN, 500)
