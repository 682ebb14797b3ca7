"""A day sheet: which log ran with which build, as the helper wrote it down."""

from __future__ import annotations

from pathlib import Path

import pytest

from fairpull.book import Book
from fairpull.tasks.bench.day_sheet import DayRow, all_lines, read_day_sheet, take_day
from fairpull.tasks.bench.take import TakeOptions, take_files
from fairpull.terms.bench import COUNTS, SET_ASIDE
from fairpull.terms.errors import FairpullError, ReadRefused
from tests.tasks.bench.shop import codes, sweep


@pytest.fixture
def day(tmp_path: Path) -> Path:
    folder = tmp_path / "day"
    sweep(folder / "logs" / "a.csv", "09:00:00")
    sweep(folder / "logs" / "b.csv", "09:10:00", gain=1.04)
    sweep(folder / "logs" / "c.csv", "09:20:00", gain=1.001)
    return folder


def write(day: Path, text: str) -> Path:
    path = day / "day.csv"
    path.write_text(text, "utf-8")
    return path


GOOD = """\
# the helper's sheet
File, Build,session,Set aside because,remark
logs/a.csv,plain,tuesday,,

logs/b.csv,tube,,,header fitted at nine
logs/c.csv,plain,,fan belt came off,"smelled of rubber, too"
"""


def test_rows_come_in_order_with_files_from_the_sheets_folder(day: Path) -> None:
    rows = read_day_sheet(write(day, GOOD))
    assert rows == (
        DayRow(day / "logs/a.csv", "plain", "tuesday", "", ""),
        DayRow(day / "logs/b.csv", "tube", "", "", "header fitted at nine"),
        DayRow(day / "logs/c.csv", "plain", "", "fan belt came off", "smelled of rubber, too"),
    )


def test_a_short_sheet_and_a_mark_of_byte_order_are_no_trouble(day: Path) -> None:
    (day / "day.csv").write_bytes(b"\xef\xbb\xbffile,build\nlogs/a.csv,plain\n")
    assert [row.build for row in read_day_sheet(day / "day.csv")] == ["plain"]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("", ["day-sheet"] * 2),
        ("file,colour\nlogs/a.csv,blue\n", ["day-sheet"] * 2),
        ("file,build\nlogs/a.csv,\n,plain\nlogs/no.csv,plain\n", ["day-sheet", "day-sheet", "file-unreadable"]),
    ],
)
def test_all_faults_of_a_sheet_come_at_once(day: Path, text: str, expected: list[str]) -> None:
    with pytest.raises(ReadRefused) as refusal:
        read_day_sheet(write(day, text))
    assert codes(refusal.value) == expected


def test_a_sheet_that_is_no_text_is_refused(day: Path) -> None:
    (day / "day.csv").write_bytes("Prüfer,ü\n".encode("latin-1"))
    for path in (day / "day.csv", day / "none.csv"):
        with pytest.raises(ReadRefused) as refusal:
            read_day_sheet(path)
        assert codes(refusal.value) == ["day-sheet"]


def test_a_day_is_taken_in_as_it_was_written(kept: Book, day: Path) -> None:
    told: list[tuple[str, int, int]] = []
    reports = take_day(kept, write(day, GOOD), progress=lambda path, n, total: told.append((path.name, n, total)))
    assert told == [("a.csv", 1, 3), ("b.csv", 2, 3), ("c.csv", 3, 3)]
    assert all_lines(reports) == ("a", "b", "c")
    a, b, c = (kept.pull(name) for name in "abc")
    assert (a.build, a.session, a.state) == ("plain", "tuesday", COUNTS)
    assert (b.build, b.session, b.state) == ("tube", "", COUNTS)
    assert (c.state, c.reason) == (SET_ASIDE, "fan belt came off")
    assert reports[2].kept[0].state == SET_ASIDE
    assert [remark.text for remark in kept.remarks(("pull", "b"))] == ["header fitted at nine"]
    assert kept.remarks(("pull", "a")) == ()


def test_what_a_sheet_leaves_open_comes_from_the_options(kept: Book, day: Path) -> None:
    write(day, "file,build,session\nlogs/a.csv,plain,\n")
    take_day(kept, day / "day.csv", TakeOptions(session="tuesday"))
    assert kept.pull("a").session == "tuesday"


def test_the_same_sheet_again_changes_nothing(kept: Book, day: Path) -> None:
    sheet = write(day, GOOD)
    take_day(kept, sheet)
    before = kept.pulls(full=True)
    again = take_day(kept, sheet)
    assert all_lines(again) == ()
    assert kept.pulls(full=True) == before
    assert len(kept.remarks(("pull", "b"))) == 1


def test_a_log_that_is_refused_ends_it_and_the_sheet_can_be_taken_again(kept: Book, day: Path) -> None:
    (day / "logs" / "b.csv").write_text("nothing of the kind\n", "utf-8")
    sheet = write(day, GOOD)
    with pytest.raises(FairpullError):
        take_day(kept, sheet)
    assert [line.name for line in kept.pulls()] == ["a"]
    sweep(day / "logs" / "b.csv", "09:10:00")
    assert all_lines(take_day(kept, sheet)) == ("b", "c")


def test_words_that_were_cut_off_are_kept_the_next_time(kept: Book, day: Path) -> None:
    """The process may die between taking a log in and writing down why it does not count."""
    take_files(kept, [day / "logs" / "b.csv"], "tube")
    take_files(kept, [day / "logs" / "c.csv"], "plain")
    take_day(kept, write(day, GOOD))
    assert (kept.pull("c").state, kept.pull("c").reason) == (SET_ASIDE, "fan belt came off")
    assert [remark.text for remark in kept.remarks(("pull", "b"))] == ["header fitted at nine"]


def test_a_later_judgement_is_not_undone(kept: Book, day: Path) -> None:
    sheet = write(day, GOOD)
    take_day(kept, sheet)
    kept.mark("c", COUNTS, "the belt drives nothing")
    take_day(kept, sheet)
    assert kept.pull("c").state == COUNTS
    assert len(kept.marks("c")) == 3
