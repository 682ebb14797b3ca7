"""Many at once stand in line."""

from __future__ import annotations

import asyncio

from starlette.types import ASGIApp, Message, Receive, Scope, Send

from fairpull.web.guard.crowd import Crowd
from tests.web.guard.asking import scope_of


class Slow:
    """Takes a moment, and knows how many it had at once."""

    def __init__(self, seconds: float) -> None:
        self.seconds, self.now, self.most = seconds, 0, 0

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        self.now += 1
        self.most = max(self.most, self.now)
        await asyncio.sleep(self.seconds)
        self.now -= 1
        if scope["path"] == "/boom":
            raise ValueError("boom")
        await send({"type": "http.response.start", "status": 200, "headers": []})
        await send({"type": "http.response.body", "body": b""})


async def receive() -> Message:
    return {"type": "http.request"}


async def status(app: ASGIApp, path: str) -> int:
    sent: list[Message] = []

    async def send(message: Message) -> None:
        sent.append(message)

    try:
        await app(scope_of(path), receive, send)
    except ValueError:
        return 500
    return int(sent[0]["status"])


def statuses(app: ASGIApp, paths: list[str]) -> list[int]:
    async def run() -> list[int]:
        return await asyncio.gather(*(status(app, path) for path in paths))

    return asyncio.run(run())


def test_a_thousand_are_all_answered_a_few_at_a_time() -> None:
    slow = Slow(0.001)
    assert statuses(Crowd(slow, at_once=20), ["/today"] * 1000) == [200] * 1000
    assert slow.most == 20


def test_who_cannot_be_answered_is_asked_to_come_back() -> None:
    found = statuses(Crowd(Slow(0.05), at_once=2, patience=0.02), ["/today"] * 5)
    assert sorted(found) == [200, 200, 429, 429, 429]
    assert sorted(statuses(Crowd(Slow(0.01), at_once=1, line=2), ["/today"] * 5)) == [200, 200, 200, 429, 429]


def test_what_breaks_leaves_its_place() -> None:
    crowd = Crowd(Slow(0), at_once=2, patience=0.1)
    assert statuses(crowd, ["/boom"] * 5) == [500] * 5
    assert statuses(crowd, ["/today"] * 5) == [200] * 5


def test_log_ins_do_not_fill_the_room_and_static_files_pass() -> None:
    async def run() -> list[int]:
        crowd = Crowd(Slow(0.05), at_once=1, patience=0.01)
        strangers = [asyncio.create_task(status(crowd, "/log-in")) for _ in range(20)]
        await asyncio.sleep(0)
        return [
            await status(crowd, "/today"),
            await status(crowd, "/static/pages.css"),
            *await asyncio.gather(*strangers),
        ][:2]

    assert asyncio.run(run()) == [200, 200]
