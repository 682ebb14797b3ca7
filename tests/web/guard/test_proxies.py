"""A proxy on this machine is believed, nobody else."""

from __future__ import annotations

import pytest

from fairpull.web.guard.proxies import Proxies, is_loopback
from tests.web.guard.asking import HOST, ask, scope_of, welcome


def told(client: str, behind: bool, *headers: tuple[str, str]) -> str:
    answer = ask(Proxies(welcome, behind), scope_of("/", [HOST, *headers], client=client))
    return answer.text.rpartition(" ")[0]


FORWARDED = (("x-forwarded-for", "192.0.2.1, 198.51.100.7"), ("x-forwarded-proto", "https"))


def test_the_last_address_is_the_one_the_proxy_saw() -> None:
    assert told("127.0.0.1", True, *FORWARDED) == "https 198.51.100.7"
    assert told("::1", True, *FORWARDED) == "https 198.51.100.7"
    assert told("127.0.0.1", True, ("x-forwarded-for", "192.0.2.1"), FORWARDED[0]) == "http 198.51.100.7"


def test_others_are_not_believed() -> None:
    assert told("192.0.2.9", True, *FORWARDED) == "http 192.0.2.9"
    assert told("127.0.0.1", False, *FORWARDED) == "http 127.0.0.1"


@pytest.mark.parametrize("junk", ["", "unknown", "198.51.100.7, x", "[::1]:80", "a" * 1000])
def test_junk_changes_nothing(junk: str) -> None:
    assert told("127.0.0.1", True, ("x-forwarded-for", junk), ("x-forwarded-proto", junk)) == "http 127.0.0.1"


def test_what_is_this_machine() -> None:
    assert all(map(is_loopback, ("127.0.0.1", "127.9.9.9", "::1", "::ffff:127.0.0.1")))
    assert not any(map(is_loopback, ("", "localhost", "192.0.2.1", "::", "::ffff:192.0.2.1")))
