"""A visit: one browser's stay, known by a cookie; whoever is logged in with it; and the token its forms carry."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from pathlib import Path
from typing import TypeVar

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from fairpull.tasks.shop.passwords import FILE, NONE, WRITES, Passwords, read_passwords
from fairpull.terms.errors import BookRefused
from fairpull.web.guard.headers import STATIC
from fairpull.web.guard.proxies import client_address
from fairpull.web.guard.rates import Tries
from fairpull.web.guard.refusals import header_values
from fairpull.web.guard.sessions import Session, Sessions
from fairpull.web.guard.tokens import Seal, new_name

Found = TypeVar("Found")
SCOPE = "fairpull.visit"
FIELD = "token"
HEADER = "x-token"
HASHERS = 2  # passwords checked at once: each takes 64 MB and a moment of a core
LONGEST_TOKEN = 100


@dataclass(slots=True)
class Desk:
    """What the guards of one server share.

    Attributes:
        port: of the server; cookies do not tell ports apart, so their names do.
        needed: whether a log-in is needed.
        folder: the book's, where the passwords lie.
        seal, sessions, tries: of this process.
        hashers: threads that check passwords.
    """

    port: int
    needed: bool = False
    folder: Path | None = None
    seal: Seal = field(default_factory=Seal)
    sessions: Sessions = field(default_factory=Sessions)
    tries: Tries = field(default_factory=Tries)
    hashers: ThreadPoolExecutor = field(default_factory=lambda: ThreadPoolExecutor(HASHERS, "passwords"))
    _read: tuple[tuple[int, int], Passwords] = ((0, 0), NONE)

    def passwords(self) -> Passwords:
        """The shop's passwords as they stand now.

        Returns:
            Them; none where the file is gone or damaged, so that nobody gets in.
        """
        if self.folder is None:
            return NONE
        try:
            state = (self.folder / FILE).stat()
            if self._read[0] != (state.st_mtime_ns, state.st_ino):
                self._read = ((state.st_mtime_ns, state.st_ino), read_passwords(self.folder))
        except (OSError, BookRefused):
            return NONE
        return self._read[1]


@dataclass(slots=True)
class Visit:
    """One request's view of who asks.

    Attributes:
        name: of the visit.
        client: address, as a proxy on this machine tells it.
        secure: the browser speaks TLS.
        session: of whoever is logged in.
        desk: shared by all.
    """

    name: str
    client: str
    secure: bool
    session: Session | None
    desk: Desk
    cookies: list[str] = field(default_factory=list)

    @property
    def role(self) -> str:
        """ "reads", "writes", or "" where nobody is logged in and somebody should be."""
        if not self.desk.needed:
            return WRITES
        return self.session.role if self.session else ""

    @property
    def token(self) -> str:
        """What forms of this visit carry."""
        return self.desk.seal.token(self.name, self.session.name if self.session else "")

    def begin(self) -> None:
        """Give the visit a new name and cookie."""
        self.name = new_name()
        self._hand_out("visit", self.desk.seal.cookie(self.name))

    def log_in(self, role: str) -> None:
        """Begin a session. Names that were in use before are worth nothing afterwards.

        Args:
            role: "reads" or "writes".
        """
        if self.session:
            self.desk.sessions.end(self.session.name)
        self.begin()
        self.session = self.desk.sessions.begin(role, self.desk.passwords().stamp(role))
        self._hand_out("session", self.session.name)

    def log_out(self) -> None:
        """End the session."""
        if self.session:
            self.desk.sessions.end(self.session.name)
        self.session = None
        self.begin()
        self._hand_out("session", "", "; Max-Age=0")

    def _hand_out(self, kind: str, value: str, more: str = "") -> None:
        secure = "; Secure" if self.secure else ""
        name = cookie_name(kind, self.desk.port, self.secure)
        self.cookies.append(f"{name}={value}; Path=/; HttpOnly; SameSite=Strict{secure}{more}")


def cookie_name(kind: str, port: int, secure: bool) -> str:
    """What a cookie is called.

    Args:
        kind: "visit" or "session".
        port: of the server.
        secure: the browser speaks TLS; then the name asks it to let nobody but this host set the cookie.

    Returns:
        The name.
    """
    return f"__Host-fairpull-{kind}" if secure else f"fairpull-{port}-{kind}"


class Visits:
    """Finds out who asks, and hands cookies out."""

    def __init__(self, app: ASGIApp, desk: Desk) -> None:
        """Around an app."""
        self._app, self._desk = app, desk

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Hand on with the visit in the request's scope."""
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return
        visit = found_visit(scope, self._desk)
        if not visit.name and not scope["path"].startswith(STATIC):
            visit.begin()

        async def told(message: Message) -> None:
            if message["type"] == "http.response.start":
                cookies = [(b"set-cookie", cookie.encode("latin-1")) for cookie in visit.cookies]
                message["headers"] = [*message.get("headers", ()), *cookies]
            await send(message)

        await self._app({**scope, SCOPE: visit}, receive, told)


def found_visit(scope: Scope, desk: Desk) -> Visit:
    """The visit that a request's cookies name.

    Args:
        scope: of the request.
        desk: shared by all.

    Returns:
        The visit; without a name where there is none.
    """
    secure = scope["scheme"] == "https"
    name = _first("visit", scope, desk.port, secure, desk.seal.visit) or ""
    session = _first("session", scope, desk.port, secure, desk.sessions.of) if desk.needed else None
    if session and (not name or session.stamp != desk.passwords().stamp(session.role)):
        desk.sessions.end(session.name)
        session = None
    return Visit(name, client_address(scope), secure, session, desk)


def _first(kind: str, scope: Scope, port: int, secure: bool, known: Callable[[str], Found | None]) -> Found | None:
    """What the first cookie of this name that is ours means; others may have laid one of the same name beside it."""
    wanted = cookie_name(kind, port, secure)
    pairs = (pair.strip().partition("=") for value in header_values(scope, b"cookie") for pair in value.split(";"))
    found = (known(value) for name, _, value in pairs if name == wanted and value)
    return next((one for one in found if one), None)


def visit_of(request: Request) -> Visit:
    """The visit that a request belongs to.

    Args:
        request: any.

    Returns:
        The visit.
    """
    visit: Visit = request.scope[SCOPE]
    return visit


def token_of(request: Request) -> str:
    """The token that a form on this page carries.

    Args:
        request: that the page answers.

    Returns:
        The token.
    """
    return visit_of(request).token


def check_token(request: Request, given: str) -> bool:
    """Whether a change carries its visit's token.

    Args:
        request: the change.
        given: what it carries.

    Returns:
        True where it does.
    """
    visit = visit_of(request)
    session = visit.session.name if visit.session else ""
    return len(given) <= LONGEST_TOKEN and visit.desk.seal.good_token(given, visit.name, session)


async def need_token(request: Request) -> None:
    """Refuse a change without its visit's token, in the header ``X-Token`` or the form field ``token``.

    Args:
        request: the change.

    Raises:
        HTTPException: 403.
    """
    given = request.headers.get(HEADER, "")
    if not given:
        field_ = (await request.form()).get(FIELD)
        given = field_ if isinstance(field_, str) else ""
    if not check_token(request, given):
        raise HTTPException(403, "this form is older than the server's start or your log-in: open its page again")
