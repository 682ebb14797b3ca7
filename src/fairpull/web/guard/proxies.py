"""Who really asks, where a proxy on this machine hands requests on."""

from __future__ import annotations

from ipaddress import IPv6Address, ip_address

from starlette.types import ASGIApp, Receive, Scope, Send

from fairpull.web.guard.refusals import header_values

SCHEMES = ("http", "https")


class Proxies:
    """Takes the client's address and the scheme from a proxy's headers, but from a proxy on this machine only."""

    def __init__(self, app: ASGIApp, behind: bool) -> None:
        """Around an app; without ``behind`` the headers mean nothing."""
        self._app, self._behind = app, behind

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Hand the request on, with who asks set right."""
        if self._behind and scope["type"] == "http" and is_loopback(client_address(scope)):
            scope = {**scope, **told_by_proxy(scope)}
        await self._app(scope, receive, send)


def told_by_proxy(scope: Scope) -> dict[str, object]:
    """What the headers of the nearest proxy say; the last entry of a list is the one that it wrote itself.

    Args:
        scope: of the request.

    Returns:
        Fields of the scope that change.
    """
    found: dict[str, object] = {}
    addresses, schemes = (header_values(scope, b"x-forwarded-" + name) for name in (b"for", b"proto"))
    address = addresses[-1].rpartition(",")[2].strip() if addresses else ""
    if _is_address(address):
        found["client"] = (address, 0)
    scheme = schemes[-1].rpartition(",")[2].strip().lower() if schemes else ""
    if scheme in SCHEMES:
        found["scheme"] = scheme
    return found


def client_address(scope: Scope) -> str:
    """The address that asks.

    Args:
        scope: of the request.

    Returns:
        The address; "" where the server does not know it.
    """
    client = scope.get("client")
    return str(client[0]) if client else ""


def is_loopback(address: str) -> bool:
    """Whether an address is this machine's own.

    Args:
        address: of a client.

    Returns:
        True for loopback addresses.
    """
    if not _is_address(address):
        return False
    known = ip_address(address)
    mapped = known.ipv4_mapped if isinstance(known, IPv6Address) else None
    return (mapped or known).is_loopback


def _is_address(text: str) -> bool:
    try:
        ip_address(text)
    except ValueError:
        return False
    return True
