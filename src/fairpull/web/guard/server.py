"""The server itself: one process, one port, no waiting for those who never say what they want."""

from __future__ import annotations

import asyncio
import errno
import os
import signal
import socket
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from ipaddress import ip_address

from starlette.types import ASGIApp
from uvicorn import Config, Server
from uvicorn.protocols.http.h11_impl import H11Protocol

from fairpull.terms.errors import Fault, ValueRefused
from fairpull.web.guard.hosts import place_of
from fairpull.web.guard.proxies import is_loopback

HEADERS_WITHIN = 15.0  # [s] from a request's first byte to the end of its headers; also from the connection's begin
KEPT_OPEN = 15  # [s] between two requests of a browser
LEAVE_WITHIN = 3  # [s] for answers under way when the server is told to stop
MOST_CONNECTIONS = 4000
OWN_FILES = 300
"""Open files that the book and the works may need at the same time."""
HEADER_BYTES = 32 * 1024
"""Above what ``addresses`` refuses with a page."""
NOWHERE = ("192.0.2.1", 9)
"""An address that exists in documents only; asking for the way to it sends nothing."""
STOPS = (signal.SIGINT, signal.SIGTERM)


def is_this_machine(host: str) -> bool:
    """Whether only this machine can reach an address.

    Args:
        host: address or name to listen on.

    Returns:
        True for loopback.
    """
    return host.lower() == "localhost" or is_loopback(host.strip("[]"))


def bind(host: str, port: int) -> socket.socket:
    """Take a port, before anything else is set up.

    Args:
        host: address or name to listen on.
        port: 0 takes any that is free.

    Returns:
        The socket; it listens once the server runs.

    Raises:
        ValueRefused: the port is taken or not allowed, or the address is not this machine's.
    """
    if not 0 <= port <= 65535:
        raise ValueRefused(Fault("port", "--port", str(port), "use 0 to 65535; 0 takes any free port"))
    try:
        found = socket.getaddrinfo(host.strip("[]"), port, type=socket.SOCK_STREAM, flags=socket.AI_PASSIVE)
        family, _, _, _, place = found[0]
        made = socket.socket(family, socket.SOCK_STREAM)
    except (OSError, UnicodeError) as error:
        raise _not_bound(host, port, error) from error
    try:
        made.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        made.bind(place)
        made.listen(1)  # two servers may hold the same port until one of them listens
    except OSError as error:
        made.close()
        raise _not_bound(host, port, error) from error
    return made


def _not_bound(host: str, port: int, error: Exception) -> ValueRefused:
    number = getattr(error, "errno", None)
    if number == errno.EADDRINUSE:
        remedy = "stop what uses it, or take another: --port 0 takes any that is free"
        return ValueRefused(Fault("port-taken", "--port", f"port {port} is in use", remedy))
    if number in (errno.EACCES, errno.EPERM):
        return ValueRefused(Fault("port-not-allowed", "--port", f"port {port} is not allowed", "use one above 1023"))
    seen = f"{host!r} is no address of this machine"
    return ValueRefused(Fault("not-our-address", "--host", seen, "use one of its addresses, or 0.0.0.0 for all"))


def port_of(bound: socket.socket) -> int:
    """The port that was taken.

    Args:
        bound: by ``bind``.

    Returns:
        Its number.
    """
    return int(bound.getsockname()[1])


def names_for(host: str) -> tuple[str, ...]:
    """Names under which others reach an address of this machine.

    Args:
        host: that the server listens on.

    Returns:
        The address itself; for all addresses those that can be found out, and the machine's name.
    """
    try:
        everywhere = ip_address(host.strip("[]")).is_unspecified
    except ValueError:
        everywhere = False
    if not everywhere:
        return (host.strip("[]"),)
    own = socket.gethostname().lower()
    names = [*_addresses(own), *((own, f"{own}.local") if place_of(own) else ())]
    return tuple(dict.fromkeys(names))


def _addresses(own: str) -> list[str]:
    found = []
    with suppress(OSError), socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        probe.connect(NOWHERE)
        found.append(str(probe.getsockname()[0]))
    with suppress(OSError, UnicodeError):
        found += [str(place[0]) for _, _, _, _, place in socket.getaddrinfo(own, None, type=socket.SOCK_STREAM)]
    return [address for address in found if "%" not in address and not is_loopback(address)]


class _Patient(H11Protocol):
    """Waits for the headers of a request, but not for ever."""

    _late: asyncio.TimerHandle | None = None

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]
        super().connection_made(transport)
        if len(self.connections) > _room_for_connections():
            self.transport.close()
        self._watch()

    def data_received(self, data: bytes) -> None:
        super().data_received(data)
        self._watch()

    def connection_lost(self, exc: Exception | None) -> None:
        self._stop()
        super().connection_lost(exc)

    def _watch(self) -> None:
        if not self._waits():
            self._stop()
        elif self._late is None:
            self._late = self.loop.call_later(HEADERS_WITHIN, self._give_up)

    def _stop(self) -> None:
        if self._late is not None:
            self._late.cancel()
            self._late = None

    def _give_up(self) -> None:
        self._late = None
        if self._waits() and not self.transport.is_closing():
            self.transport.close()

    def _waits(self) -> bool:
        """For headers, or for the rest of a body whose request is answered already."""
        theirs, ours = repr(self.conn.their_state), repr(self.conn.our_state)
        return theirs == "IDLE" or (theirs == "SEND_BODY" and ours == "DONE")


def _room_for_connections() -> int:
    soft, _ = _file_limits()
    return max(min(MOST_CONNECTIONS, soft - OWN_FILES), 10)


def _file_limits() -> tuple[int, int]:
    """Open files that this process may have, and how far it may raise that; plenty where the system does not say."""
    plenty = MOST_CONNECTIONS + OWN_FILES
    if os.name != "posix":
        return plenty, plenty
    import resource

    soft, hard = (
        plenty if one == resource.RLIM_INFINITY else one for one in resource.getrlimit(resource.RLIMIT_NOFILE)
    )
    return soft, hard


class _Stoppable(Server):
    """Ends on Ctrl-C and on being told to stop, and leaves the tidying up to its caller."""

    told: Callable[[], None] | None = None

    async def startup(self, sockets: list[socket.socket] | None = None) -> None:
        await super().startup(sockets)
        if self.told is not None:
            self.told()

    @contextmanager
    def capture_signals(self) -> Iterator[None]:
        if threading.current_thread() is not threading.main_thread():
            yield
            return
        before = {number: signal.signal(number, self.handle_exit) for number in STOPS}
        try:
            yield
        finally:
            for number, handler in before.items():
                signal.signal(number, handler)


def server_for(app: ASGIApp, started: Callable[[], None] | None = None) -> Server:
    """A server of these pages, not yet running.

    Args:
        app: the pages, guarded.
        started: is called once the server answers.

    Returns:
        The server; ``run(sockets=[...])`` runs it, ``should_exit = True`` ends it.
    """
    config = Config(
        app,
        http=_Patient,
        ws="none",
        loop="asyncio",
        log_config=None,
        access_log=False,
        log_level="error",
        proxy_headers=False,
        server_header=False,
        timeout_keep_alive=KEPT_OPEN,
        timeout_graceful_shutdown=LEAVE_WITHIN,
        h11_max_incomplete_event_size=HEADER_BYTES,
    )
    made = _Stoppable(config)
    made.told = started
    return made


def run(app: ASGIApp, bound: socket.socket, started: Callable[[], None] | None = None) -> None:
    """Serve until told to stop.

    Args:
        app: the pages, guarded.
        bound: by ``bind``.
        started: is called once the server answers.
    """
    _more_files()
    server_for(app, started).run(sockets=[bound])


def _more_files() -> None:
    """Each reader holds a connection; the usual limit of open files is made for less."""
    soft, hard = _file_limits()
    wanted = min(MOST_CONNECTIONS + OWN_FILES, hard)
    if soft < wanted:
        import resource

        with suppress(OSError, ValueError):
            resource.setrlimit(resource.RLIMIT_NOFILE, (wanted, resource.getrlimit(resource.RLIMIT_NOFILE)[1]))
