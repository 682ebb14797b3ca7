"""Only requests that name this server are answered.

A page elsewhere can make its own name point to 127.0.0.1 and then read what a server there says as if it were its own
(DNS rebinding). The Host header still holds that name, so a server that answers to its own names only is not fooled.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from ipaddress import IPv6Address

from starlette.types import ASGIApp, Receive, Scope, Send

from fairpull.web.guard.refusals import CLOSE, Page, Refusal, header_values, plain_page, refuse

LOOPBACK = ("127.0.0.1", "localhost", "::1")
DEFAULT_PORTS = {"http": 80, "https": 443}
LONGEST = 255
_FORM = re.compile(
    r"(?:\[(?P<v6>[0-9a-f:.]{2,45})\]|(?P<name>[a-z0-9](?:[a-z0-9._-]*[a-z0-9])?))(?::(?P<port>[0-9]{1,5}))?"
)
_ANY_PORT = 0
UNKNOWN = Refusal(
    421,
    "Not a name of this server",
    "The address asked for is not one that this server answers to.",
    "Open the address that fairpull serve printed; another name is added with fairpull serve --name.",
    CLOSE,
)
MALFORMED = Refusal(
    400, "No proper Host", "The request names no host, or not in a proper form.", "Use a current browser.", CLOSE
)

Place = tuple[str, int]
"""A name in lower case and a port; port 0 in a list of served places: the default of the scheme."""


def place_of(text: str) -> tuple[str, int | None] | None:
    """Name and port from a Host header or an option.

    Args:
        text: such as "localhost:8700", "[::1]:8700", "shop.example".

    Returns:
        Name in lower case, IPv6 addresses in their shortest form, and the port or None; None where it is no proper
        host: with a user before it, a dot at its end, a blank inside, a port that cannot be.
    """
    match = _FORM.fullmatch(text.lower()) if text.isascii() and len(text) <= LONGEST else None
    if match is None:
        return None
    port = int(match["port"]) if match["port"] else None
    if port is not None and not 0 < port < 65536:
        return None
    if match["v6"]:
        try:
            return IPv6Address(match["v6"]).compressed, port
        except ValueError:
            return None
    return match["name"], port


def served_places(port: int, names: Iterable[str] = ()) -> frozenset[Place]:
    """All places that a server answers to.

    Args:
        port: that it listens on.
        names: more names, each with or without a port; without one, the server's port and the scheme's default.

    Returns:
        The places.
    """
    places = {(name, port) for name in LOOPBACK}
    for text in names:
        place = place_of(text if text.count(":") < 2 or text.startswith("[") else f"[{text}]")
        if place is not None:
            name, own = place
            places |= {(name, own)} if own is not None else {(name, port), (name, _ANY_PORT)}
    return frozenset(places)


def asked_place(scope: Scope) -> Place | None:
    """The place that a request names.

    Args:
        scope: of the request.

    Returns:
        Name and port, the scheme's default where none is said; None without exactly one proper Host header.
    """
    hosts = header_values(scope, b"host")
    place = place_of(hosts[0]) if len(hosts) == 1 else None
    if place is None:
        return None
    return place[0], place[1] or DEFAULT_PORTS.get(scope["scheme"], 0)


class Hosts:
    """Refuses what does not name this server."""

    def __init__(self, app: ASGIApp, places: frozenset[Place], page: Page = plain_page) -> None:
        """Around an app."""
        self._app, self._places, self._page = app, places, page

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Hand on, or refuse."""
        refusal = self._refusal(scope) if scope["type"] == "http" else None
        if refusal is not None:
            await refuse(refusal, scope, send, self._page)
        else:
            await self._app(scope, receive, send)

    def _refusal(self, scope: Scope) -> Refusal | None:
        place = asked_place(scope)
        if place is None:
            return MALFORMED
        name, port = place
        default = port == DEFAULT_PORTS.get(scope["scheme"])
        served = place in self._places or (default and (name, _ANY_PORT) in self._places)
        return None if served else UNKNOWN
