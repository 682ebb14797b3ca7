"""The benchmark's book is a book: what it is measured on is whole, and found by search."""

from __future__ import annotations

from pathlib import Path

from benchmarks import book as bench
from benchmarks import book_maker
from fairpull.book import open_book, parse_where


def test_the_measured_book_is_whole(tmp_path: Path) -> None:
    with book_maker.make(tmp_path / "many", book_maker.Shape(120, 50)) as book:
        assert len(book.pulls()) == 120
        assert not book.check().findings
        for text in (bench.TWO, bench.CHANNEL, "camshaft = cam-b and state = counts", "sign = heat-soak"):
            assert 0 < len(book.pulls(parse_where(text))) < 120, text
        new, files = book_maker.one_more(5000, tmp_path, 50)
        assert book.take([new], files).kept == ("more-5000",)


def test_measuring_gives_a_table(tmp_path: Path) -> None:
    for name in ("many", "few"):
        book_maker.make(tmp_path / name, book_maker.Shape(10, 50)).close()
    taken = bench.taking(tmp_path / "many", tmp_path / "few", 50, tmp_path, 1)
    assert len(taken.ratios) == 1
    listed = bench.beyond("list", "", tmp_path / "many", tmp_path / "few", 0.3, 1)
    assert listed.target > 1.0
    with open_book(tmp_path / "many") as book:
        assert len(book.pulls()) == 12
