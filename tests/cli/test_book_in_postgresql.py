"""Commands that name a book's database, and programs of several people at one book in PostgreSQL."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from fairpull.book import create, open_book
from fairpull.tasks.bench.sheet_files import keep_sheets
from tests.catalogues import schema_of
from tests.cli.conftest import Ran
from tests.postgres import Server
from tests.tasks.bench import shop

Run = Callable[..., Ran]


@pytest.fixture(autouse=True)
def _nothing_in_the_environment(monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("FAIRPULL_BOOK", "FAIRPULL_DATABASE"):
        monkeypatch.delenv(name, raising=False)


@pytest.fixture
def bench(tmp_path: Path, server: Server) -> Iterator[Path]:
    """A book in PostgreSQL with the shop's sheets; its page alone says where the catalogue lies."""
    with create(tmp_path / "book", database=server.new_schema()) as kept:
        keep_sheets(kept, shop.SHEETS)
    yield tmp_path / "book"
    assert not (tmp_path / "book" / "book.sqlite").exists()


def test_a_new_book_s_database_is_named_once(run: Run, tmp_path: Path, server: Server) -> None:
    url = server.new_schema()
    assert run("book", "new", tmp_path / "b", "--database", url).code == 0
    assert run("book", "set", "units", "metric", "--book", tmp_path / "b").code == 0
    assert "units: metric" in run("book", "set", "--book", tmp_path / "b").out
    assert run("book", "check", "--book", tmp_path / "b").code == 0
    assert not (tmp_path / "b" / "book.sqlite").exists()
    with open_book(tmp_path / "b", read_only=True) as kept:
        assert schema_of(kept.store.database) == schema_of(url)


def test_what_is_no_database_is_refused(run: Run, tmp_path: Path) -> None:
    assert "[database-url]" in run("book", "new", tmp_path / "b", "--database", "shop").refusals[0]
    assert list(tmp_path.iterdir()) == []


def test_an_export_goes_into_a_database_and_a_backup_too(
    run: Run, bench: Path, tmp_path: Path, server: Server, monkeypatch: pytest.MonkeyPatch
) -> None:
    log = shop.sweep(tmp_path / "one.csv", "10:00:00")
    assert run("take", log, "--build", "plain", "--book", bench).code == 0
    assert run("book", "export", tmp_path / "open", "--book", bench).code == 0
    assert run("book", "backup", tmp_path / "safe.tar", "--book", bench).code == 0
    url = server.new_schema()
    assert run("book", "import", tmp_path / "open", tmp_path / "imported", "--database", url).code == 0
    monkeypatch.setenv("FAIRPULL_DATABASE", server.new_schema())
    assert run("book", "restore", tmp_path / "safe.tar", tmp_path / "restored").code == 0
    monkeypatch.delenv("FAIRPULL_DATABASE")
    for name in ("imported", "restored"):
        assert not (tmp_path / name / "book.sqlite").exists()
        assert run("book", "check", "--book", tmp_path / name).code == 0
        assert "one" in run("pulls", "--book", tmp_path / name).out


def test_four_people_take_in_at_once(bench: Path, tmp_path: Path) -> None:
    def take(writer: int) -> subprocess.Popen[str]:
        logs = [shop.sweep(tmp_path / f"w{writer}-{n}.csv", f"1{writer}:{n:02d}:00") for n in range(2)]
        words = ["take", *map(str, logs), str(common), "--build", ("plain", "tube")[writer % 2], "--book", str(bench)]
        return subprocess.Popen(
            [sys.executable, "-m", "fairpull", *words], stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True
        )

    common = shop.sweep(tmp_path / "common.csv", "09:00:00")
    assert "FAIRPULL_DATABASE" not in os.environ
    programs = [take(writer) for writer in range(4)]
    said = [program.communicate(timeout=60) for program in programs]
    assert [program.returncode for program in programs] == [0] * 4, said
    with open_book(bench) as kept:
        assert sorted(line.name for line in kept.pulls()) == sorted(
            ["common", *(f"w{writer}-{n}" for writer in range(4) for n in range(2))]
        )
        assert [line.number for line in kept.pulls()] == list(range(1, 10))
        assert not [one for one in kept.check().findings if one.severity.value == "fault"]
