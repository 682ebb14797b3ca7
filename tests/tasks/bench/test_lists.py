"""Lists of pulls, and whether one counts."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from fairpull.book import Book, open_book
from fairpull.tasks.bench.lists import WORDS, find_pulls, mark_pull
from fairpull.tasks.bench.moving import move_pull
from fairpull.terms.bench import COUNTS, SET_ASIDE, STATES, VOID
from fairpull.terms.errors import BookRefused, FairpullError, UnknownName


@pytest.fixture
def full(filled_copy: Path) -> Iterator[Book]:
    with open_book(filled_copy) as opened:
        yield opened


def test_all_pulls_in_order_of_taking_in(full: Book) -> None:
    names = [line.name for line in find_pulls(full)]
    assert names == ["plain-0", "tube-1", "plain-2", "tube-3", "plain-4", "tube-5"]


def test_a_short_list_has_signs_and_figures_and_a_long_one_has_not(full: Book, monkeypatch: pytest.MonkeyPatch) -> None:
    assert all(line.health is not None and line.figures for line in find_pulls(full))
    monkeypatch.setattr("fairpull.tasks.bench.lists.FEW", 5)
    assert all(line.health is None for line in find_pulls(full))


def test_only_of_some_builds(full: Book) -> None:
    assert {line.build for line in find_pulls(full, builds=["tube"])} == {"tube"}
    assert len(find_pulls(full, builds=["tube", "plain"])) == 6
    assert find_pulls(full, builds=["rich"]) == ()


def test_only_those_that_fit(full: Book) -> None:
    """300 N m against 312 N m."""
    assert {line.build for line in find_pulls(full, "peak torque > 306 N m")} == {"tube"}
    assert find_pulls(full, "peak torque > 306 N m", ["plain"]) == ()


def test_an_unknown_build_and_a_search_that_is_none_are_refused(full: Book) -> None:
    with pytest.raises(UnknownName):
        find_pulls(full, builds=["tub"])
    with pytest.raises(FairpullError):
        find_pulls(full, "peak torque >> many")


@pytest.mark.parametrize("word", WORDS)
def test_every_word_marks(full: Book, word: str) -> None:
    line = mark_pull(full, "plain-0", word, "for a test", by="K. L.")
    assert line.state == WORDS[word]
    assert full.marks("plain-0")[-1].by == "K. L."


def test_the_words_mean_all_states() -> None:
    assert set(WORDS.values()) == set(STATES) == {COUNTS, SET_ASIDE, VOID}


def test_a_reason_is_needed_unless_it_counts(full: Book) -> None:
    for word in ("aside", "void"):
        with pytest.raises(BookRefused):
            mark_pull(full, "plain-0", word)
    assert mark_pull(full, "plain-0", "counts").state == COUNTS


def test_nothing_is_forgotten(full: Book) -> None:
    mark_pull(full, "plain-0", "aside", "fan belt")
    mark_pull(full, "plain-0", "counts", "the belt drives nothing")
    assert [(mark.state, mark.reason) for mark in full.marks("plain-0")] == [
        (COUNTS, ""),
        (SET_ASIDE, "fan belt"),
        (COUNTS, "the belt drives nothing"),
    ]


def test_a_limit_is_set_kept_and_lifted(full: Book) -> None:
    assert mark_pull(full, "plain-0", "counts", valid_to="4500rpm").valid_to == 4500.0
    assert mark_pull(full, "plain-0", "aside", "fan").valid_to == 4500.0
    assert mark_pull(full, "plain-0", "counts", valid_to="end").valid_to is None


def test_an_unknown_state_pull_or_speed_is_refused(full: Book) -> None:
    for name, state, speed in (("plain-0", "perhaps", ""), ("nobody", "counts", ""), ("plain-0", "counts", "fast")):
        with pytest.raises(FairpullError):
            mark_pull(full, name, state, valid_to=speed)
    assert len(full.marks("plain-0")) == 1


def test_a_pull_of_the_wrong_build_is_moved_and_judged_again(full: Book) -> None:
    moved = move_pull(full, "plain-2", "tube", "the header was on already", by="K. L.")
    assert (moved.name, moved.build, moved.number) == ("plain-2", "tube", 3)
    assert {line.name for line in find_pulls(full, builds=["plain"])} == {"plain-0", "plain-4"}
    (said,) = full.remarks(("pull", "plain-2"))
    assert said.text == "moved from build plain to tube: the header was on already"
    assert [mark.by for mark in full.marks("plain-2")] == ["", "K. L."]


def test_moving_needs_a_reason_and_a_build(full: Book) -> None:
    for build, reason in (("tube", ""), ("tub", "wrong build")):
        with pytest.raises(FairpullError):
            move_pull(full, "plain-2", build, reason)
    assert full.pull("plain-2").build == "plain"
    assert len(full.marks("plain-2")) == 1
