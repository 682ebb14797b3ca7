"""A day sheet: which log ran with which build, as the helper wrote it down."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path

import pytest

from fairpull.book import Book
from fairpull.tasks.bench.day_sheet import DayRow, all_lines, read_day_sheet, take_day
from fairpull.tasks.bench.take import TakeOptions, take_files
from fairpull.terms.bench import COUNTS, SET_ASIDE, NewPull, Taken
from fairpull.terms.errors import ReadRefused
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


def test_one_bad_log_keeps_the_whole_day_out_and_all_bad_ones_are_told(kept: Book, day: Path) -> None:
    for name in ("b", "c"):
        (day / "logs" / f"{name}.csv").write_text(f"nothing of {name}\n", "utf-8")
    sheet = write(day, GOOD)
    with pytest.raises(ReadRefused) as refusal:
        take_day(kept, sheet)
    said = " ".join(fault.where for fault in refusal.value.faults)
    assert "b.csv" in said
    assert "c.csv" in said
    assert kept.pulls() == ()
    assert not list((kept.folder / "originals").rglob("*.csv"))
    sweep(day / "logs" / "b.csv", "09:10:00")
    sweep(day / "logs" / "c.csv", "09:20:00")
    assert all_lines(take_day(kept, sheet)) == ("a", "b", "c")


def test_builds_sessions_and_files_that_are_not_there_are_told_at_once(kept: Book, day: Path) -> None:
    sheet = write(
        day,
        "file,build,session\nlogs/a.csv,plain,\nlogs/b.csv,tubb,day-9\nlogs/no.csv,plain,\nlogs/c.csv,plane,\n",
    )
    told: list[Path] = []
    with pytest.raises(ReadRefused) as refusal:
        take_day(kept, sheet, progress=lambda path, number, total: told.append(path))
    said = [fault.where for fault in refusal.value.faults]
    assert [any(name in where for where in said) for name in ("tubb", "plane", "day-9", "no.csv")] == [True] * 4
    assert told == []
    assert kept.pulls() == ()


def test_each_log_is_judged_against_those_before_it_on_the_sheet(kept: Book, day: Path) -> None:
    sweep(day / "logs" / "d.csv", "08:00:00", gain=1.002)  # its clock is wrong; the sheet says when it ran
    sheet = write(day, GOOD + "logs/d.csv,plain,,,\n")
    reports = take_day(kept, sheet)
    healths = [report.kept[0].health for report in reports]
    assert [health.references if health else None for health in healths] == [(), (), ("a",), ("a",)]


def test_the_day_is_one_taking_in_with_its_words_as_first_mark(
    kept: Book, day: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    calls: list[int] = []
    plain = type(kept).take

    def take(self: Book, pulls: Sequence[NewPull], files: Mapping[str, Path]) -> Taken:
        calls.append(len(pulls))
        return plain(self, pulls, files)

    monkeypatch.setattr(type(kept), "take", take)
    take_day(kept, write(day, GOOD))
    assert calls == [3]
    assert [(mark.state, mark.reason) for mark in kept.marks("c")] == [(SET_ASIDE, "fan belt came off")]


def test_a_log_that_stands_twice_is_one_pull_and_a_wrong_build_is_told(kept: Book, day: Path) -> None:
    reports = take_day(kept, write(day, "file,build\nlogs/a.csv,plain\nlogs/a.csv,tube\n"))
    assert [len(report.kept) for report in reports] == [1, 0]
    assert reports[1].already == {str(day / "logs/a.csv"): ("a",)}
    assert [finding.code for finding in reports[1].findings] == ["taken-under-another-build"]


@pytest.mark.parametrize("mark", [";", "\t"])
def test_semicolons_and_tabs_between_cells_are_read(day: Path, mark: str) -> None:
    sheet = write(day, GOOD.replace('"smelled of rubber, too"', "smelled of rubber").replace(",", mark))
    assert [row.build for row in read_day_sheet(sheet)] == ["plain", "tube", "plain"]


def test_a_sheet_that_is_not_there_is_told_in_plain_words(day: Path) -> None:
    with pytest.raises(ReadRefused) as refusal:
        read_day_sheet(day / "nix.csv")
    (fault,) = refusal.value.faults
    assert fault.seen == "no such file"


def test_words_about_logs_that_were_there_before_are_kept(kept: Book, day: Path) -> None:
    """A log may have been taken in before the sheet was written."""
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
    assert len(kept.marks("c")) == 2
