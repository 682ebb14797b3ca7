"""Only our own pages may change anything, and no other site may pull our answers into its pages."""

from __future__ import annotations

from urllib.parse import urlsplit

from starlette.types import ASGIApp, Receive, Scope, Send

from fairpull.web.guard.hosts import DEFAULT_PORTS, Place, asked_place, place_of
from fairpull.web.guard.refusals import CLOSE, Page, Refusal, header_values, plain_page, refuse

SAFE = ("GET", "HEAD", "OPTIONS")
ELSEWHERE = ("cross-site", "same-site")
"""Same-site is another port or a sister name: a neighbour, not we."""
FOREIGN_CHANGE = Refusal(
    403,
    "Not from our own page",
    "A change was asked for, and not by a page of this server.",
    "Open the page here and send its form from there.",
    CLOSE,
)
FOREIGN_READING = Refusal(
    403,
    "Not for other sites",
    "Another site asked for this to put it into a page of its own.",
    "Open the address itself.",
    CLOSE,
)


class Origins:
    """Refuses changes from elsewhere, and reading from elsewhere other than by opening a page."""

    def __init__(self, app: ASGIApp, page: Page = plain_page) -> None:
        """Around an app whose Host header was checked."""
        self._app, self._page = app, page

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Hand on, or refuse."""
        refusal = None
        if scope["type"] == "http":
            if scope["method"] not in SAFE:
                refusal = None if is_own_change(scope) else FOREIGN_CHANGE
            elif is_foreign_reading(scope):
                refusal = FOREIGN_READING
        if refusal is not None:
            await refuse(refusal, scope, send, self._page)
        else:
            await self._app(scope, receive, send)


def is_own_change(scope: Scope) -> bool:
    """Whether a request that changes something comes from a page of this very place.

    Args:
        scope: of the request, its Host checked.

    Returns:
        True where the browser says so: by Origin, else by Sec-Fetch-Site, else by Referer; False where nobody says.
    """
    own = (scope["scheme"], asked_place(scope))
    origins = header_values(scope, b"origin")
    sites = header_values(scope, b"sec-fetch-site")
    if sites and sites != ["same-origin"]:
        return False
    if origins:
        return len(origins) == 1 and origin_of(origins[0], bare=True) == own
    if sites:
        return True
    referers = header_values(scope, b"referer")
    return len(referers) == 1 and origin_of(referers[0]) == own


def is_foreign_reading(scope: Scope) -> bool:
    """Whether another site reads this other than by opening it in a window of its own.

    Args:
        scope: of the request.

    Returns:
        True for pictures, scripts, frames and fetches of other sites.
    """
    if not any(site in ELSEWHERE for site in header_values(scope, b"sec-fetch-site")):
        return False
    opened = header_values(scope, b"sec-fetch-mode") == ["navigate"]
    return not (opened and header_values(scope, b"sec-fetch-dest") in ([], ["document"]))


def origin_of(text: str, bare: bool = False) -> tuple[str, Place | None] | None:
    """Scheme and place of an address.

    Args:
        text: an Origin or Referer header.
        bare: nothing may follow the host.

    Returns:
        Scheme and place; None where it is no address of the web, such as "null".
    """
    try:
        parts = urlsplit(text)
    except ValueError:
        return None
    place = place_of(parts.netloc)
    if parts.scheme not in DEFAULT_PORTS or place is None or (bare and text != f"{parts.scheme}://{parts.netloc}"):
        return None
    return parts.scheme, (place[0], place[1] or DEFAULT_PORTS[parts.scheme])
