"""All guards in their order, around the pages."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from starlette.types import ASGIApp

from fairpull.web.guard.addresses import Addresses
from fairpull.web.guard.bodies import Bodies, Limits
from fairpull.web.guard.crowd import Crowd
from fairpull.web.guard.headers import Headers
from fairpull.web.guard.hosts import Hosts, served_places
from fairpull.web.guard.logins import Logins
from fairpull.web.guard.origins import Origins
from fairpull.web.guard.proxies import Proxies
from fairpull.web.guard.refusals import Page, plain_page
from fairpull.web.guard.visits import Desk, Visits

DEFAULT_LIMITS = Limits()


@dataclass(frozen=True, slots=True)
class Doors:
    """How a server is reached.

    Attributes:
        port: that it listens on.
        names: more names it answers to, besides this machine's own; each with or without a port.
        open_to_network: others than this machine can reach it; then everybody logs in.
        behind_proxy: a proxy on this machine hands requests on.
        folder: of the book, where the passwords lie.
        limits: of what is sent.
    """

    port: int = 8700
    names: tuple[str, ...] = ()
    open_to_network: bool = False
    behind_proxy: bool = False
    folder: Path | None = None
    limits: Limits = DEFAULT_LIMITS


def guarded(app: ASGIApp, doors: Doors | None = None, page: Page = plain_page, desk: Desk | None = None) -> ASGIApp:
    """The pages with all guards around them.

    Args:
        app: the pages.
        doors: how the server is reached.
        page: draws refusals.
        desk: what the guards share; None makes one.

    Returns:
        The same app, guarded.
    """
    doors = doors or Doors()
    needed = doors.open_to_network or doors.behind_proxy
    shared = desk or Desk(doors.port, needed, doors.folder)
    inner: ASGIApp = Logins(Crowd(app, page), page)
    inner = Origins(Visits(inner, shared), page)
    inner = Bodies(Addresses(inner, page), doors.limits, page)
    return Headers(Proxies(Hosts(inner, served_places(doors.port, doors.names), page), doors.behind_proxy), page)
