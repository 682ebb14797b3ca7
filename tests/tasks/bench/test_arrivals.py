"""A watch beside the pages: what comes, what is refused, and that nothing but a stop ends it."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from fairpull.book import open_book
from fairpull.tasks.bench import watch as watching
from fairpull.tasks.bench.arrivals import REMEMBERED, Arrivals, came_of
from fairpull.tasks.bench.take import take_files
from fairpull.tasks.bench.watch import Arrival
from fairpull.terms.errors import FairpullError, Fault, ReadRefused
from tests.tasks.bench.shop import sweep

pytestmark = pytest.mark.sqlite_only("the watch itself has a test on both stores")
Start = Callable[..., Arrivals]


@pytest.fixture
def inbox(tmp_path: Path) -> Path:
    folder = tmp_path / "inbox"
    folder.mkdir()
    return folder


@pytest.fixture
def start(filled_copy: Path, inbox: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Start]:
    monkeypatch.setattr(watching, "EVERY", 0.02)
    made: list[Arrivals] = []

    def begin(build: str = "", against: str = "", folder: Path = inbox, book: Path = filled_copy) -> Arrivals:
        made.append(Arrivals(book, folder, build, against, quiet=0.1, again=0.1))
        made[-1].start()
        return made[-1]

    yield begin
    for one in made:
        one.stop()
        assert not one.running


def wait(what: Callable[[], object], seconds: float = 15.0) -> None:
    until = time.monotonic() + seconds
    while not what():
        assert time.monotonic() < until, "it did not come"
        time.sleep(0.02)


def test_a_log_is_taken_in_judged_and_told(start: Start, inbox: Path, filled_copy: Path) -> None:
    arrivals = start("tube")
    mark = arrivals.mark
    sweep(inbox / "new.csv", "12:00:00", gain=1.04)
    wait(arrivals.recent)
    came = arrivals.recent()[0]
    assert (came.file, came.pulls, came.faults, came.why_not, came.look) == ("new.csv", ("new",), (), "", 1)
    assert arrivals.mark != mark
    with open_book(filled_copy, read_only=True) as kept:
        assert kept.pull("new").build == "tube"
        assert kept.settings()["fitted"] == "tube"
        assert kept.looks("plain", "tube") == 1


def test_a_refused_file_is_told_with_its_remedy_and_the_next_is_taken(start: Start, inbox: Path) -> None:
    (inbox / "bad.csv").write_text("this is no log\n", "utf-8")
    arrivals = start("tube")
    wait(arrivals.recent)
    bad = arrivals.recent()[0]
    assert bad.file == "bad.csv"
    assert bad.pulls == ()
    assert bad.faults
    assert all(fault.remedy for fault in bad.faults)
    sweep(inbox / "good.csv", "12:00:00")
    wait(lambda: len(arrivals.recent()) == 2)
    assert [came.file for came in arrivals.recent()] == ["good.csv", "bad.csv"]
    assert arrivals.running


def test_a_log_that_nobody_foresaw_does_not_end_the_watch(
    start: Start, inbox: Path, monkeypatch: pytest.MonkeyPatch
) -> None:

    def stumble(kept: object, files: list[Path], *more: object) -> object:
        if files[0].name == "odd.csv":
            raise ZeroDivisionError
        return take_files(kept, files, *more)  # type: ignore[arg-type]

    monkeypatch.setattr(watching, "take_files", stumble)
    sweep(inbox / "odd.csv", "12:00:00")
    arrivals = start("tube")
    wait(arrivals.recent)
    assert [fault.code for fault in arrivals.recent()[0].faults] == ["watch-stumbled"]
    sweep(inbox / "good.csv", "12:05:00")
    wait(lambda: arrivals.recent()[0].file == "good.csv")


def test_a_build_that_is_not_there_is_trouble_and_not_the_end(start: Start, inbox: Path, filled_copy: Path) -> None:
    arrivals = start("tub")
    wait(lambda: arrivals.trouble)
    assert "tube" in arrivals.trouble[0].remedy
    assert arrivals.running
    assert arrivals.mark.endswith("!")


def test_a_folder_that_goes_away_is_trouble_until_it_is_back(start: Start, inbox: Path) -> None:
    arrivals = start("tube")
    wait(lambda: arrivals.running)
    inbox.rename(inbox.with_name("gone"))
    wait(lambda: arrivals.trouble)
    assert arrivals.trouble[0].code == "no-such-folder"
    inbox.with_name("gone").rename(inbox)
    wait(lambda: not arrivals.trouble)
    sweep(inbox / "new.csv", "12:00:00")
    wait(arrivals.recent)


def test_a_book_that_is_not_there_yet_is_waited_for(start: Start, inbox: Path, tmp_path: Path) -> None:
    arrivals = start("tube", book=tmp_path / "later")
    wait(lambda: arrivals.trouble)
    assert arrivals.running


def test_it_stops_at_once(start: Start) -> None:
    arrivals = start("tube")
    wait(lambda: arrivals.running)
    begin = time.monotonic()
    arrivals.stop()
    assert time.monotonic() - begin < 1.0
    assert not arrivals.running


def test_a_second_start_and_a_stop_without_a_start_do_nothing(start: Start, filled_copy: Path, inbox: Path) -> None:
    arrivals = start("tube")
    thread = arrivals._thread
    arrivals.start()
    assert arrivals._thread is thread
    Arrivals(filled_copy, inbox).stop()


def test_a_folder_that_is_not_there_is_refused_at_once(filled_copy: Path, tmp_path: Path) -> None:
    with pytest.raises(ReadRefused):
        Arrivals(filled_copy, tmp_path / "nowhere")


def test_only_the_latest_are_remembered(filled_copy: Path, inbox: Path) -> None:
    arrivals = Arrivals(filled_copy, inbox)
    fault = Fault("no-pull", "x", "no pull", "export it again")
    for number in range(REMEMBERED + 5):
        arrivals._told(Arrival(Path(f"{number}.csv"), None, None, "no", faults=(fault,)))
    assert len(arrivals.recent()) == REMEMBERED
    assert arrivals.recent()[0].file == f"{REMEMBERED + 4}.csv"
    assert arrivals.mark == str(REMEMBERED + 5)


def test_why_a_file_was_refused_stays_apart_fault_by_fault() -> None:
    faults = FairpullError([Fault("a", "x", "y", "z"), Fault("b", "x", "y", "z")]).faults
    came = came_of(Arrival(Path("folder/x.csv"), None, None, "told", faults=faults), 1.0)
    assert (came.file, came.faults, came.at) == ("x.csv", faults, 1.0)
