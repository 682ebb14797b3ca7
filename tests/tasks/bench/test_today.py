"""The bench day out of the book."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, date, datetime
from pathlib import Path

import pytest

from fairpull.book import Book, open_book
from fairpull.tasks.bench.take import take_files
from fairpull.tasks.bench.today import bench_day, judged, mark_now, next_of
from fairpull.terms.bench import SET_ASIDE
from fairpull.terms.comparison import DIFFERS
from fairpull.terms.looking import Pair
from tests.tasks.bench import shop

DAY = date.fromisoformat(shop.DAY)
EVENING = datetime(2031, 5, 6, 20, tzinfo=UTC)
WEEK_LATER = datetime(2031, 5, 13, 9, tzinfo=UTC)


@pytest.fixture
def full(filled_copy: Path) -> Iterator[Book]:
    with open_book(filled_copy) as opened:
        yield opened


def test_the_pulls_of_today_newest_first_in_full(full: Book) -> None:
    day = bench_day(full, now=EVENING)
    assert day.day == DAY
    assert day.live
    assert [line.name for line in day.pulls] == ["tube-5", "plain-4", "tube-3", "plain-2", "tube-1", "plain-0"]
    assert all(line.health is not None and line.figures for line in day.pulls)
    assert day.total == 6
    assert (day.before, day.after) == (None, None)


def test_where_nothing_was_pulled_today_the_latest_day_is_shown(full: Book) -> None:
    day = bench_day(full, now=WEEK_LATER)
    assert day.day == DAY
    assert not day.live
    assert day.total == 6
    early = bench_day(full, now=datetime(2031, 5, 1, tzinfo=UTC))  # a clock that stands wrong
    assert early.day == DAY


def test_a_day_that_was_asked_for_is_shown_even_when_it_is_empty(full: Book) -> None:
    day = bench_day(full, date(2031, 5, 1), now=EVENING)
    assert (day.day, day.pulls, day.total, day.after) == (date(2031, 5, 1), (), 0, DAY)
    later = bench_day(full, date(2031, 5, 20), now=EVENING)
    assert (later.before, later.after) == (DAY, None)


def test_a_pull_without_a_date_counts_by_its_taking_in(full: Book, tmp_path: Path) -> None:
    take_files(full, [shop.sweep(tmp_path / "undated.csv", day="")], "plain")
    now = datetime.now().astimezone()
    day = bench_day(full, now=now)
    assert [line.name for line in day.pulls] == ["undated"]
    assert day.day == now.date()


def test_an_empty_book_has_no_day(kept: Book) -> None:
    day = bench_day(kept, now=EVENING)
    assert (day.day, day.pulls, day.newest, day.pair) == (None, (), None, None)
    assert next_of(kept, day, judged(kept, day)).rule == "no-pull"


def test_the_newest_build_against_its_reference(full: Book) -> None:
    assert bench_day(full, now=EVENING).pair == Pair("plain", "tube")
    assert bench_day(full, now=EVENING, against="rich").pair == Pair("rich", "tube")


def test_back_at_the_reference_the_change_is_still_the_question(full: Book, tmp_path: Path) -> None:
    take_files(full, [shop.sweep(tmp_path / "back.csv", "11:00:00")], "plain")
    day = bench_day(full, now=EVENING)
    assert day.newest is not None
    assert day.newest.build == "plain"
    assert day.pair == Pair("plain", "tube")


def test_the_verdict_and_what_matters_next(full: Book) -> None:
    day = bench_day(full, now=EVENING)
    said = judged(full, day)
    assert said.made is not None
    assert said.made.comparison.differences[0].verdict.kind == DIFFERS
    step = next_of(full, day, said)
    assert (step.rule, step.place) == ("differs", ("compare", "plain", "tube"))
    for name in ("plain-2", "plain-4"):
        full.mark(name, SET_ASIDE, "for a test")
    day = bench_day(full, now=EVENING)
    assert next_of(full, day, judged(full, day)).place == ("build", "plain")


def test_a_comparison_of_many_pulls_is_not_waited_for(full: Book, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("fairpull.tasks.bench.today.QUICK", 5)
    day = bench_day(full, now=EVENING)
    said = judged(full, day)
    assert said.waiting
    assert said.made is None
    assert judged(full, day, wait=True).made is not None


def test_why_there_is_no_verdict(full: Book) -> None:
    for name in ("plain-0", "plain-2", "plain-4"):
        full.mark(name, SET_ASIDE, "for a test")
    day = bench_day(full, now=EVENING)
    said = judged(full, day)
    assert [fault.code for fault in said.faults] == ["no-counted-pull"]
    assert next_of(full, day, said).rule == "pull-reference"


def test_the_mark_moves_with_whatever_a_reader_would_see(full: Book, tmp_path: Path) -> None:
    marks = [mark_now(full, EVENING)]
    assert bench_day(full, now=EVENING).mark == marks[0]
    full.mark("tube-5", SET_ASIDE, "for a test")
    marks.append(mark_now(full, EVENING))
    full.remark(("pull", "tube-5"), "hot")
    marks.append(mark_now(full, EVENING))
    full.set("units", "metric")
    marks.append(mark_now(full, EVENING))
    full.look("plain", "tube")
    marks.append(mark_now(full, EVENING))
    take_files(full, [shop.sweep(tmp_path / "more.csv", "12:00:00")], "plain")
    marks.append(mark_now(full, EVENING))
    marks.append(mark_now(full, WEEK_LATER))
    assert len(set(marks)) == len(marks)
    assert mark_now(full, WEEK_LATER) == marks[-1]
