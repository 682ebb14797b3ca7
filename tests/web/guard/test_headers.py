"""Every answer carries the headers, whatever becomes of the request."""

from __future__ import annotations

import asyncio

import pytest
from starlette.types import Message, Receive, Scope, Send

from fairpull.web.guard.doors import guarded
from fairpull.web.guard.headers import ALWAYS, FILES_POLICY, PAGES_POLICY, Headers
from tests.web.guard.asking import HOST, Answer, ask, scope_of, welcome


def answering(status: int, *headers: tuple[bytes, bytes]) -> Headers:
    async def app(scope: Scope, receive: Receive, send: Send) -> None:
        await send({"type": "http.response.start", "status": status, "headers": list(headers)})
        await send({"type": "http.response.body", "body": b""})

    return Headers(app)


def dressed(answer: Answer) -> bool:
    return all(answer.header(name) == value for name, value in ALWAYS.items())


@pytest.mark.parametrize(
    ("path", "headers"),
    [
        ("/today", (HOST,)),
        ("/today", (("host", "elsewhere.example"),)),
        ("/today", ()),
        ("/today/../x", (HOST,)),
        ("/today", (HOST, ("content-length", "10000000000"))),
    ],
)
def test_pages_and_refusals_are_dressed_alike(path: str, headers: tuple[tuple[str, str], ...]) -> None:
    answer = ask(guarded(welcome), scope_of(path, headers))
    assert dressed(answer)
    assert answer.header("content-security-policy") == PAGES_POLICY
    assert answer.header("cache-control") == "no-store"
    assert answer.header("server") == ""


def test_the_policy_allows_no_inline_script_or_style() -> None:
    rules = dict(rule.strip().split(" ", 1) for rule in PAGES_POLICY.split(";"))
    assert rules["default-src"] == "'none'"
    assert rules["script-src"] == rules["style-src"] == rules["connect-src"] == rules["form-action"] == "'self'"
    assert rules["base-uri"] == rules["frame-ancestors"] == rules["font-src"] == "'none'"
    assert "unsafe" not in PAGES_POLICY


def test_what_is_handed_over_as_a_file_runs_nothing() -> None:
    answer = ask(
        answering(200, (b"content-disposition", b'attachment; filename="log.html"')), scope_of("/pulls/x/original")
    )
    assert answer.header("content-security-policy") == FILES_POLICY
    assert "sandbox" in FILES_POLICY


@pytest.mark.parametrize(
    ("path", "query", "status", "kept"),
    [
        ("/static/pages.css", "v=1", 200, "private, max-age=31536000, immutable"),
        ("/static/pages.css", "", 200, "private, max-age=300"),
        ("/static/none.css", "v=1", 404, "no-store"),
        ("/compare", "of=a", 200, "no-store"),
    ],
)
def test_how_long_an_answer_is_kept(path: str, query: str, status: int, kept: str) -> None:
    assert ask(answering(status), scope_of(path, query=query)).header("cache-control") == kept


def test_an_answer_may_say_itself_how_long_it_is_kept_unless_it_is_an_error() -> None:
    own = (b"cache-control", b"private, no-cache")
    assert (
        ask(answering(200, own), scope_of("/compare/chart/overlay.svg")).header("cache-control") == "private, no-cache"
    )
    assert ask(answering(500, own), scope_of("/compare/chart/overlay.svg")).header("cache-control") == "no-store"


def test_what_breaks_is_a_dressed_page_without_its_reasons_and_still_told_to_the_server() -> None:
    async def broken(scope: Scope, receive: Receive, send: Send) -> None:
        raise RuntimeError("secret words")

    sent: list[Message] = []

    async def send(message: Message) -> None:
        sent.append(message)

    async def receive() -> Message:
        return {"type": "http.request"}

    with pytest.raises(RuntimeError):
        asyncio.run(Headers(broken)(scope_of("/today"), receive, send))
    assert sent[0]["status"] == 500
    assert (b"x-content-type-options", b"nosniff") in sent[0]["headers"]
    assert b"secret" not in sent[1]["body"]


def test_web_sockets_are_closed_and_the_life_of_the_server_passes() -> None:
    sent: list[Message] = []
    seen: list[str] = []

    async def app(scope: Scope, receive: Receive, send: Send) -> None:
        seen.append(scope["type"])

    async def send(message: Message) -> None:
        sent.append(message)

    async def receive() -> Message:
        return {}

    asyncio.run(Headers(app)({"type": "websocket"}, receive, send))
    asyncio.run(Headers(app)({"type": "lifespan"}, receive, send))
    assert sent == [{"type": "websocket.close", "code": 1008}]
    assert seen == ["lifespan"]
