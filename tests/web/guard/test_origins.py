"""Changes come from our own pages; others may open a page, not read one."""

from __future__ import annotations

import pytest

from fairpull.web.guard.doors import Doors, guarded
from fairpull.web.guard.origins import Origins
from tests.web.guard.asking import HOST, OWN, ask, scope_of, welcome

Pairs = list[tuple[str, str]]


def changed(headers: Pairs, method: str = "POST", scheme: str = "http", host: str = "127.0.0.1:8700") -> bool:
    answer = ask(Origins(welcome), scope_of("/x", [("host", host), *headers], method=method, scheme=scheme))
    assert answer.status in (200, 403)
    return answer.status == 200


@pytest.mark.parametrize(
    "headers",
    [
        [("origin", OWN)],
        [("origin", OWN), ("sec-fetch-site", "same-origin")],
        [("sec-fetch-site", "same-origin")],
        [("referer", f"{OWN}/compare?of=a")],
    ],
)
@pytest.mark.parametrize("method", ["POST", "PUT", "PATCH", "DELETE", "TRACE", "ODD"])
def test_our_own_pages_change_things(headers: Pairs, method: str) -> None:
    assert changed(headers, method)


@pytest.mark.parametrize(
    "headers",
    [
        [],
        [("origin", "null")],
        [("origin", "")],
        [("origin", "http://rebound.example")],
        [("origin", "http://127.0.0.1:8701")],
        [("origin", "http://127.0.0.1")],
        [("origin", "https://127.0.0.1:8700")],
        [("origin", "http://localhost:8700")],
        [("origin", f"{OWN}/")],
        [("origin", f"{OWN}.rebound.example")],
        [("origin", f"http://a@{OWN[7:]}")],
        [("origin", f"{OWN} http://rebound.example")],
        [("origin", OWN), ("origin", "http://rebound.example")],
        [("origin", "http://[")],
        [("origin", "file://")],
        [("origin", "null"), ("referer", f"{OWN}/")],
        [("origin", "null"), ("sec-fetch-site", "same-origin")],
        [("origin", OWN), ("sec-fetch-site", "cross-site")],
        [("sec-fetch-site", "cross-site"), ("referer", f"{OWN}/")],
        [("sec-fetch-site", "same-site")],
        [("sec-fetch-site", "none")],
        [("referer", "http://rebound.example/127.0.0.1:8700")],
        [("referer", "http://rebound.example/?http://127.0.0.1:8700")],
        [("referer", "")],
    ],
)
def test_nobody_else_does(headers: Pairs) -> None:
    assert not changed(headers)


def test_the_own_place_is_the_one_that_was_asked() -> None:
    assert changed([("origin", "http://localhost:8700")], host="LOCALHOST:8700")
    assert changed([("origin", "https://bench.shop")], scheme="https", host="bench.shop")
    assert not changed([("origin", "http://bench.shop")], scheme="https", host="bench.shop")


@pytest.mark.parametrize(
    ("headers", "allowed"),
    [
        ([], True),
        ([("sec-fetch-site", "none"), ("sec-fetch-mode", "navigate")], True),
        ([("sec-fetch-site", "same-origin"), ("sec-fetch-mode", "cors")], True),
        ([("sec-fetch-site", "cross-site"), ("sec-fetch-mode", "navigate"), ("sec-fetch-dest", "document")], True),
        ([("sec-fetch-site", "cross-site"), ("sec-fetch-mode", "navigate"), ("sec-fetch-dest", "iframe")], False),
        ([("sec-fetch-site", "cross-site"), ("sec-fetch-mode", "no-cors"), ("sec-fetch-dest", "image")], False),
        ([("sec-fetch-site", "same-site"), ("sec-fetch-mode", "cors")], False),
        ([("sec-fetch-site", "cross-site")], False),
    ],
)
def test_other_sites_open_pages_but_do_not_read_them(headers: Pairs, allowed: bool) -> None:
    assert (ask(Origins(welcome), scope_of("/compare", [HOST, *headers])).status == 200) is allowed


def test_the_proxy_says_which_scheme_the_browser_speaks() -> None:
    app = guarded(welcome, Doors(names=("bench.shop",)))
    headers = [("host", "bench.shop"), ("origin", "https://bench.shop"), ("x-forwarded-proto", "https")]
    assert ask(app, scope_of("/x", headers, method="POST")).status == 403
    # behind the proxy the origin is right, so that the log-in is what stands in the way
    behind = guarded(welcome, Doors(names=("bench.shop",), behind_proxy=True))
    assert ask(behind, scope_of("/x", headers, method="POST")).status == 401
    assert ask(behind, scope_of("/x", headers, method="POST", client="192.0.2.9")).status == 403
