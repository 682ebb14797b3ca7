"""Guessing passwords is made slow: each wrong one makes the next wait longer, from one address and from all."""

from __future__ import annotations

import time
from collections import OrderedDict, deque
from collections.abc import Callable
from dataclasses import dataclass
from ipaddress import IPv6Address, ip_address
from threading import Lock

FREE = 4
"""Wrong tries of one address before it waits: anybody mistypes."""
LONGEST = 900.0  # [s]
FORGOTTEN = 3600.0  # [s] after which an address starts afresh
ALL_FREE = 40
"""Wrong tries of all addresses together within ``WINDOW`` before all wait."""
WINDOW = 600.0  # [s]
ALL_LONGEST = 15.0  # [s]
MOST = 10_000
"""Addresses remembered."""


@dataclass(slots=True)
class _Record:
    wrong: int = 0
    last: float = 0.0
    known: bool = False


class Tries:
    """Counts log-ins that failed."""

    def __init__(self, clock: Callable[[], float] = time.monotonic) -> None:
        """None yet."""
        self._clock = clock
        self._records: OrderedDict[str, _Record] = OrderedDict()
        self._all: deque[float] = deque(maxlen=MOST)
        self._lock = Lock()

    def begin(self, address: str) -> float:
        """A try is about to be made. It counts as wrong until ``good`` is told, so that many at once gain nothing.

        Args:
            address: of the client.

        Returns:
            Seconds to wait first; 0 where the try may be made.
        """
        now = self._clock()
        with self._lock:
            record = self._record(address, now)
            wait = max(_own_wait(record, now), 0.0 if record.known else self._all_wait(now))
            if wait > 0:
                return wait
            record.wrong += 1
            record.last = now
            self._all.append(now)
            return 0.0

    def good(self, address: str) -> None:
        """The try was right; the address is known from now on, and does not wait for the sins of others.

        Args:
            address: of the client.
        """
        with self._lock:
            record = self._record(address, self._clock())
            record.wrong, record.known = 0, True
            if self._all:
                self._all.pop()

    def _record(self, address: str, now: float) -> _Record:
        key = network_of(address)
        record = self._records.setdefault(key, _Record(last=now))
        self._records.move_to_end(key)
        if len(self._records) > MOST:
            self._records.popitem(last=False)
        if now - record.last > FORGOTTEN:
            record.wrong = 0
        return record

    def _all_wait(self, now: float) -> float:
        while self._all and now - self._all[0] > WINDOW:
            self._all.popleft()
        over = len(self._all) - ALL_FREE
        if over < 0:
            return 0.0
        return self._all[-1] + min(2.0 ** min(over // 10, 10), ALL_LONGEST) - now


def _own_wait(record: _Record, now: float) -> float:
    over = record.wrong - FREE
    return 0.0 if over < 0 else record.last + min(2.0 ** min(over, 20), LONGEST) - now


def network_of(address: str) -> str:
    """What counts as one address: of version 6 a whole network, for one machine has as many as it likes.

    Args:
        address: of a client.

    Returns:
        A key.
    """
    try:
        known = ip_address(address.partition("%")[0])
    except ValueError:
        return address
    if not isinstance(known, IPv6Address):
        return str(known)
    return str(known.ipv4_mapped) if known.ipv4_mapped else str(IPv6Address(int(known) >> 64 << 64))
