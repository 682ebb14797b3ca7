"""Compaction: traces lie together and stay bit for bit the same."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import polars as pl
import pytest

from fairpull.book import Book, compaction, create
from fairpull.terms.errors import BookRefused
from tests.book.making import files_below, same_channels
from tests.book.small_books import fill

SEEDS = range(1, 24)
pytestmark = pytest.mark.usefixtures("catalogues")


@pytest.fixture
def tens(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(compaction, "PULLS_A_FILE", 10)


def test_traces_read_back_bit_for_bit(tmp_path: Path, tens: None) -> None:
    with create(tmp_path / "bench") as book:
        fill(book, tmp_path / "logs", SEEDS)
        before = {line.name: book.trace(line.name) for line in book.pulls()}
        assert book.compact() == len(SEEDS)
        assert files_below(book.folder / "traces") == {
            "gathered/0000001-0000010-10.parquet",
            "gathered/0000011-0000020-10.parquet",
            "gathered/0000021-0000023-3.parquet",
        }
        after = {line.name: book.trace(line.name) for line in book.pulls()}
        assert all(same_channels(before[name].channels, after[name].channels) for name in before)
        assert any(np.isnan(one.channels.get("lambda_1", np.zeros(1))).any() for one in after.values())
        assert not book.check().findings
        assert book.compact() == 0


def test_rows_lie_in_pull_order_and_missing_channels_are_null(tmp_path: Path, tens: None) -> None:
    with create(tmp_path / "bench") as book:
        fill(book, tmp_path / "logs", SEEDS)
        book.compact()
        table = pl.read_parquet(book.folder / "traces" / "gathered" / "0000001-0000010-10.parquet")
        assert table["pull"].is_sorted()
        lines = {line.number: book.trace(line.name).channels for line in book.pulls()}
        assert table["pull"].unique().sort().to_list() == list(range(1, 11))
        for number in range(1, 11):
            own = table.filter(pl.col("pull") == number)
            assert own["boost"].null_count() == (0 if "boost" in lines[number] else own.height)
            assert own["rpm"].to_list() == lines[number]["rpm"].tolist()


def test_files_that_are_not_full_are_gathered_again(tmp_path: Path, tens: None) -> None:
    with create(tmp_path / "bench") as book:
        fill(book, tmp_path / "logs", range(1, 5))
        assert book.compact() == 4
        fill(book, tmp_path / "logs", range(5, 13))
        assert book.compact() == 12
        assert files_below(book.folder / "traces") == {
            "gathered/0000001-0000010-10.parquet",
            "gathered/0000011-0000012-2.parquet",
        }
        fill(book, tmp_path / "logs", range(13, 14))
        assert book.compact() == 3
        assert not book.check().findings


def test_one_pull_alone_stays_where_it_is(tmp_path: Path) -> None:
    with create(tmp_path / "bench") as book:
        assert book.compact() == 0
        fill(book, tmp_path / "logs", [1])
        assert book.compact() == 0
        assert files_below(book.folder / "traces") == {"000/0000001.parquet"}


def test_a_damaged_trace_stops_it_and_nothing_moves(tmp_path: Path) -> None:
    with create(tmp_path / "bench") as book:
        fill(book, tmp_path / "logs", range(1, 4))
        damaged = book.folder / "traces" / "000" / "0000002.parquet"
        damaged.write_bytes((book.folder / "traces" / "000" / "0000003.parquet").read_bytes())
        with pytest.raises(BookRefused) as caught:
            book.compact()
        assert caught.value.faults[0].code == "trace-damaged"
        assert len(files_below(book.folder / "traces")) == 3


def test_if_another_program_was_faster_nothing_moves_twice(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    with create(tmp_path / "bench") as book:
        fill(book, tmp_path / "logs", range(1, 4))
        gathered = compaction._gathered

        def slowly(*told: object) -> bytes:
            content = gathered(*told)  # type: ignore[arg-type]
            monkeypatch.setattr(compaction, "_gathered", gathered)
            monkeypatch.setattr(compaction, "FOLDER", "elsewhere")
            with_other(book)
            return content

        monkeypatch.setattr(compaction, "_gathered", slowly)
        assert book.compact() == 0
        assert files_below(book.folder / "traces") == {"elsewhere/0000001-0000003-3.parquet"}
        assert not book.check().findings


def with_other(book: Book) -> None:
    from fairpull.book import open_book

    with open_book(book.folder) as other:
        assert other.compact() == 3
