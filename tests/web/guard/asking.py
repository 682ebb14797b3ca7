"""How tests of the guards ask: straight at the ASGI layer, so that a request may be as wrong as it likes."""

from __future__ import annotations

import asyncio
from collections.abc import Awaitable, Callable, Sequence
from dataclasses import dataclass

from starlette.types import ASGIApp, Message, Receive, Scope, Send

OWN = "http://127.0.0.1:8700"
HOST = ("host", "127.0.0.1:8700")
ORIGIN = ("origin", OWN)


@dataclass(frozen=True)
class Answer:
    """What came back."""

    status: int
    headers: list[tuple[str, str]]
    text: str

    def header(self, name: str) -> str:
        return next((value for key, value in self.headers if key == name), "")

    @property
    def cookies(self) -> list[str]:
        return [value for key, value in self.headers if key == "set-cookie"]

    def cookie_pairs(self) -> str:
        return "; ".join(cookie.partition(";")[0] for cookie in self.cookies)


def scope_of(
    path: str,
    headers: Sequence[tuple[str, str]] = (HOST,),
    *,
    method: str = "GET",
    query: str = "",
    scheme: str = "http",
    client: str = "127.0.0.1",
    raw: bytes | None = None,
) -> Scope:
    return {
        "type": "http",
        "method": method,
        "path": path,
        "raw_path": path.encode() if raw is None else raw,
        "query_string": query.encode("latin-1"),
        "scheme": scheme,
        "client": (client, 50000),
        "server": ("127.0.0.1", 8700),
        "http_version": "1.1",
        "root_path": "",
        "headers": [(key.encode("latin-1"), value.encode("latin-1")) for key, value in headers],
    }


def ask(app: ASGIApp, scope: Scope, body: Sequence[bytes] = (b"",)) -> Answer:
    """One request, its body in these pieces."""

    async def pieces() -> Message:
        piece = left.pop(0) if left else b""
        return {"type": "http.request", "body": piece, "more_body": bool(left)}

    left = list(body)
    return ask_slowly(app, scope, pieces)


def ask_slowly(app: ASGIApp, scope: Scope, receive: Callable[[], Awaitable[Message]]) -> Answer:
    """One request whose body comes as ``receive`` likes."""
    sent: list[Message] = []

    async def send(message: Message) -> None:
        sent.append(message)

    async def run() -> None:
        await app(scope, receive, send)

    asyncio.run(run())
    start = sent[0]
    headers = [(key.decode("latin-1"), value.decode("latin-1")) for key, value in start["headers"]]
    return Answer(start["status"], headers, b"".join(one.get("body", b"") for one in sent[1:]).decode("utf-8"))


async def welcome(scope: Scope, receive: Receive, send: Send) -> None:
    """A page that reads what was sent and says how much it was."""
    size, more = 0, True
    while more:
        message = await receive()
        size += len(message.get("body", b""))
        more = message.get("more_body", False)
    await send({"type": "http.response.start", "status": 200, "headers": [(b"server", b"boasting")]})
    await send({"type": "http.response.body", "body": f"{scope['scheme']} {scope['client'][0]} {size}".encode()})
