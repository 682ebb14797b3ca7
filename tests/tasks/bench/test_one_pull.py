"""A pull is found by name and by number; a limit lies within what was tested."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from fairpull.book import Book, open_book
from fairpull.tasks.bench.lists import mark_pull
from fairpull.tasks.bench.one_pull import about_named, limit_of, pull_name
from fairpull.terms.errors import UnknownName, ValueRefused


@pytest.fixture
def opened(filled: Path) -> Iterator[Book]:
    with open_book(filled, read_only=True) as kept:
        yield kept


@pytest.mark.parametrize("word", ["plain-2", "3", "#3", " 3 "])
def test_a_name_or_a_number_finds_it(opened: Book, word: str) -> None:
    assert pull_name(opened, word) == "plain-2"
    assert about_named(opened, ("pull", word)) == ("pull", "plain-2")


def test_other_things_are_named_by_name_only(opened: Book) -> None:
    assert about_named(opened, ("build", "3")) == ("build", "3")


@pytest.mark.parametrize(
    ("word", "near"), [("99", "list them"), ("plain", "plain-0, plain-2, plain-4"), ("Tube-", "tube-1, tube-3, tube-5")]
)
def test_an_unknown_one_comes_with_names_that_hold_it(opened: Book, word: str, near: str) -> None:
    with pytest.raises(UnknownName, match=near):
        pull_name(opened, word)


@pytest.mark.parametrize(
    ("word", "limit"), [("4000rpm", 4000.0), ("4000", 4000.0), ("4,000.0 rpm", 4000.0), ("end", None), ("", None)]
)
def test_a_limit_is_a_speed(opened: Book, word: str, limit: float | None) -> None:
    assert limit_of(opened.pull("plain-2"), word) == limit


@pytest.mark.parametrize("word", ["9000rpm", "900", "5090"])
def test_a_limit_outside_what_was_tested_is_refused_with_the_range(filled_copy: Path, word: str) -> None:
    with open_book(filled_copy) as kept:
        before = kept.pull("plain-2")
        with pytest.raises(ValueRefused, match=r"plain-2 was tested from 1,\d+ to 5,0\d+ rpm"):
            mark_pull(kept, "plain-2", "counts", valid_to=word)
        assert kept.pull("plain-2") == before
