"""What is sent along is counted while it comes: too much is refused, and what hardly moves is not waited for."""

from __future__ import annotations

import asyncio
import time
from collections.abc import Callable
from dataclasses import dataclass, field

from starlette.exceptions import HTTPException
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from fairpull.web.guard.refusals import CLOSE, Page, Refusal, header_values, plain_page, refuse

MEGABYTE = 1_000_000
FORMS = MEGABYTE
UPLOADS = 256 * MEGABYTE
LOG_IN = 8_000
IDLE = 20.0  # [s] without a single byte
GRACE = 30.0  # [s] before the pace counts
PACE = 16_000.0  # [bytes/s] that a body must keep up on the whole
_LONGEST_NUMBER = 18
SLOW = Refusal(408, "Nothing came", "The request was not sent to its end in time.", "Send it once more.", CLOSE)
MALFORMED = Refusal(400, "Not a request", "The length of the request is not clear.", "Use a current browser.", CLOSE)


@dataclass(frozen=True, slots=True)
class Limits:
    """How much may be sent, and how slowly.

    Attributes:
        forms: bytes of any form.
        uploads: bytes of what is posted under ``/take``.
        log_in: bytes of the log-in form.
        idle: seconds without a byte.
        grace: seconds before the pace counts.
        pace: bytes a second on the whole.
    """

    forms: int = FORMS
    uploads: int = UPLOADS
    log_in: int = LOG_IN
    idle: float = IDLE
    grace: float = GRACE
    pace: float = PACE

    def of(self, path: str) -> int:
        """Bytes that may be sent to an address.

        Args:
            path: of the request.

        Returns:
            The limit.
        """
        if path == "/take" or path.startswith("/take/"):
            return self.uploads
        return self.log_in if path == "/log-in" else self.forms


def too_large(limit: int) -> Refusal:
    """The refusal of a body over its limit.

    Args:
        limit: in bytes.

    Returns:
        The refusal.
    """
    shown = f"{limit // MEGABYTE} MB" if limit >= MEGABYTE else f"{limit // 1000} kB"
    remedy = "Send less at once; large logs are taken in with fairpull take."
    return Refusal(413, "Too large", f"What was sent is larger than {shown}.", remedy, CLOSE)


class Bodies:
    """Refuses bodies that are too large or never end."""

    def __init__(
        self,
        app: ASGIApp,
        limits: Limits | None = None,
        page: Page = plain_page,
        clock: Callable[[], float] = time.monotonic,
    ) -> None:
        """Around an app."""
        self._app, self._limits, self._page, self._clock = app, limits or Limits(), page, clock

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Hand on with a body that is counted, or refuse."""
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return
        limit = self._limits.of(scope["path"])
        refusal = claimed_refusal(scope, limit)
        if refusal is not None:
            await refuse(refusal, scope, send, self._page)
            return
        body = _Body(receive, self._limits, limit, self._clock)
        answered = False

        async def told(message: Message) -> None:
            nonlocal answered
            if body.refusal is None or answered:
                answered = True
                await send(message)

        try:
            await self._app(scope, body.receive, told)
        except Exception:
            if body.refusal is None:
                raise
        if body.refusal is not None and not answered:
            await refuse(body.refusal, scope, send, self._page)


def claimed_refusal(scope: Scope, limit: int) -> Refusal | None:
    """What is wrong with the length that a request claims, before any of it is read.

    Args:
        scope: of the request.
        limit: in bytes.

    Returns:
        The refusal; None where nothing is wrong.
    """
    lengths = header_values(scope, b"content-length")
    if len(lengths) > 1 or (lengths and header_values(scope, b"transfer-encoding")):
        return MALFORMED
    if not lengths:
        return None
    if not (lengths[0].isascii() and lengths[0].isdigit()):
        return MALFORMED
    return too_large(limit) if len(lengths[0]) > _LONGEST_NUMBER or int(lengths[0]) > limit else None


@dataclass(slots=True)
class _Body:
    """One body on its way in."""

    _receive: Receive
    _limits: Limits
    _limit: int
    _clock: Callable[[], float]
    refusal: Refusal | None = None
    _count: int = 0
    _ended: bool = False
    _began: float = field(default=-1.0)

    async def receive(self) -> Message:
        """The next piece; raises the refusal where there must be none."""
        if self.refusal is not None:
            return {"type": "http.disconnect"}
        if self._ended:
            return await self._receive()
        if self._began < 0:
            self._began = self._clock()
        try:
            message = await asyncio.wait_for(self._receive(), self._limits.idle)
        except TimeoutError:
            raise self._refused(SLOW) from None
        self._ended = message["type"] != "http.request" or not message.get("more_body", False)
        self._count += len(message.get("body", b""))
        if self._count > self._limit:
            raise self._refused(too_large(self._limit))
        late = self._clock() - self._began - self._limits.grace
        if not self._ended and late > self._count / self._limits.pace:
            raise self._refused(SLOW)
        return message

    def _refused(self, refusal: Refusal) -> HTTPException:
        self.refusal, self._ended = refusal, True
        return HTTPException(refusal.status, refusal.seen)
