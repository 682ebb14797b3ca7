"""The book's pages: sheets, settings, judgements, papers, results, looks; the same on both stores."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from sqlalchemy import select

from fairpull import book
from fairpull.book import Book
from fairpull.book.originals import verified_original
from fairpull.book.tables import FITTED
from fairpull.terms.bench import COUNTS, SET_ASIDE, VOID, Sheet, StoredResult
from fairpull.terms.errors import BookRefused, UnknownName
from tests.book.making import BUILD_SHEETS, batch, files_below


def fitted(kept: Book) -> set[tuple[str, str, str]]:
    with kept.store.reading() as connection:
        return {(row.build, row.kind, row.part) for row in connection.execute(select(FITTED))}


def test_a_sheet_comes_back_as_it_was_written(kept: Book, reopened: Callable[[], Book]) -> None:
    body: dict[str, Any] = {
        "text": 'with "quotes", \\, ü, 漢, \n lines and a tab\t',
        "whole": 12,
        "number": 12.0,
        "small": 5e-324,
        "third": 1 / 3,
        "yes": True,
        "day": dt.date(2026, 5, 1),
        "clock": dt.time(7, 30, 15, 250),
        "moment": dt.datetime(2026, 5, 1, 7, 30, tzinfo=dt.UTC),
        "list": [1, 2.5, "x", [], {}],
        "table": {"b": {"deep": [1]}, "a": None},
        "numpy": np.float64(0.1),
    }
    (sheet,) = kept.keep([Sheet("part", "cam ß", body)])
    assert sheet.version == 1
    again = reopened().sheet("part", "cam ß")
    assert again == sheet
    assert again.body == {**body, "numpy": 0.1}
    assert type(again.body["whole"]) is int
    assert type(again.body["number"]) is float


def test_a_correction_is_a_new_version_and_the_same_page_is_none(kept: Book) -> None:
    first = kept.keep([Sheet("part", "jet", {"size": "65", "flow": "1"})])[0]
    same = kept.keep([Sheet("part", "jet", {"flow": "1", "size": "65"})])[0]
    assert same == first
    second = kept.keep([Sheet("part", "jet", {"size": "68"})])[0]
    assert second.version == 2
    back = kept.keep([Sheet("part", "jet", {"size": "65", "flow": "1"})])[0]
    assert back.version == 3
    assert kept.sheet("part", "jet").version == 3
    assert kept.sheet("part", "jet", 2).body == {"size": "68"}
    named = [sheet for sheet in kept.sheets("part", all_versions=True) if sheet.name == "jet"]
    assert [sheet.version for sheet in named] == [1, 2, 3]
    assert [(sheet.name, sheet.version) for sheet in kept.sheets("part")] == [("jet", 3), ("stock cam", 1)]
    with pytest.raises(UnknownName) as refused:
        kept.sheet("part", "jet", 4)
    assert "1 to 3" in refused.value.faults[0].remedy


def test_two_versions_in_one_call_are_two(kept: Book) -> None:
    both = kept.keep([Sheet("duty", "tow", {"rpm": 1}), Sheet("duty", "tow", {"rpm": 2})])
    assert [sheet.version for sheet in both] == [1, 2]
    assert kept.keep([]) == ()


def test_sheets_are_kept_all_or_none_with_all_faults(kept: Book) -> None:
    wrong = [
        Sheet("part", "good", {"a": 1}),
        Sheet("gearbox", "x", {}),
        Sheet("part", " blank", {}),
        Sheet("part", "line\nbreak", {}),
        Sheet("part", "a", {"lift": float("nan"), "deep": [{"flow": float("inf")}]}),
        Sheet("part", "b", {"set": {1, 2}, "$date": "x", "nul": "a\0b"}),
    ]
    with pytest.raises(BookRefused) as refused:
        kept.keep(wrong)
    told = {(fault.code, fault.where) for fault in refused.value.faults}
    assert told == {
        ("sheet-kind", "gearbox x"),
        ("unfit-name", "part  blank"),
        ("unfit-name", "part line\nbreak"),
        ("number-not-finite", "part a.lift"),
        ("number-not-finite", "part a.deep[0].flow"),
        ("not-plain-data", "part b.set"),
        ("entry-name", "part b"),
        ("not-text", "part b.nul"),
    }
    with pytest.raises(UnknownName):
        kept.sheet("part", "good")
    with pytest.raises(UnknownName):
        kept.sheet("gearbox", "x")
    with pytest.raises(UnknownName):
        kept.sheets("gearbox")


def test_a_build_s_parts_are_found(kept: Book) -> None:
    stock = {("as it came", "engine", "Anvil"), ("as it came", "camshaft", "stock cam")}
    other = {("cam B", "engine", "Anvil"), ("cam B", "camshaft", "cam B")}
    assert fitted(kept) == stock | other
    kept.keep([Sheet("build", "cam B", {"engine": "Anvil", "parts": {"intake": "tall"}})])
    assert fitted(kept) == stock | {("cam B", "engine", "Anvil"), ("cam B", "intake", "tall")}
    kept.keep([Sheet("build", "bare", {"parts": "none"})])
    assert not [row for row in fitted(kept) if row[0] == "bare"]


def test_near_names_of_sheets_are_offered(kept: Book) -> None:
    with pytest.raises(UnknownName) as refused:
        kept.sheet("build", "as it cane")
    assert "as it came" in refused.value.faults[0].remedy


def test_settings(kept: Book, reopened: Callable[[], Book]) -> None:
    assert kept.settings() == {}
    kept.set("units", "us")
    kept.set("standard", "iso-1585")
    kept.set("units", "metric")
    assert reopened().settings() == {"standard": "iso-1585", "units": "metric"}
    kept.set("units", "")
    assert kept.settings() == {"standard": "iso-1585"}
    with pytest.raises(BookRefused):
        kept.set("", "x")


def test_settings_given_at_the_start(tmp_path: Path, database: str) -> None:
    with book.create(tmp_path / "b", database=database, settings={"units": "us"}) as made:
        assert made.settings() == {"units": "us"}


def test_every_judgement_is_remembered(kept: Book, tmp_path: Path) -> None:
    coming = batch(tmp_path / "logs", "a", 1)
    kept.take(coming.pulls, coming.files)
    line = kept.mark("a", SET_ASIDE, "ran lean", valid_to=4500.0, by="K. L.")
    assert (line.state, line.reason, line.valid_to) == (SET_ASIDE, "ran lean", 4500.0)
    assert kept.trace("a").valid_to == 4500.0
    kept.mark("a", VOID, "wrong engine")
    line = kept.mark("a", COUNTS, "")
    assert (line.state, line.reason, line.valid_to) == (COUNTS, "", None)
    told = [(one.state, one.reason, one.valid_to, one.by) for one in kept.marks("a")]
    assert told == [
        (COUNTS, "", None, ""),
        (SET_ASIDE, "ran lean", 4500.0, "K. L."),
        (VOID, "wrong engine", None, ""),
        (COUNTS, "", None, ""),
    ]
    with pytest.raises(BookRefused, match="reason-missing"):
        kept.mark("a", VOID, " ")
    with pytest.raises(BookRefused, match="pull-state"):
        kept.mark("a", "good", "x")
    with pytest.raises(UnknownName):
        kept.mark("b", COUNTS, "")
    with pytest.raises(UnknownName):
        kept.marks("b")
    assert len(kept.marks("a")) == 4


def test_a_pull_set_aside_at_taking_in(kept: Book, tmp_path: Path) -> None:
    coming = batch(tmp_path / "logs", "a", 1, state=SET_ASIDE, reason="valve float")
    held = replace(coming.pulls[0], pull=replace(coming.pulls[0].pull, valid_to=5200.0))
    kept.take([held], coming.files)
    line = kept.pull("a")
    assert (line.state, line.reason, line.valid_to) == (SET_ASIDE, "valve float", 5200.0)
    assert [one.reason for one in kept.marks("a")] == ["valve float"]


def test_photographs_and_notes(kept: Book, tmp_path: Path) -> None:
    coming = batch(tmp_path / "logs", "a", 1)
    kept.take(coming.pulls, coming.files)
    photo = tmp_path / "plug.jpg"
    photo.write_bytes(bytes(range(256)))
    first = kept.attach(photo, ("pull", "a"), "plug of cylinder 3")
    assert kept.attach(photo, ("pull", "a"), "plug of cylinder 3") == first
    second = kept.attach(photo, ("build", "cam B"))
    log = kept.attach(coming.files[coming.pulls[0].pull.origin.sha256], ("book", ""), "a log as attachment")
    assert kept.attachments() == (first, second, log)
    assert kept.attachments(("pull", "a")) == (first,)
    assert verified_original(kept.store, first.sha256).read_bytes() == photo.read_bytes()
    assert len([name for name in files_below(kept.folder) if name.startswith("originals/")]) == 2
    note = kept.remark(("session", "tuesday"), "barometer read twice\nboth the same", by="K. L.")
    other = kept.remark(("pull", "a"), "sounded flat")
    assert kept.remarks() == (note, other)
    assert kept.remarks(("pull", "a")) == (other,)


def test_papers_need_something_to_be_about(kept: Book, tmp_path: Path) -> None:
    photo = tmp_path / "plug.jpg"
    photo.write_bytes(b"x")
    before = files_below(kept.folder)
    with pytest.raises(UnknownName):
        kept.attach(photo, ("pull", "nobody"))
    with pytest.raises(UnknownName) as refused:
        kept.remark(("build", "cam C"), "x")
    assert "cam B" in refused.value.faults[0].remedy
    with pytest.raises(BookRefused, match="about-kind"):
        kept.remark(("weather", "x"), "x")
    with pytest.raises(BookRefused, match="remark-empty"):
        kept.remark(("build", "cam B"), " ")
    with pytest.raises(BookRefused):
        kept.attach(tmp_path / "none.jpg", ("build", "cam B"))
    assert files_below(kept.folder) == before
    assert kept.remarks() == ()
    assert kept.attachments() == ()


def test_a_changed_original_is_seen(kept: Book, tmp_path: Path) -> None:
    photo = tmp_path / "plug.jpg"
    photo.write_bytes(b"x")
    sha256 = kept.attach(photo, ("build", "cam B")).sha256
    kept.original(sha256).write_bytes(b"y")
    with pytest.raises(BookRefused, match="original-changed"):
        verified_original(kept.store, sha256)


def stored(name: str, **changes: Any) -> StoredResult:
    whole = StoredResult(
        name=name,
        kind="comparison",
        request={"band": [1800.0, 4600.0], "limit": float("inf"), "standard": None},
        traces={"a": "00" * 32},
        sheets={"build/cam B": 2},
        result='{"verdict": "differs"}',
        version="0.1.0",
        machine="x86_64",
        made_at=5.0,
    )
    return replace(whole, **changes)


def test_results_are_kept_with_what_decides_them(kept: Book, reopened: Callable[[], Book]) -> None:
    first, second = stored("b"), stored("a", kind="purpose", made_at=5.0)
    kept.keep_result(first)
    kept.keep_result(second)
    again = reopened()
    assert again.result("b") == first
    assert again.results() == (second, first)
    assert again.results("comparison") == (first,)
    newer = stored("b", result="{}", made_at=6.0)
    kept.keep_result(newer)
    assert kept.results("comparison") == (newer,)
    with pytest.raises(UnknownName):
        kept.result("c")
    with pytest.raises(BookRefused):
        kept.keep_result(stored(""))


def test_looks_are_counted(kept: Book, reopened: Callable[[], Book]) -> None:
    assert kept.looks("as it came", "cam B") == 0
    assert [kept.look("as it came", "cam B") for _ in range(3)] == [1, 2, 3]
    assert reopened().look("as it came", "cam B") == 4
    assert kept.looks("as it came", "cam B") == 4
    assert kept.looks("cam B", "as it came") == 0


def test_readers_do_not_wait_for_a_writer_and_see_one_state(kept: Book, reopened: Callable[[], Book]) -> None:
    other = reopened()
    with kept.store.writing() as connection:
        connection.execute(FITTED.delete())
        assert fitted(other) == {
            ("as it came", "engine", "Anvil"),
            ("as it came", "camshaft", "stock cam"),
            ("cam B", "engine", "Anvil"),
            ("cam B", "camshaft", "cam B"),
        }
    assert fitted(other) == set()


@pytest.mark.usefixtures("catalogues")
def test_a_book_is_found_from_below(tmp_path: Path) -> None:
    assert book.find_book(tmp_path) is None
    with book.create(tmp_path / "bench") as made:
        made.keep(BUILD_SHEETS)
    below = tmp_path / "bench" / "logs" / "may"
    below.mkdir(parents=True)
    assert book.find_book(below) == (tmp_path / "bench").resolve()
    assert book.find_book(tmp_path / "bench") == (tmp_path / "bench").resolve()
    assert book.find_book(tmp_path) is None
