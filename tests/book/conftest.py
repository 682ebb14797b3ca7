"""Books to test on, on SQLite and on PostgreSQL."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from fairpull import book
from fairpull.book import Book
from tests.book.making import BUILD_SHEETS
from tests.catalogues import Catalogues


@pytest.fixture
def database(catalogues: Catalogues) -> str:
    """URL of an empty database; "" for SQLite: tests that take it run on both."""
    return catalogues.new()


@pytest.fixture(autouse=True)
def _no_database_in_the_environment(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("FAIRPULL_DATABASE", raising=False)


@pytest.fixture
def kept(tmp_path: Path, database: str) -> Iterator[Book]:
    """An open book with two builds' sheets, on both stores."""
    with book.create(tmp_path / "bench", database=database) as made:
        made.keep(BUILD_SHEETS)
        yield made


@pytest.fixture
def reopened(kept: Book, database: str) -> Iterator[Callable[[], Book]]:
    """Opens the book once more, as another program would."""
    opened: list[Book] = []

    def again() -> Book:
        opened.append(book.open_book(kept.folder, database=database))
        return opened[-1]

    yield again
    for one in opened:
        one.close()
