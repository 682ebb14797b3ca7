"""What a guard answers when it lets a request no further: a page that says why, and a way back."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from html import escape

from starlette.types import Scope, Send


@dataclass(frozen=True, slots=True)
class Refusal:
    """One request that goes no further.

    Attributes:
        status: HTTP status.
        title: what happened, in a few words.
        seen: what was seen.
        remedy: what to do.
        headers: more headers of the answer.
    """

    status: int
    title: str
    seen: str
    remedy: str
    headers: tuple[tuple[str, str], ...] = ()


Page = Callable[[Refusal], str]
CLOSE = (("connection", "close"),)
"""The rest of the request is not read."""


def plain_page(refusal: Refusal) -> str:
    """The refusal as an HTML page that needs nothing else.

    Args:
        refusal: what to say.

    Returns:
        HTML.
    """
    title, seen, remedy = escape(refusal.title), escape(refusal.seen), escape(refusal.remedy)
    return (
        '<!DOCTYPE html>\n<html lang="en-GB">\n<head>\n<meta charset="utf-8">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f"<title>{title} - fairpull</title>\n"
        '<link rel="stylesheet" href="/static/pages.css">\n</head>\n<body>\n<main>\n'
        f"<h1>{title}</h1>\n<p>{seen}</p>\n<p>{remedy}</p>\n"
        '<p><a href="/">Back to the first page</a></p>\n</main>\n</body>\n</html>\n'
    )


async def refuse(refusal: Refusal, scope: Scope, send: Send, page: Page = plain_page) -> None:
    """Answer with a refusal.

    Args:
        refusal: what to say.
        scope: of the request.
        send: of the request.
        page: draws it.
    """
    body = page(refusal).encode("utf-8", "replace")
    headers = [
        (b"content-type", b"text/html; charset=utf-8"),
        (b"content-length", str(len(body)).encode("ascii")),
        *((name.encode("latin-1"), value.encode("latin-1")) for name, value in refusal.headers),
    ]
    await send({"type": "http.response.start", "status": refusal.status, "headers": headers})
    await send({"type": "http.response.body", "body": b"" if scope["method"] == "HEAD" else body})


def header_values(scope: Scope, name: bytes) -> list[str]:
    """All values of a header, in order.

    Args:
        scope: of the request.
        name: in lower case.

    Returns:
        Values without blanks around them.
    """
    return [value.decode("latin-1").strip() for key, value in scope["headers"] if key == name]
