"""The works of one program: ids, how many, what is remembered, how they end with it."""

from __future__ import annotations

import time

import pytest

from fairpull.tasks.apart import registry
from fairpull.tasks.apart.registry import Works
from fairpull.terms.errors import FairpullError

pytestmark = pytest.mark.usefixtures("trials")


def test_a_work_is_found_by_its_id_and_leads_on() -> None:
    works = Works()
    id = works.start("echo", {"then": "/x"}, "an echo", "/today")
    entry = works.get(id)
    assert entry is not None
    assert len(id) >= 20
    assert entry.running.wait(15).result is not None
    assert (entry.title, entry.next_page()) == ("an echo", "/today")
    assert works.get("another") is None
    assert not works.cancel("another")


@pytest.mark.parametrize(("then", "page"), [("//elsewhere", "/"), ("https://elsewhere", "/"), ("/\\elsewhere", "/")])
def test_no_work_leads_out_of_the_house(then: str, page: str) -> None:
    works = Works()
    entry = works.get(works.start("refuse", {}, "a refusal", then))
    assert entry is not None
    assert entry.next_page() == page
    works.close()


def test_no_more_than_so_many_run_and_all_end_with_the_program() -> None:
    works = Works(at_once=2)
    ids = [works.start("sleep", {}, "sleeping") for _ in range(2)]
    with pytest.raises(FairpullError, match="too-many-works"):
        works.start("sleep", {}, "sleeping")
    assert works.cancel(ids[0])
    began = time.monotonic()
    works.close()
    states = [entry.state() for id in ids if (entry := works.get(id))]
    assert [state.cancelled for state in states] == [True, True]
    assert time.monotonic() - began < 5
    with pytest.raises(FairpullError, match="ending"):
        works.start("echo", {}, "an echo")


def test_ended_works_are_forgotten_in_time(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(registry, "REMEMBERED", 1)
    works = Works()
    ids = []
    for _ in range(3):
        ids.append(works.start("refuse", {}, "a refusal"))
        entry = works.get(ids[-1])
        assert entry is not None
        entry.running.wait(15)
    works.start("refuse", {}, "a refusal")
    assert [works.get(id) is not None for id in ids] == [False, False, True]
    works.close()
