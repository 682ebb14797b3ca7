"""Headers that every answer carries, whatever it is: pages, pictures, errors and refusals."""

from __future__ import annotations

from starlette.datastructures import MutableHeaders
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from fairpull.web.guard.refusals import Page, Refusal, plain_page, refuse

PAGES_POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; connect-src 'self'; "
    "font-src 'none'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
)
FILES_POLICY = "default-src 'none'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'; sandbox"
"""For what is handed over as a file: should a browser show it all the same, nothing in it runs."""
DEVICE = (
    "accelerometer camera display-capture geolocation gyroscope hid magnetometer microphone midi payment serial usb"
)
NOTHING_OF_THE_DEVICE = ", ".join(f"{feature}=()" for feature in DEVICE.split())
ALWAYS = {
    "x-content-type-options": "nosniff",
    "x-frame-options": "DENY",
    "referrer-policy": "same-origin",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
    "permissions-policy": NOTHING_OF_THE_DEVICE,
}
NOT_KEPT = "no-store"
KEPT = "private, max-age=31536000, immutable"
KEPT_SHORTLY = "private, max-age=300"
STATIC = "/static/"
FAULT = 400
BROKEN = Refusal(500, "Something broke", "The server could not answer this request.", "Go back and try once more.")


class Headers:
    """The outermost layer."""

    def __init__(self, app: ASGIApp, page: Page = plain_page) -> None:
        """Around an app; ``page`` draws the page for what nothing inside could answer."""
        self._app, self._page = app, page

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer a request with all headers."""
        if scope["type"] != "http":
            await self._other(scope, receive, send)
            return
        started = False

        async def told(message: Message) -> None:
            nonlocal started
            if message["type"] == "http.response.start":
                started = True
                dress(scope, message)
            await send(message)

        try:
            await self._app(scope, receive, told)
        except Exception:
            if not started:
                await refuse(BROKEN, scope, told, self._page)
            raise

    async def _other(self, scope: Scope, receive: Receive, send: Send) -> None:
        """The server's own start and stop pass; nothing here speaks by web sockets."""
        if scope["type"] == "lifespan":
            await self._app(scope, receive, send)
        elif scope["type"] == "websocket":
            await send({"type": "websocket.close", "code": 1008})


def dress(scope: Scope, start: Message) -> None:
    """Put the headers on an answer.

    Args:
        scope: of the request.
        start: the message that begins the answer; changed.
    """
    start.setdefault("headers", [])
    headers = MutableHeaders(scope=start)
    for name, value in ALWAYS.items():
        headers[name] = value
    handed_over = headers.get("content-disposition", "").lower().startswith("attachment")
    headers["content-security-policy"] = FILES_POLICY if handed_over else PAGES_POLICY
    if start["status"] >= FAULT:
        headers["cache-control"] = NOT_KEPT
    elif "cache-control" not in headers:
        headers["cache-control"] = _keeping(scope)
    del headers["server"]


def _keeping(scope: Scope) -> str:
    """How long a browser may keep an answer that does not say so itself."""
    if not scope["path"].startswith(STATIC):
        return NOT_KEPT
    return KEPT if scope.get("query_string") else KEPT_SHORTLY
