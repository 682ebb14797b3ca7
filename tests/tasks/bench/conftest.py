"""Books for the tests of the bench, on SQLite and on PostgreSQL: a small one made anew, and the demo's, made once."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from fairpull import book
from fairpull.book import Book
from fairpull.tasks.bench.take import take_files
from fairpull.tasks.demo_day import DemoResult
from tests.catalogues import Catalogues
from tests.tasks.bench import shop


@pytest.fixture
def kept(tmp_path: Path, catalogues: Catalogues) -> Iterator[Book]:
    """A small shop's book with sheets and no pull."""
    del catalogues
    with shop.make_book(tmp_path / "book") as made:
        yield made


@pytest.fixture(scope="session")
def filled(tmp_path_factory: pytest.TempPathFactory, catalogues: Catalogues) -> Path:
    """A book with three pulls of ``plain`` and three of ``tube``, 4 % stronger. Tests copy it or only read it."""
    folder = tmp_path_factory.mktemp("filled")
    with catalogues.used(), shop.make_book(folder / "book") as made:
        for number, (build, gain) in enumerate(
            [("plain", 1.0), ("tube", 1.04), ("plain", 1.002), ("tube", 1.042), ("plain", 0.999), ("tube", 1.039)]
        ):
            log = shop.sweep(folder / f"{build}-{number}.csv", f"10:{5 * number:02d}:00", gain=gain)
            take_files(made, [log], build)
    return folder / "book"


@pytest.fixture
def filled_copy(filled: Path, tmp_path: Path, catalogues: Catalogues) -> Path:
    """The filled book, to write into."""
    return catalogues.copy(filled, tmp_path / "filled")


@pytest.fixture(scope="session")
def demo_result(
    demo_in_files: DemoResult, tmp_path_factory: pytest.TempPathFactory, catalogues: Catalogues
) -> DemoResult:
    """The demo's result; on PostgreSQL its book is moved there (``test_both_stores.py`` runs the demo itself there)."""
    if catalogues.server is None:
        return demo_in_files
    folder = tmp_path_factory.mktemp("demo-in-postgresql")
    with book.open_book(demo_in_files.book, read_only=True) as kept:
        kept.backup(folder / "book.tar")
    with catalogues.used():
        book.restore(folder / "book.tar", folder / "book").close()
    return replace(demo_in_files, book=folder / "book")


@pytest.fixture
def demo_book(demo_result: DemoResult) -> Iterator[Book]:
    """The demo's book, to read."""
    with book.open_book(demo_result.book, read_only=True) as opened:
        yield opened


@pytest.fixture
def demo_book_copy(demo_result: DemoResult, tmp_path: Path, catalogues: Catalogues) -> Iterator[Book]:
    """The demo's book, to write into."""
    with book.open_book(catalogues.copy(demo_result.book, tmp_path / "demo-book")) as opened:
        yield opened
