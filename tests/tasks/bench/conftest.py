"""Books for the tests of the bench: a small one made anew, and the demo's, made once a process."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest

from fairpull import book
from fairpull.book import Book
from fairpull.tasks.bench.take import take_files
from fairpull.tasks.demo_day import DemoResult
from tests.tasks.bench import shop


@pytest.fixture
def kept(tmp_path: Path) -> Iterator[Book]:
    """A small shop's book with sheets and no pull."""
    with shop.make_book(tmp_path / "book") as made:
        yield made


@pytest.fixture(scope="session")
def filled(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A book with three pulls of ``plain`` and three of ``tube``, 4 % stronger. Tests copy it or only read it."""
    folder = tmp_path_factory.mktemp("filled")
    with shop.make_book(folder / "book") as made:
        for number, (build, gain) in enumerate(
            [("plain", 1.0), ("tube", 1.04), ("plain", 1.002), ("tube", 1.042), ("plain", 0.999), ("tube", 1.039)]
        ):
            log = shop.sweep(folder / f"{build}-{number}.csv", f"10:{5 * number:02d}:00", gain=gain)
            take_files(made, [log], build)
    return folder / "book"


@pytest.fixture
def filled_copy(filled: Path, tmp_path: Path) -> Path:
    """The filled book, to write into."""
    return Path(shutil.copytree(filled, tmp_path / "filled"))


@pytest.fixture
def demo_book(demo_result: DemoResult) -> Iterator[Book]:
    """The demo's book, to read."""
    with book.open_book(demo_result.book, read_only=True) as opened:
        yield opened


@pytest.fixture
def demo_book_copy(demo_result: DemoResult, tmp_path: Path) -> Iterator[Book]:
    """The demo's book, to write into."""
    with book.open_book(Path(shutil.copytree(demo_result.book, tmp_path / "demo-book"))) as opened:
        yield opened
