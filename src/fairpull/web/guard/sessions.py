"""Who is logged in: kept in memory, for a while, and not more than a shop has people."""

from __future__ import annotations

import secrets
import time
from collections.abc import Callable
from dataclasses import dataclass
from hashlib import sha256
from threading import Lock

IDLE = 12 * 3600.0  # [s] a working day
LONGEST = 7 * 24 * 3600.0  # [s]
MOST = 500


@dataclass(slots=True)
class Session:
    """One log-in.

    Attributes:
        name: what its cookie holds.
        role: "reads" or "writes".
        stamp: of the password that opened it.
        made: when [s].
        seen: when it was last used [s].
    """

    name: str
    role: str
    stamp: str
    made: float
    seen: float


class Sessions:
    """All log-ins of this process."""

    def __init__(
        self,
        clock: Callable[[], float] = time.monotonic,
        *,
        idle: float = IDLE,
        longest: float = LONGEST,
        most: int = MOST,
    ) -> None:
        """None yet."""
        self._clock, self._idle, self._longest, self._most = clock, idle, longest, most
        self._open: dict[bytes, Session] = {}
        self._lock = Lock()

    def __len__(self) -> int:
        """How many are open."""
        return len(self._open)

    def begin(self, role: str, stamp: str = "") -> Session:
        """Open one, under a name that was never used.

        Args:
            role: "reads" or "writes".
            stamp: of the password that opened it.

        Returns:
            The session; where there are too many, the one unused for longest goes.
        """
        now = self._clock()
        session = Session(secrets.token_urlsafe(32), role, stamp, now, now)
        with self._lock:
            for key in [key for key, one in self._open.items() if self._over(one, now)]:
                del self._open[key]
            while len(self._open) >= self._most:
                del self._open[min(self._open, key=lambda key: self._open[key].seen)]
            self._open[_key(session.name)] = session
        return session

    def of(self, name: str) -> Session | None:
        """The session of a cookie, and it was used now.

        Args:
            name: from outside.

        Returns:
            The session; None where there is none, or it is over.
        """
        now = self._clock()
        with self._lock:
            session = self._open.get(_key(name))
            if session is None or self._over(session, now):
                self._open.pop(_key(name), None)
                return None
            session.seen = now
            return session

    def end(self, name: str) -> None:
        """Close one.

        Args:
            name: of the session.
        """
        with self._lock:
            self._open.pop(_key(name), None)

    def _over(self, session: Session, now: float) -> bool:
        return now - session.seen > self._idle or now - session.made > self._longest


def _key(name: str) -> bytes:
    """Sessions are looked up by a digest, so that the time a look-up takes says nothing about names."""
    return sha256(name.encode("utf-8", "surrogatepass")).digest()
