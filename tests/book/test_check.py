"""The check of a book: a whole one is clean, and every planted damage is found, by its name and no other."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path

import pytest
from sqlalchemy import text

from fairpull.book import Book, create, open_book
from fairpull.terms.findings import Severity
from tests.book.making import batch
from tests.book.small_books import fill
from tests.book.test_export import full_book
from tests.catalogues import Catalogues, behind_the_back


def codes(book: Book) -> list[tuple[str, str]]:
    return [(found.code, found.where) for found in book.check().findings]


def test_a_whole_book_is_clean_and_is_looked_at_all_over(tmp_path: Path, database: str) -> None:
    with create(tmp_path / "bench", database=database) as book:
        assert codes(book) == []
        full_book(book, tmp_path)
        found = book.check()
        assert found.findings == ()
        assert found.looked_at["pulls"] == 11
        assert found.looked_at["originals"] == 10
        assert found.looked_at["results"] == 1
        assert found.looked_at["attachments"] == 2
        assert found.looked_at["files"] == 21
        assert found.looked_at["figures"] > 50
        book.compact()
        assert codes(book) == []


def change(book: Book, *lines: str) -> None:
    """Behind the store's back, watching over nothing."""
    with behind_the_back(book.folder) as connection:
        for line in lines:
            connection.execute(text(line))


ROWS: tuple[tuple[str, list[str]], ...] = (
    ("DELETE FROM sheets WHERE name = 'morning'", ["row-refers-to-nothing"] * 5),
    ("DELETE FROM sheets WHERE name = 'Anvil' AND version = 1", ["row-refers-to-nothing"]),
    ("UPDATE pulls SET build_version = 7 WHERE number = 2", ["row-refers-to-nothing"]),
    ("UPDATE pulls SET state = 'void' WHERE number = 1", ["state-without-judgement"]),
    ("DELETE FROM marks WHERE pull = 'run'", ["state-without-judgement"]),
    ("UPDATE marks SET pull = 'nobody' WHERE pull = 'run#2'", ["state-without-judgement", "row-refers-to-nothing"]),
    ("UPDATE remarks SET about_name = 'nobody' WHERE about_kind = 'pull'", ["row-refers-to-nothing"]),
    ("UPDATE attachments SET about_kind = 'session' WHERE about_kind = 'part'", ["row-refers-to-nothing"]),
    ('UPDATE results SET traces = \'{"run":"other"}\'', ["row-refers-to-nothing"]),
    ("UPDATE fitted SET part = 'cam-z' WHERE build = 'anvil-cam' AND kind = 'camshaft'", ["parts-list"]),
    ("DELETE FROM fitted WHERE build = 'bellows'", ["parts-list"]),
    ("UPDATE figures SET most = most * 1.00001 WHERE pull = 1 AND name = 'torque'", ["figure-differs"]),
    ("UPDATE figures SET mean = mean * (1 + 1e-12) WHERE pull = 1 AND name = 'torque'", []),
    ("UPDATE figures SET least = 1 WHERE pull = 1 AND name = 'duration'", ["figure-differs"]),
    ("DELETE FROM figures WHERE pull = 1 AND name = 'peak_power'", ["figure-differs"]),
    ("UPDATE pulls SET tested_high = tested_high + 1 WHERE number = 3", ["figure-differs"]),
    ("UPDATE pulls SET trace = '0' WHERE number = 3", ["trace-damaged"]),
    ("DROP INDEX ix_pulls_build", ["book-schema"]),
    ("ALTER TABLE looks ADD COLUMN extra TEXT", ["book-schema"]),
    ("DROP TABLE looks", ["book-schema"]),
)


@pytest.fixture(scope="module")
def whole(tmp_path_factory: pytest.TempPathFactory, catalogues: Catalogues) -> Path:
    folder = tmp_path_factory.mktemp("check")
    with catalogues.used(), create(folder / "bench") as book:
        full_book(book, folder)
    return folder / "bench"


@pytest.fixture
def book(whole: Path, tmp_path: Path, catalogues: Catalogues) -> Book:
    return open_book(catalogues.copy(whole, tmp_path / "bench"))


@pytest.mark.parametrize(("line", "found"), ROWS, ids=lambda one: one[:60] if isinstance(one, str) else "")
def test_damaged_rows_are_found(book: Book, line: str, found: list[str]) -> None:
    with book:
        change(book, line)
        assert [code for code, _ in codes(book)] == found


def test_rows_without_their_original_are_found(book: Book) -> None:
    with book:
        change(book, "DELETE FROM originals WHERE file_name = 'log 1.csv'")
        assert [code for code, _ in codes(book)] == ["row-refers-to-nothing", "orphan-file"]


def original_gone(book: Book) -> None:
    book.original(book.pulls()[0].original).unlink()


def original_changed(book: Book) -> None:
    book.original(book.pulls()[0].original).write_bytes(b"made-up bytes of log 2\r\n")


def trace_gone(book: Book) -> None:
    (book.folder / "traces" / "000" / "0000004.parquet").unlink()


def trace_changed(book: Book) -> None:
    traces = book.folder / "traces" / "000"
    (traces / "0000004.parquet").write_bytes((traces / "0000005.parquet").read_bytes())


def trace_cut(book: Book) -> None:
    file = book.folder / "traces" / "000" / "0000004.parquet"
    file.write_bytes(file.read_bytes()[:300])


def stray(book: Book) -> None:
    (book.folder / "traces" / "000" / "mine.txt").write_text("mine", "utf-8")


FILES = (
    (original_gone, "original-missing"),
    (original_changed, "original-changed"),
    (trace_gone, "trace-missing"),
    (trace_changed, "trace-damaged"),
    (trace_cut, "trace-damaged"),
    (stray, "orphan-file"),
)


@pytest.mark.parametrize(("damage", "code"), FILES, ids=lambda one: getattr(one, "__name__", ""))
def test_damaged_files_are_found(book: Book, damage: Callable[[Book], None], code: str) -> None:
    with book:
        damage(book)
        found = book.check().findings
        assert [one.code for one in found] == [code]
        assert found[0].remedy
        assert found[0].severity == (Severity.WARNING if code == "orphan-file" else Severity.FAULT)


@pytest.mark.sqlite_only("a server's tables are not a file that a person could damage")
def test_a_damaged_catalogue_is_told_as_such(book: Book) -> None:
    book.close()
    file = book.folder / "book.sqlite"
    content = bytearray(file.read_bytes())
    content[3 * 4096 : 3 * 4096 + 200] = b"\xff" * 200
    file.write_bytes(content)
    from fairpull.terms.errors import BookRefused

    try:
        with open_book(book.folder) as again:
            assert "book-integrity" in {code for code, _ in codes(again)}
    except BookRefused as refused:
        if refused.faults[0].code != "book-damaged":
            raise


def test_leftovers_are_removed_and_noted(book: Book, tmp_path: Path) -> None:
    with book:
        left = book.folder / "staging" / "123-dead"
        left.mkdir(parents=True)
        (book.folder / "traces" / "000" / "0000077.parquet").write_bytes(b"half")
        (left / "journal.json").write_text('["traces/000/0000077.parquet"]', "utf-8")
        (found,) = book.check().findings
        assert (found.code, found.severity) == ("book-leftovers", Severity.NOTE)
        assert "1 files" in found.text
        assert codes(book) == []
        assert not (book.folder / "traces" / "000" / "0000077.parquet").exists()


@pytest.mark.usefixtures("catalogues")
def test_a_check_while_others_take_in_finds_nothing(tmp_path: Path) -> None:
    import threading

    with create(tmp_path / "bench") as book:
        fill(book, tmp_path / "logs", [1])

        def write() -> None:
            with open_book(tmp_path / "bench") as other:
                for seed in range(10, 40):
                    more = batch(tmp_path / "more", f"run-{seed}", seed=seed, build="anvil-cam", session="morning")
                    other.take(more.pulls, more.files)

        writer = threading.Thread(target=write)
        writer.start()
        while writer.is_alive():
            assert {found.severity for found in book.check().findings} <= {Severity.NOTE}
        writer.join()
        assert codes(book) == []


def test_a_book_that_may_only_be_read_can_be_checked(book: Book) -> None:
    book.close()
    left = book.folder / "staging" / "123-dead"
    left.mkdir(parents=True)
    with open_book(book.folder, read_only=True) as again:
        assert codes(again) == [("book-leftovers", "staging")]
    assert os.listdir(book.folder / "staging") == ["123-dead"]
