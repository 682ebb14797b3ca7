"""Watching a folder, with a clock and a sleep of the test's own: nothing waits."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from fairpull.book import Book, open_book
from fairpull.tasks.bench.door import change_setting
from fairpull.tasks.bench.watch import QUIET, Arrival, Watch, arrive, reference_of, watch
from fairpull.terms.bench import COUNTS, SET_ASIDE
from fairpull.terms.errors import BookRefused, NotComparable, ReadRefused
from tests.tasks.bench.shop import codes, sweep


class Morning:
    """A clock that stands still but for sleeping, and what happens at its hours."""

    def __init__(self) -> None:
        self.now = 0.0
        self.due: list[tuple[float, Callable[[], object]]] = []

    def at(self, seconds: float, what: Callable[[], object]) -> None:
        self.due.append((seconds, what))

    def clock(self) -> float:
        return self.now

    def sleep(self, seconds: float) -> None:
        self.now += seconds
        ready = [one for one in self.due if one[0] <= self.now]
        self.due = [one for one in self.due if one[0] > self.now]
        for _, what in ready:
            what()
        assert self.now < 1000.0, "nothing more comes"


@pytest.fixture
def morning() -> Morning:
    return Morning()


@pytest.fixture
def inbox(tmp_path: Path) -> Path:
    folder = tmp_path / "inbox"
    folder.mkdir()
    return folder


def arrivals(morning: Morning, book: Path, under: Watch) -> Iterator[Arrival]:
    return watch(lambda: open_book(book), under, sleep=morning.sleep, clock=morning.clock)


def grow(path: Path, text: str) -> Callable[[], None]:
    def more() -> None:
        with path.open("a", encoding="utf-8") as stream:
            stream.write(text)

    return more


def test_a_growing_file_is_not_taken_before_it_stands_still(
    morning: Morning, inbox: Path, filled_copy: Path, tmp_path: Path
) -> None:
    text = sweep(tmp_path / "made.csv", "12:00:00").read_text("utf-8")
    log = inbox / "new.csv"
    third = len(text) // 3
    for second, piece in enumerate((text[:third], text[third : 2 * third], text[2 * third :])):
        morning.at(1.0 + second, grow(log, piece))
    under = Watch(inbox, "plain", quiet=1.5)
    arrival = next(arrivals(morning, filled_copy, under))
    assert arrival.report is not None
    assert arrival.report.kept[0].tested[1] > 5000.0  # the whole of it
    assert 4.5 <= morning.now <= 5.5


def test_a_file_is_finished_only_when_size_and_time_stand_still_and_it_is_not_empty(inbox: Path) -> None:
    under = Watch(inbox, quiet=2.0)
    log, empty = inbox / "a.csv", inbox / "empty.csv"
    log.write_text("a", "utf-8")
    empty.write_text("", "utf-8")
    assert under.finished(0.0) == []
    assert under.finished(1.0) == []
    os.utime(log, (1e9, 1e9))  # touched: the waiting begins anew
    assert under.finished(2.5) == []
    assert under.finished(4.4) == []
    assert under.finished(4.5) == [log]
    under.done(log)
    assert under.finished(9.0) == []
    log.write_text("ab", "utf-8")
    assert under.finished(10.0) == []
    assert under.finished(12.0) == [log]


def test_a_file_that_goes_away_is_forgotten(inbox: Path) -> None:
    under = Watch(inbox, quiet=2.0)
    log = inbox / "a.csv"
    log.write_text("a", "utf-8")
    under.finished(0.0)
    log.unlink()
    under.finished(1.0)
    log.write_text("a", "utf-8")
    assert under.finished(2.5) == []


def test_papers_and_hidden_files_are_left_alone_and_older_logs_come_first(inbox: Path) -> None:
    for name, age in (("late.csv", 30), ("early.csv", 10), ("photo.jpg", 5), ("notes.md", 6), (".part.csv", 7)):
        (inbox / name).write_text("a", "utf-8")
        os.utime(inbox / name, (1e9 + age, 1e9 + age))
    (inbox / "folder.csv").mkdir()
    under = Watch(inbox, quiet=1.0)
    under.finished(0.0)
    assert [path.name for path in under.finished(1.0)] == ["early.csv", "late.csv"]


def test_a_folder_that_is_not_there_is_refused(inbox: Path) -> None:
    with pytest.raises(ReadRefused) as refusal:
        Watch(inbox / "nothing")
    assert codes(refusal.value) == ["no-such-folder"]


def test_each_log_is_judged_and_every_look_is_counted(morning: Morning, inbox: Path, filled_copy: Path) -> None:
    for number in range(2):
        morning.at(10.0 * number, lambda n=number: sweep(inbox / f"t{n}.csv", f"12:0{n}:00", gain=1.04 + n / 1000))  # type: ignore[misc]
    coming = arrivals(morning, filled_copy, Watch(inbox, "tube"))
    first, second = next(coming), next(coming)
    assert (first.path.name, second.path.name) == ("t0.csv", "t1.csv")
    assert (first.look, second.look) == (1, 2)
    for arrival in (first, second):
        assert arrival.why_not == ""
        assert arrival.comparison is not None
        (difference,) = arrival.comparison.comparison.differences
        assert (difference.reference, difference.other) == ("plain", "tube")
    assert first.comparison is not None
    assert second.comparison is not None
    levels = [one.comparison.differences[0].verdict.level for one in (first.comparison, second.comparison)]
    assert all(level > 0.95 for level in levels)
    with open_book(filled_copy) as kept:
        assert kept.looks("plain", "tube") == 2


def test_switching_builds_while_it_runs_is_one_setting(morning: Morning, inbox: Path, filled_copy: Path) -> None:
    def fit(name: str) -> Callable[[], None]:
        def switch() -> None:
            with open_book(filled_copy) as kept:
                change_setting(kept, "fitted", name)

        return switch

    morning.at(0.5, fit("tube"))
    morning.at(1.0, lambda: sweep(inbox / "one.csv", "12:00:00", gain=1.04))
    morning.at(10.0, fit("plain"))
    morning.at(11.0, lambda: sweep(inbox / "two.csv", "12:10:00"))
    coming = arrivals(morning, filled_copy, Watch(inbox))
    reports = [next(coming).report for _ in range(2)]
    assert [report.build for report in reports if report is not None] == ["tube", "plain"]


def test_a_refusal_is_told_and_the_watch_goes_on(morning: Morning, inbox: Path, filled_copy: Path) -> None:
    morning.at(1.0, lambda: (inbox / "a letter.csv").write_text("Dear helper,\nno numbers.\n", "utf-8"))
    morning.at(10.0, lambda: sweep(inbox / "new.csv", "12:00:00"))
    coming = arrivals(morning, filled_copy, Watch(inbox, "plain"))
    refused, taken = next(coming), next(coming)
    assert (refused.path.name, refused.report, refused.comparison) == ("a letter.csv", None, None)
    assert "a letter.csv" in refused.why_not
    assert taken.report is not None
    assert taken.why_not == "build plain names no reference, so there is nothing to compare it with"


def test_no_build_at_all_is_told_too(inbox: Path, filled_copy: Path) -> None:
    log = sweep(inbox / "new.csv", "12:00:00")
    with open_book(filled_copy) as kept:
        assert "no build named" in arrive(kept, log, Watch(inbox)).why_not


def test_a_book_that_cannot_be_written_ends_the_watch(inbox: Path, filled: Path) -> None:
    log = sweep(inbox / "new.csv", "12:00:00")
    with open_book(filled, read_only=True) as kept, pytest.raises(BookRefused):
        arrive(kept, log, Watch(inbox, "plain"))


def test_a_pull_that_does_not_count_leaves_the_verdict_and_the_looks(
    inbox: Path, filled_copy: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("fairpull.tasks.bench.judge.verdict_on", lambda report: (SET_ASIDE, "for a test", None))
    log = sweep(inbox / "new.csv", "12:00:00")
    with open_book(filled_copy) as kept:
        arrival = arrive(kept, log, Watch(inbox, "tube"))
        assert arrival.report is not None
        assert arrival.comparison is None
        assert "the verdict stands" in arrival.why_not
        assert kept.looks("plain", "tube") == 0


def test_a_log_that_went_on_after_a_pause_is_not_counted_twice(
    morning: Morning, inbox: Path, filled_copy: Path, tmp_path: Path
) -> None:
    """The logger's buffer paused for longer than the watch waits: the first part must not stay beside the whole."""
    text = sweep(tmp_path / "made.csv", "12:00:00", gain=1.04).read_text("utf-8")
    lines = text.splitlines(keepends=True)
    cut = len("".join(lines[: 2 * len(lines) // 3]))
    log = inbox / "slow.csv"
    morning.at(1.0, grow(log, text[:cut]))
    morning.at(10.0, grow(log, text[cut:]))
    coming = arrivals(morning, filled_copy, Watch(inbox, "tube"))
    part, whole = next(coming), next(coming)
    assert part.report is not None
    assert whole.report is not None
    assert whole.report.kept[0].tested[1] > part.report.kept[0].tested[1]
    with open_book(filled_copy) as kept:
        states = {line.name: line.state for line in kept.pulls(builds=("tube",)) if line.name.startswith("slow")}
        assert states == {"slow": SET_ASIDE, "slow#2": COUNTS}
        assert kept.pull("slow").reason.startswith("an unfinished piece of slow#2: the log went on growing")
        assert kept.looks("plain", "tube") == 1
    assert (part.look, whole.look) == (1, 1)  # the piece's look was at less of the same pull
    assert [finding.code for finding in whole.report.findings] == ["unfinished-piece"]
    assert whole.report.kept[0].health is not None
    assert "slow" not in whole.report.kept[0].health.references


def test_a_log_that_was_only_touched_stays_as_it_was(morning: Morning, inbox: Path, filled_copy: Path) -> None:
    log = inbox / "run.csv"
    morning.at(1.0, lambda: sweep(log, "12:00:00", gain=1.04))
    morning.at(10.0, lambda: os.utime(log, (2e9, 2e9)))
    morning.at(20.0, lambda: os.utime(log, (2.1e9, 2.1e9)))
    coming = arrivals(morning, filled_copy, Watch(inbox, "tube"))
    for _ in range(3):
        next(coming)
    with open_book(filled_copy) as kept:
        assert kept.pull("run").state == COUNTS
        assert len(kept.marks("run")) == 1
        assert kept.looks("plain", "tube") == 1


def test_another_log_under_the_same_name_is_a_pull_of_its_own(morning: Morning, inbox: Path, filled_copy: Path) -> None:
    morning.at(1.0, lambda: sweep(inbox / "run.csv", "12:00:00", gain=1.04))
    morning.at(10.0, lambda: sweep(inbox / "run.csv", "12:10:00", gain=1.041))
    coming = arrivals(morning, filled_copy, Watch(inbox, "tube"))
    for _ in range(2):
        next(coming)
    with open_book(filled_copy) as kept:
        assert {kept.pull(name).state for name in ("run", "run#2")} == {COUNTS}


def test_a_comparison_that_cannot_be_made_is_no_look(inbox: Path, filled_copy: Path) -> None:
    log = sweep(inbox / "low.csv", "12:00:00", high=2600.0)
    with open_book(filled_copy) as kept:
        for line in kept.pulls(builds=("tube",)):
            kept.mark(line.name, "void", "for a test")
        for line in kept.pulls(builds=("plain",)):
            kept.mark(line.name, COUNTS, "", valid_to=2100.0)
        arrival = arrive(kept, log, Watch(inbox, "tube"))
        assert arrival.comparison is None
        assert arrival.why_not
        assert kept.looks("plain", "tube") == 0


def test_the_same_file_again_is_no_look(inbox: Path, filled_copy: Path) -> None:
    log = sweep(inbox / "new.csv", "12:00:00")
    with open_book(filled_copy) as kept:
        arrive(kept, log, Watch(inbox, "tube"))
        again = arrive(kept, log, Watch(inbox, "tube"))
        assert again.report is not None
        assert list(again.report.already.values()) == [("new",)]
        assert again.comparison is None
        assert again.why_not == "kept before as new (tube, counts), so the verdict stands as it was"
        assert kept.looks("plain", "tube") == 1


def test_the_reference_is_the_sheets_or_the_one_named(kept: Book, inbox: Path) -> None:
    from fairpull.tasks.bench.take import take_files

    take_files(kept, [sweep(inbox / "t.csv", "12:00:00")], "tube")
    with pytest.raises(NotComparable, match="no counted pull of plain yet"):
        reference_of(kept, "tube")
    take_files(kept, [sweep(inbox / "p.csv", "12:01:00")], "plain")
    take_files(kept, [sweep(inbox / "r.csv", "12:02:00")], "rich")
    assert reference_of(kept, "tube") == "plain"
    assert reference_of(kept, "tube", "rich") == "rich"
    with pytest.raises(NotComparable, match="is the reference itself"):
        reference_of(kept, "tube", "tube")
    assert {line.state for line in kept.pulls()} == {COUNTS}


def test_a_logger_that_writes_every_two_seconds_is_waited_for(
    morning: Morning, inbox: Path, filled_copy: Path, tmp_path: Path
) -> None:
    assert QUIET == 3.0
    text = sweep(tmp_path / "made.csv", "12:00:00").read_text("utf-8")
    half = len(text) // 2
    for second, piece in enumerate((text[:half], text[half:])):
        morning.at(1.0 + 2.0 * second, grow(inbox / "new.csv", piece))
    arrival = next(arrivals(morning, filled_copy, Watch(inbox, "plain")))
    assert arrival.report is not None
    assert arrival.report.kept[0].tested[1] > 5000.0
