"""All works of one program: each under an id that nobody guesses, not too many at once, none left behind."""

from __future__ import annotations

import secrets
import threading
import time
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from fairpull.tasks.apart.limits import Limits
from fairpull.tasks.apart.running import Running, State, start
from fairpull.terms.errors import FairpullError, Fault

AT_ONCE = 6
REMEMBERED = 60  # ended works, so that a reload still tells what came of one
OLD = 3600.0  # [s]


@dataclass(frozen=True, slots=True)
class Entry:
    """A work that was started.

    Attributes:
        id: random.
        title: what it does, in a person's words.
        then: path of the page that shows what came of it; a result's own "then" goes first.
        running: the work.
        started: on the clock of ``time.monotonic`` [s].
    """

    id: str
    title: str
    then: str
    running: Running
    started: float = field(default_factory=time.monotonic)

    def state(self) -> State:
        """Where it stands."""
        return self.running.state()

    def next_page(self) -> str:
        """Path of the page that shows what came of it; "/" where none was named."""
        result = self.state().result or {}
        for path in (str(result.get("then", "")), self.then):
            if path.startswith("/") and not path.startswith(("//", "/\\")):
                return path
        return "/"


class Works:
    """The works of one program, by id."""

    def __init__(self, at_once: int = AT_ONCE) -> None:
        """Args: at_once: how many may run at a time."""
        self._at_once = at_once
        self._lock = threading.Lock()
        self._entries: dict[str, Entry] = {}
        self._closed = False

    def start(
        self, work: str, given: Mapping[str, Any], title: str, then: str = "/", limits: Limits | None = None
    ) -> str:
        """Start a work.

        Args:
            work: its name.
            given: what is asked of it, as plain data.
            title: what it does, in a person's words.
            then: path of the page to go to when it is done.
            limits: what it may use; None takes what is usual for it.

        Returns:
            Its id.

        Raises:
            UnknownName: no such work.
            FairpullError: too many run already, or the program is ending.
        """
        with self._lock:
            self._drop_old()
            running = sum(not entry.state().ended for entry in self._entries.values())
            if self._closed or running >= self._at_once:
                seen = "the program is ending" if self._closed else f"{running} works run already"
                raise FairpullError(Fault("too-many-works", title, seen, "wait until one is done, or cancel one"))
            entry = Entry(secrets.token_urlsafe(16), title, then, start(work, given, limits))
            self._entries[entry.id] = entry
        return entry.id

    def get(self, id: str) -> Entry | None:
        """The work of an id; None where there is none (any more)."""
        with self._lock:
            return self._entries.get(id)

    def cancel(self, id: str) -> bool:
        """Cancel a work.

        Args:
            id: its id.

        Returns:
            Whether there is such a work.
        """
        entry = self.get(id)
        if entry is not None:
            entry.running.cancel()
        return entry is not None

    def close(self) -> None:
        """Cancel all of them and wait for their end; none can be started any more."""
        with self._lock:
            self._closed = True
            entries = list(self._entries.values())
        for entry in entries:
            entry.running.cancel()
        for entry in entries:
            entry.running.wait(5.0)

    def _drop_old(self) -> None:
        ended = [entry for entry in self._entries.values() if entry.state().ended]
        young = [entry for entry in ended if time.monotonic() - entry.started < OLD][-REMEMBERED:]
        for entry in ended:
            if entry not in young:
                del self._entries[entry.id]
