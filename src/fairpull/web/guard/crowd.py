"""Many ask at once, few are worked on at once: the rest stand in line for a while, and nobody gets an error for it."""

from __future__ import annotations

import asyncio
from weakref import WeakKeyDictionary

from starlette.types import ASGIApp, Receive, Scope, Send

from fairpull.web.guard.headers import STATIC
from fairpull.web.guard.refusals import Page, Refusal, plain_page, refuse

AT_ONCE = 16
LINE = 3000
PATIENCE = 120.0  # [s]; a browser waits longer
LOG_INS = 8
"""Log-ins worked on at once: strangers send them, and must not fill the line of those who are in."""
FULL = Refusal(
    429,
    "Many ask at once",
    "More people ask than can be answered now.",
    "Load the page again in a moment.",
    (("retry-after", "5"),),
)


class Crowd:
    """Lets a bounded number of requests in."""

    def __init__(
        self,
        app: ASGIApp,
        page: Page = plain_page,
        *,
        at_once: int = AT_ONCE,
        line: int = LINE,
        patience: float = PATIENCE,
    ) -> None:
        """Around an app."""
        self._app, self._page, self._patience = app, page, patience
        self._pages, self._log_ins = _Door(at_once, line), _Door(LOG_INS, line // 10)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Hand on when there is room; refuse when there is none for long."""
        if scope["type"] != "http" or scope["path"].startswith(STATIC):
            await self._app(scope, receive, send)
            return
        door = self._log_ins if scope["path"] == "/log-in" else self._pages
        if not await door.enter(self._patience):
            await refuse(FULL, scope, send, self._page)
            return
        try:
            await self._app(scope, receive, send)
        finally:
            door.leave()


class _Door:
    """A bounded room with a bounded line before it, one for each event loop (tests have several)."""

    def __init__(self, at_once: int, line: int) -> None:
        self._at_once, self._most, self._present = at_once, at_once + line, 0
        self._rooms: WeakKeyDictionary[asyncio.AbstractEventLoop, asyncio.Semaphore] = WeakKeyDictionary()

    async def enter(self, patience: float) -> bool:
        """Whether there was room before patience ended; then ``leave`` must follow."""
        if self._present >= self._most:
            return False
        self._present += 1
        try:
            async with asyncio.timeout(patience):
                await self._room().acquire()
        except BaseException as error:
            self._present -= 1
            if isinstance(error, TimeoutError):
                return False
            raise
        return True

    def leave(self) -> None:
        """Make room for the next."""
        self._present -= 1
        self._room().release()

    def _room(self) -> asyncio.Semaphore:
        return self._rooms.setdefault(asyncio.get_running_loop(), asyncio.Semaphore(self._at_once))
