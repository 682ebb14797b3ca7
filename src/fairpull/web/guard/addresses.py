"""The address of a request is looked at before anything takes it apart: its length, its form, no way upwards in it."""

from __future__ import annotations

import re
from urllib.parse import unquote_to_bytes

from starlette.types import ASGIApp, Receive, Scope, Send

from fairpull.web.guard.refusals import CLOSE, Page, Refusal, plain_page, refuse

LONGEST = 8 * 1024
MOST_HEADERS = 16 * 1024
_HALF_ESCAPE = re.compile(rb"%(?![0-9A-Fa-f]{2})")
_CONTROL = re.compile(r"[\x00-\x1f\x7f]")
TOO_LONG = Refusal(414, "Address too long", "The address is longer than 8 kB.", "Ask for fewer things at once.", CLOSE)
TOO_MANY = Refusal(
    431, "Headers too long", "The request carries more than 16 kB of headers.", "Clear this site's cookies.", CLOSE
)
MALFORMED = Refusal(
    400, "Not an address", "The address holds characters that no page has.", "Go on from the first page.", CLOSE
)


class Addresses:
    """Refuses addresses that cannot be meant."""

    def __init__(self, app: ASGIApp, page: Page = plain_page) -> None:
        """Around an app."""
        self._app, self._page = app, page

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Hand on, or refuse."""
        refusal = address_refusal(scope) if scope["type"] == "http" else None
        if refusal is not None:
            await refuse(refusal, scope, send, self._page)
        else:
            await self._app(scope, receive, send)


def address_refusal(scope: Scope) -> Refusal | None:
    """What is wrong with the address of a request.

    Args:
        scope: of the request.

    Returns:
        The refusal; None where nothing is wrong.
    """
    path = scope.get("raw_path") or scope["path"].encode("utf-8", "surrogatepass")
    query = scope.get("query_string", b"")
    if len(path) + len(query) > LONGEST:
        return TOO_LONG
    if sum(len(name) + len(value) for name, value in scope["headers"]) > MOST_HEADERS:
        return TOO_MANY
    return None if _is_path(path) and _is_query(query) else MALFORMED


def _is_path(path: bytes) -> bool:
    """One slash first, whole escapes of UTF-8, no control characters, no step up or in place."""
    text = _text(path)
    if text is None or not text.startswith("/") or text.startswith("//") or _CONTROL.search(text):
        return False
    return not any(step in (".", "..") for step in re.split(r"[/\\]", text))


def _is_query(query: bytes) -> bool:
    """Whole escapes of UTF-8; line ends may stand in it, a NUL may not."""
    text = _text(query)
    return text is not None and "\x00" not in text


def _text(escaped: bytes) -> str | None:
    if _HALF_ESCAPE.search(escaped):
        return None
    try:
        return unquote_to_bytes(escaped).decode("utf-8")
    except UnicodeDecodeError:
        return None
