"""Guessing is made slow, and honest people hardly notice."""

from __future__ import annotations

import pytest

from fairpull.web.guard.rates import ALL_FREE, ALL_LONGEST, FORGOTTEN, FREE, LONGEST, MOST, Tries, network_of


class Clock:
    now = 1000.0

    def __call__(self) -> float:
        return self.now


def waits(tries: Tries, clock: Clock, address: str, number: int) -> list[float]:
    """Waits before each of so many wrong tries, the guesser trying again as soon as may be."""
    found = []
    for _ in range(number):
        wait = tries.begin(address)
        found.append(wait)
        if wait:
            clock.now += wait
            assert tries.begin(address) == 0
    return found


def test_mistyping_is_free_and_guessing_waits_twice_as_long_each_time() -> None:
    clock = Clock()
    found = waits(Tries(clock), clock, "192.0.2.1", FREE + 12)
    assert found[:FREE] == [0.0] * FREE
    assert found[FREE : FREE + 5] == [1.0, 2.0, 4.0, 8.0, 16.0]
    assert found[-1] == LONGEST


def test_a_day_of_guessing_is_few_guesses() -> None:
    clock = Clock()
    tries, made = Tries(clock), 0
    while clock.now < 1000.0 + 86400:
        wait = tries.begin("192.0.2.1")
        clock.now += wait
        made += not wait
    assert made < 130


def test_many_tries_at_once_gain_nothing() -> None:
    tries = Tries(Clock())
    assert sum(tries.begin("192.0.2.1") == 0 for _ in range(1000)) == FREE


def test_a_right_one_forgives() -> None:
    clock = Clock()
    tries = Tries(clock)
    waits(tries, clock, "192.0.2.1", FREE)
    assert tries.begin("192.0.2.1") > 0
    clock.now += 1
    assert tries.begin("192.0.2.1") == 0
    tries.good("192.0.2.1")
    assert [tries.begin("192.0.2.1") for _ in range(FREE)] == [0.0] * FREE


def test_time_forgives() -> None:
    clock = Clock()
    tries = Tries(clock)
    waits(tries, clock, "192.0.2.1", FREE + 3)
    clock.now += FORGOTTEN + 1
    assert [tries.begin("192.0.2.1") for _ in range(FREE)] == [0.0] * FREE


def test_many_addresses_together_wait_too_but_not_those_who_were_right_before() -> None:
    clock = Clock()
    tries = Tries(clock)
    tries.begin("192.0.2.200")
    tries.good("192.0.2.200")
    made = sum(tries.begin(f"198.51.100.{number}") == 0 for number in range(200))
    assert made == ALL_FREE
    assert 0 < tries.begin("203.0.113.1") <= ALL_LONGEST
    assert tries.begin("192.0.2.200") == 0


def test_memory_is_bounded() -> None:
    clock = Clock()
    tries = Tries(clock)
    for number in range(MOST + 50):
        clock.now += 20
        tries.begin(f"10.{number >> 16}.{number >> 8 & 255}.{number & 255}")
    assert len(tries._records) == MOST


@pytest.mark.parametrize(
    ("one", "other", "same"),
    [
        ("2001:db8::1", "2001:db8::ffff:2", True),
        ("2001:db8::1", "2001:db8:0:1::1", False),
        ("::ffff:192.0.2.1", "192.0.2.1", True),
        ("192.0.2.1", "192.0.2.2", False),
        ("fe80::1%eth0", "fe80::2", True),
        ("", "x", False),
    ],
)
def test_a_network_of_version_6_counts_as_one(one: str, other: str, same: bool) -> None:
    assert (network_of(one) == network_of(other)) is same
