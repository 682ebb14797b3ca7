"""Log-ins end, and are not more than a shop has people."""

from __future__ import annotations

from fairpull.web.guard.sessions import Sessions


class Clock:
    now = 0.0

    def __call__(self) -> float:
        return self.now


def test_a_session_is_found_by_its_name_until_it_is_ended() -> None:
    sessions = Sessions()
    one, two = sessions.begin("reads"), sessions.begin("writes", "stamp")
    assert one.name != two.name
    assert sessions.of(two.name) is two
    assert (two.role, two.stamp) == ("writes", "stamp")
    sessions.end(two.name)
    assert sessions.of(two.name) is None
    assert sessions.of(one.name) is one
    assert sessions.of("") is sessions.of("\udc80") is None


def test_an_unused_session_is_over_and_a_used_one_not_for_ever() -> None:
    clock = Clock()
    sessions = Sessions(clock, idle=10, longest=25)
    unused, used = sessions.begin("reads"), sessions.begin("reads")
    for clock.now in (8.0, 16.0, 24.0):
        assert sessions.of(used.name) is used
    assert sessions.of(unused.name) is None
    clock.now = 26.0
    assert sessions.of(used.name) is None
    assert len(sessions) == 0


def test_there_are_not_more_than_so_many() -> None:
    clock = Clock()
    sessions = Sessions(clock, most=3)
    kept = []
    for number in range(5):
        clock.now = float(number)
        kept.append(sessions.begin("reads"))
        sessions.of(kept[0].name)
    assert len(sessions) == 3
    assert [sessions.of(one.name) is one for one in kept] == [True, False, False, True, True]
