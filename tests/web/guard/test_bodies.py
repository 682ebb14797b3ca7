"""Bodies are counted, and those that do not move are not waited for."""

from __future__ import annotations

import asyncio
from itertools import count

import pytest
from fastapi import FastAPI, Request
from starlette.types import Message, Receive, Scope, Send

from fairpull.web.guard.bodies import Bodies, Limits
from tests.web.guard.asking import HOST, ask, ask_slowly, scope_of, welcome

SMALL = Limits(forms=100, uploads=1000, log_in=10, idle=0.05)


async def welcome_not(scope: Scope, receive: Receive, send: Send) -> None:
    raise ValueError("what now")


def posted(path: str, body: list[bytes], *headers: tuple[str, str], limits: Limits = SMALL) -> int:
    return ask(Bodies(welcome, limits), scope_of(path, [HOST, *headers], method="POST"), body).status


@pytest.mark.parametrize(
    ("path", "limit"), [("/settings", 100), ("/take", 1000), ("/take/x", 1000), ("/taken", 100), ("/log-in", 10)]
)
def test_each_address_has_its_limit(path: str, limit: int) -> None:
    assert posted(path, [b"x" * limit]) == 200
    assert posted(path, [b"x" * (limit + 1)]) == 413
    assert posted(path, [b"x" * (limit - 1), b"x", b""]) == 200
    assert posted(path, [b"x" * (limit - 1), b"x", b"x"]) == 413


def test_a_claim_is_refused_before_anything_is_read() -> None:
    async def never() -> Message:
        raise AssertionError("read")

    for claim in ("101", "10000000000", "9" * 400):
        answer = ask_slowly(
            Bodies(welcome, SMALL), scope_of("/x", [HOST, ("content-length", claim)], method="POST"), never
        )
        assert answer.status == 413
        assert answer.header("connection") == "close"


@pytest.mark.parametrize(
    "headers",
    [
        [("content-length", "-1")],
        [("content-length", "x")],
        [("content-length", "+5")],
        [("content-length", "\u00b2")],
        [("content-length", "5"), ("content-length", "5")],
        [("content-length", "5"), ("transfer-encoding", "chunked")],
    ],
)
def test_unclear_lengths_are_refused(headers: list[tuple[str, str]]) -> None:
    assert posted("/x", [b"x"], *headers) == 400


def test_a_body_that_stops_is_not_waited_for() -> None:
    async def stops() -> Message:
        if next(pieces) == 0:
            return {"type": "http.request", "body": b"x", "more_body": True}
        await asyncio.sleep(60)
        raise AssertionError("waited")

    pieces = count()
    assert ask_slowly(Bodies(welcome, SMALL), scope_of("/x", method="POST"), stops).status == 408


def test_a_body_that_drips_is_not_waited_for() -> None:
    async def drips() -> Message:
        return {"type": "http.request", "body": b"x", "more_body": True}

    clock = count(0, 1.0)
    guard = Bodies(welcome, Limits(grace=10, pace=10), clock=lambda: next(clock))
    assert ask_slowly(guard, scope_of("/take", method="POST"), drips).status == 408
    assert next(clock) < 20


def test_what_an_app_makes_of_a_cut_body_is_not_shown() -> None:
    app = FastAPI()

    @app.post("/x")
    async def form(request: Request) -> str:
        try:
            await request.form()
        except Exception as error:
            raise ValueError("what now") from error
        return "kept"

    kind = ("content-type", "application/x-www-form-urlencoded")
    body = [b"a=", b"b" * 60, b"c" * 60]
    assert ask(Bodies(app, SMALL), scope_of("/x", [HOST, kind], method="POST"), body).status == 413
    with pytest.raises(ValueError, match="what now"):
        ask(Bodies(welcome_not, SMALL), scope_of("/x", [HOST, kind], method="POST"), [b"a=1"])


def test_a_form_over_its_limit_is_a_page_that_says_the_limit() -> None:
    app = FastAPI()

    @app.post("/x")
    async def form(request: Request) -> str:
        return str(len(await request.form()))

    kind = ("content-type", "application/x-www-form-urlencoded")
    answer = ask(
        Bodies(app, Limits(forms=2000)), scope_of("/x", [HOST, kind], method="POST"), [b"a=" + b"b" * 1500] * 2
    )
    assert answer.status == 413
    assert "larger than 2 kB" in answer.text
