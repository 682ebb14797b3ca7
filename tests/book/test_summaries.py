"""Summary figures written anew: in every place where they stand, with their setting, and nothing else."""

from __future__ import annotations

from pathlib import Path

import pytest

from fairpull.book import Book, create, parse_where
from fairpull.terms.bench import Resummary
from fairpull.terms.errors import BookRefused, UnknownName
from tests.book.making import BUILD_SHEETS, batch


@pytest.fixture
def one(tmp_path: Path) -> Book:
    made = create(tmp_path / "book")
    made.keep(BUILD_SHEETS)
    coming = batch(tmp_path / "logs")
    made.take(coming.pulls, coming.files)
    return made


def again(**changes: float) -> Resummary:
    return Resummary("run", {"factor": 1.5, "peak_power": 3e5, **changes}, "new, factor 1.5000", ())


def test_the_line_the_search_and_the_choice_agree_and_the_rest_stays(one: Book) -> None:
    before = one.pull("run")
    one.resummarise([again()], {"standard": "new"})
    after = one.pull("run")
    assert dict(after.summary) == {"factor": 1.5, "peak_power": 3e5}
    assert dict(one.pulls()[0].summary) == dict(after.summary)
    assert after.choices == {**before.choices, "correction": "new, factor 1.5000"}
    assert after.findings == ()
    assert after.figures == before.figures
    assert (after.health, after.state, after.trace, after.reading) == (
        before.health,
        before.state,
        before.trace,
        before.reading,
    )
    assert [line.name for line in one.pulls(parse_where("peak power > 290 kW"))] == ["run"]
    assert one.pulls(parse_where("peak torque > 1 N m")) == ()
    assert one.settings()["standard"] == "new"
    assert one.check().findings == ()


def test_numbers_that_are_none_are_left_out(one: Book) -> None:
    one.resummarise([again(mean_power=float("nan"))], {})
    assert "mean_power" not in one.pull("run").summary


def test_all_of_it_or_nothing(one: Book) -> None:
    before = one.pull("run")
    with pytest.raises(UnknownName):
        one.resummarise([again(), Resummary("nobody", {}, "")], {"standard": "new"})
    assert one.pull("run") == before
    assert "standard" not in one.settings()


def test_a_book_to_read_is_left_alone(one: Book) -> None:
    from fairpull.book import open_book

    with open_book(one.folder, read_only=True) as shut, pytest.raises(BookRefused):
        shut.resummarise([again()], {})
