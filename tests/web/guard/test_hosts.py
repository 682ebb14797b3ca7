"""A server answers to its own names only."""

from __future__ import annotations

import pytest

from fairpull.web.guard.doors import Doors, guarded
from fairpull.web.guard.hosts import Hosts, place_of, served_places
from tests.web.guard.asking import ask, scope_of, welcome

OURS = ["127.0.0.1:8700", "localhost:8700", "LocalHost:8700", "[::1]:8700", "[0:0:0:0:0:0:0:1]:8700"]
FOREIGN = [
    *("rebound.example", "rebound.example:8700", "127.0.0.1:8701", "127.0.0.1", "localhost", "127.0.0.2:8700"),
    *("127.1:8700", "2130706433:8700", "0x7f000001:8700", "[::ffff:127.0.0.1]:8700", "localhost.example:8700"),
    *("0.0.0.0:8700", "[::]:8700", "xlocalhost:8700"),
]
MALFORMED = [
    *(
        "",
        "a@127.0.0.1:8700",
        "127.0.0.1:8700@rebound.example",
        "127.0.0.1:8700/x",
        "localhost.:8700",
        "local host:8700",
    ),
    *(
        "127.0.0.1:",
        "127.0.0.1:0",
        "127.0.0.1:99999",
        "127.0.0.1:8700:8700",
        "[::1",
        "::1",
        "[::1]x:8700",
        "[fe80::1%25lo]",
    ),
    *("127.0.0.1:8700\x00", "lo\u00e7alhost:8700", "127.0.0.1:8700, rebound.example", "*", "[zz::1]:8700", "a" * 300),
    *("[::1::2]:8700", "[:::::]:8700"),
]


def status_of(host: str, doors: Doors | None = None, scheme: str = "http") -> int:
    return ask(guarded(welcome, doors), scope_of("/today", [("host", host)], scheme=scheme)).status


@pytest.mark.parametrize("host", OURS)
def test_own_names_are_answered(host: str) -> None:
    assert status_of(host) == 200


@pytest.mark.parametrize("host", FOREIGN)
def test_other_names_are_refused(host: str) -> None:
    assert status_of(host) == 421


@pytest.mark.parametrize("host", MALFORMED)
def test_what_is_no_host_is_refused(host: str) -> None:
    assert status_of(host) == 400


@pytest.mark.parametrize("hosts", [(), ("127.0.0.1:8700", "127.0.0.1:8700"), ("127.0.0.1:8700", "rebound.example")])
def test_there_is_exactly_one_host(hosts: tuple[str, ...]) -> None:
    assert ask(guarded(welcome), scope_of("/today", [("host", host) for host in hosts])).status == 400


def test_the_refusal_names_no_host_from_outside() -> None:
    answer = ask(guarded(welcome), scope_of("/today", [("host", "rebound.example")]))
    assert "rebound" not in answer.text
    assert "fairpull serve" in answer.text
    assert answer.header("connection") == "close"


def test_names_of_the_shop_are_answered_with_their_ports() -> None:
    places = served_places(8700, ["bench.shop", "other.shop:9000", "192.0.2.7", "2001:db8::7", "not a name"])
    guard = Hosts(welcome, places)

    def served(host: str, scheme: str = "http") -> bool:
        return ask(guard, scope_of("/", [("host", host)], scheme=scheme)).status == 200

    assert served("bench.shop:8700")
    assert served("bench.shop")
    assert served("bench.shop", "https")
    assert served("Bench.Shop:443", "https")
    assert not served("bench.shop:443")
    assert not served("bench.shop:9000")
    assert served("other.shop:9000")
    assert not served("other.shop")
    assert served("192.0.2.7:8700")
    assert served("[2001:db8:0:0::7]:8700")
    assert not served("not")


def test_a_server_on_port_80_is_asked_for_without_a_port() -> None:
    assert status_of("localhost", Doors(port=80)) == 200
    assert status_of("localhost:80", Doors(port=80)) == 200
    assert status_of("localhost", Doors(port=80), "https") == 421


def test_addresses_come_in_their_shortest_form() -> None:
    assert place_of("[2001:DB8:0:0:0:0:0:1]:80") == ("2001:db8::1", 80)
