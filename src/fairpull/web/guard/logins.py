"""On a network every page wants a log-in, and who only reads changes nothing."""

from __future__ import annotations

import asyncio
from dataclasses import dataclass
from math import ceil
from urllib.parse import quote, urlsplit

from starlette.requests import Request
from starlette.types import ASGIApp, Receive, Scope, Send

from fairpull.tasks.shop.passwords import READS, role_of
from fairpull.web.guard.headers import STATIC
from fairpull.web.guard.origins import SAFE
from fairpull.web.guard.refusals import Page, Refusal, header_values, plain_page, refuse
from fairpull.web.guard.visits import SCOPE, Visit, visit_of

LOG_IN = "/log-in"
LOG_OUT = "/log-out"
LONGEST_NEXT = 2000
STRANGER = Refusal(401, "Log in first", "This server asks everybody for a password.", "Log in, then go on.")
READER = Refusal(
    403, "You may read only", "Your password opens the book for reading.", "Log in with the password that may write."
)


class Logins:
    """Lets in who is logged in, and keeps readers from changing anything."""

    def __init__(self, app: ASGIApp, page: Page = plain_page) -> None:
        """Around an app, inside ``Visits``."""
        self._app, self._page = app, page

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Hand on, send to the log-in, or refuse."""
        refusal = self._refusal(scope) if scope["type"] == "http" else None
        if refusal is not None:
            await refuse(refusal, scope, send, self._page)
        else:
            await self._app(scope, receive, send)

    def _refusal(self, scope: Scope) -> Refusal | None:
        visit: Visit = scope[SCOPE]
        path: str = scope["path"]
        if path in (LOG_IN, LOG_OUT) or path.startswith(STATIC):
            return None
        if visit.role == READS and scope["method"] not in SAFE:
            return READER
        return None if visit.role else _to_log_in(scope)


def _to_log_in(scope: Scope) -> Refusal:
    """A person is sent to the log-in and comes back; a part of a page sends its page there."""
    there = log_in_address(scope)
    if header_values(scope, b"hx-request"):
        return Refusal(401, STRANGER.title, STRANGER.seen, STRANGER.remedy, (("hx-redirect", LOG_IN),))
    opened = header_values(scope, b"sec-fetch-dest") in ([], ["document"])
    if scope["method"] in ("GET", "HEAD") and opened:
        return Refusal(303, STRANGER.title, STRANGER.seen, STRANGER.remedy, (("location", there),))
    return STRANGER


def log_in_address(scope: Scope) -> str:
    """The log-in's address that leads back to what was asked for.

    Args:
        scope: of the request.

    Returns:
        A local address.
    """
    query = scope.get("query_string", b"").decode("latin-1")
    asked = quote(scope["path"]) + (f"?{query}" if query else "")
    return f"{LOG_IN}?next={quote(asked, safe='')}" if asked != "/" and len(asked) <= LONGEST_NEXT else LOG_IN


def local_next(given: str) -> str:
    """Where to go after the log-in, and never to another place than this server.

    Args:
        given: from outside.

    Returns:
        The same where it is a plain path of this server; else "/".
    """
    try:
        parts = urlsplit(given)
    except ValueError:
        return "/"
    proper = given.startswith("/") and not given.startswith("//") and given.isascii() and given.isprintable()
    if not proper or "\\" in given or " " in given or len(given) > 2 * LONGEST_NEXT or parts.scheme or parts.netloc:
        return "/"
    return "/" if parts.path in (LOG_IN, LOG_OUT) else given


@dataclass(frozen=True, slots=True)
class Outcome:
    """What came of a log-in.

    Attributes:
        role: that the password opened; "" for none.
        wait: seconds to wait before the next try; 0 where this one was made.
    """

    role: str = ""
    wait: int = 0


async def try_log_in(request: Request, words: str) -> Outcome:
    """Check a password and begin a session; not faster than ``rates`` allows, and few at once.

    Args:
        request: that carries it.
        words: as typed.

    Returns:
        What came of it; cookies are set by ``Visits``.

    Raises:
        MissingExtra: argon2 is not installed.
    """
    visit = visit_of(request)
    desk = visit.desk
    wait = desk.tries.begin(visit.client)
    if wait > 0:
        return Outcome(wait=ceil(wait))
    role = await asyncio.get_running_loop().run_in_executor(desk.hashers, role_of, desk.passwords(), words)
    if role:
        desk.tries.good(visit.client)
        visit.log_in(role)
    return Outcome(role)
