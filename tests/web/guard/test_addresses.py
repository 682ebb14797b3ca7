"""Addresses are looked at before anything takes them apart."""

from __future__ import annotations

from urllib.parse import unquote

import pytest

from fairpull.web.guard.addresses import LONGEST, Addresses
from tests.web.guard.asking import HOST, ask, scope_of, welcome


def status_of(raw: str, query: str = "", headers: list[tuple[str, str]] | None = None) -> int:
    scope = scope_of(unquote(raw), headers or [HOST], query=query, raw=raw.encode())
    return ask(Addresses(welcome), scope).status


@pytest.mark.parametrize(
    "raw",
    ["/", "/pulls/cam%20b", "/pulls/a%2Fb", "/pulls/a..b", "/pulls/...", "/sheets/build/K%C3%BChler%20%2B1", "/a//b"],
)
def test_addresses_of_pages_pass(raw: str) -> None:
    assert status_of(raw) == 200


@pytest.mark.parametrize(
    "raw",
    [
        *(
            "/../x",
            "/static/../x",
            "/static/%2e%2e/x",
            "/static/%2E./x",
            "/static/..%2fx",
            "/static/..%5cx",
            "/x/..",
            "/./x",
        ),
        *("//rebound.example", "/%2Frebound.example", "*", "http://rebound.example/", "x"),
        *("/%00", "/a%0ab", "/a%7f", "/%ff", "/%c0%ae", "/%ed%a0%80", "/%", "/%2", "/%zz"),
    ],
)
def test_other_addresses_are_refused(raw: str) -> None:
    assert status_of(raw) == 400


@pytest.mark.parametrize(("query", "status"), [("q=a%0ab&of=..", 200), ("q=%00", 400), ("q=%ff", 400), ("q=%", 400)])
def test_queries(query: str, status: int) -> None:
    assert status_of("/find", query) == status


def test_lengths_are_bounded() -> None:
    assert status_of("/" + "a" * (LONGEST - 1)) == 200
    assert status_of("/" + "a" * LONGEST) == 414
    assert status_of("/", "a" * LONGEST) == 414
    assert status_of("/", headers=[HOST, ("cookie", "a" * 15_000)]) == 200
    assert status_of("/", headers=[HOST, ("cookie", "a" * 17_000)]) == 431
