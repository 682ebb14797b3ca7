"""Schemas: every past one is brought up to date, in one step, with its record; a newer one is left alone."""

from __future__ import annotations

import subprocess
import sys
import threading
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import Connection, insert, inspect, select, text

from fairpull import book
from fairpull.book import Book, migrate
from fairpull.book.store import Store
from fairpull.book.tables import HISTORY, METADATA, PULLS
from fairpull.terms.bench import KeptPull
from fairpull.terms.errors import BookRefused
from fairpull.terms.version import VERSION
from tests.book.making import faults_of_store, files_below, same_channels
from tests.book.sample_books import SAMPLES, fill, load

PAST = migrate.REVISIONS[:-1]


def history(store: Store) -> list[tuple[str, str]]:
    with store.reading() as connection:
        rows = connection.execute(select(HISTORY.c.revision, HISTORY.c.version).order_by(HISTORY.c.revision))
        return [(row.revision, row.version) for row in rows]


def described(connection: Connection) -> dict[str, Any]:
    """Everything that the database says about its tables, but the order of things."""
    looking = inspect(connection)
    return {
        name: {
            "columns": [(one["name"], str(one["type"]), one["nullable"]) for one in looking.get_columns(name)],
            "key": looking.get_pk_constraint(name)["constrained_columns"],
            "foreign": sorted(
                (one["name"], one["constrained_columns"], one["referred_table"], one["referred_columns"])
                for one in looking.get_foreign_keys(name)
            ),
            "unique": sorted((one["name"], one["column_names"]) for one in looking.get_unique_constraints(name)),
            "indexes": sorted((one["name"], one["column_names"], one["unique"]) for one in looking.get_indexes(name)),
        }
        for name in looking.get_table_names()
        if name != "alembic_version"
    }


def test_the_list_of_schemas_is_that_of_the_scripts() -> None:
    found = [script.revision for script in migrate.scripts().walk_revisions()]
    assert found[::-1] == list(migrate.REVISIONS)


def test_every_schema_has_its_sample() -> None:
    assert sorted(path.name for path in SAMPLES.iterdir()) == [f"schema-{one}" for one in migrate.REVISIONS]


def test_a_migrated_schema_is_the_declared_one(tmp_path: Path, database: str) -> None:
    from alembic.autogenerate import compare_metadata
    from alembic.runtime.migration import MigrationContext

    with book.create(tmp_path / "b", database=database) as made, made.store.reading() as connection:
        options = {"compare_type": True, "compare_server_default": True}
        context = MigrationContext.configure(connection, opts=options)
        assert compare_metadata(context, METADATA) == []


def test_a_migrated_schema_has_the_declared_keys_and_names(
    tmp_path: Path, database: str, request: pytest.FixtureRequest
) -> None:
    with book.create(tmp_path / "b", database=database) as made, made.store.reading() as connection:
        migrated = described(connection)
    other = Store(tmp_path, request.getfixturevalue("server").new_schema() if database else "")
    with other.writing_schema() as connection:
        METADATA.create_all(connection)
        assert described(connection) == migrated
    other.close()


@pytest.mark.parametrize("revision", migrate.REVISIONS)
def test_every_past_book_opens_and_reads(tmp_path: Path, database: str, revision: str) -> None:
    folder = load(revision, tmp_path / "old", database)
    with book.create(tmp_path / "new") as fresh, book.open_book(folder, database=database) as old:
        fill(fresh, tmp_path / "logs")
        assert [timeless(one) for one in old.pulls(full=True)] == [timeless(one) for one in fresh.pulls(full=True)]
        for line in old.pulls():
            assert same_channels(old.trace(line.name).channels, fresh.trace(line.name).channels)
        assert contents(old) == contents(fresh)
        assert history(old.store) == [(one, VERSION) for one in migrate.REVISIONS]
        with old.store.reading() as connection:
            papers = connection.execute(select(PULLS.c.papers).order_by(PULLS.c.number)).scalars().all()
        with fresh.store.reading() as connection:
            assert [one.replace("logs/", str(tmp_path / "logs") + "/") for one in papers] == connection.execute(
                select(PULLS.c.papers).order_by(PULLS.c.number)
            ).scalars().all()
        assert old.look("as it came", "cam B") == 1
    assert f'schema = "{migrate.NEWEST}"' in (folder / "book.toml").read_text("utf-8")
    assert faults_of_store(folder, database) == []


def timeless(line: KeptPull) -> KeptPull:
    """A line without what differs from run to run: the moment, and the folder of its log."""
    path = Path(line.origin.path).name
    return replace(line, taken_at=0.0, origin=replace(line.origin, path=path))


def contents(kept: Book) -> Mapping[str, Any]:
    """What else stands in a book, without its moments."""
    sheets = [one for kind in ("engine", "part", "build", "session") for one in kept.sheets(kind)]
    return {
        "sheets": [replace(sheet, added_at=0.0) for sheet in sheets],
        "settings": kept.settings(),
        "marks": [replace(mark, at=0.0) for line in kept.pulls() for mark in kept.marks(line.name)],
        "attachments": [replace(one, added_at=0.0) for one in kept.attachments()],
        "remarks": [replace(one, added_at=0.0) for one in kept.remarks()],
        "results": kept.results(),
    }


@pytest.mark.parametrize("revision", PAST)
def test_reading_only_never_migrates(tmp_path: Path, database: str, revision: str) -> None:
    folder = load(revision, tmp_path / "old", database)
    before = {name: (folder / name).read_bytes() for name in files_below(folder)}
    with pytest.raises(BookRefused, match="book-older"):
        book.open_book(folder, database=database, read_only=True)
    store = Store(folder, database, read_only=True)
    with store.reading() as connection:
        assert migrate.revision_of(connection) == revision
    store.close()
    assert {name: (folder / name).read_bytes() for name in files_below(folder)} == before


@pytest.mark.parametrize("revision", PAST)
def test_a_migration_that_fails_leaves_the_old_book(
    tmp_path: Path, database: str, revision: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = load(revision, tmp_path / "old", database)

    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("fairpull.book.migrate.insert", full)
    with pytest.raises(BookRefused, match="disk-full"):
        book.open_book(folder, database=database)
    monkeypatch.undo()
    store = Store(folder, database)
    with store.reading() as connection:
        assert migrate.revision_of(connection) == revision
        assert "figures" not in inspect(connection).get_table_names()
        assert '"figures"' in str(connection.execute(select(PULLS.c.papers)).scalars().first())
    store.close()
    with book.open_book(folder, database=database) as old:
        assert len(old.pulls(full=True)) == 3


@pytest.mark.parametrize("revision", PAST)
def test_two_programs_may_meet_an_old_book_at_once(tmp_path: Path, database: str, revision: str) -> None:
    folder = load(revision, tmp_path / "old", database)
    opened: list[int] = []

    def visit() -> None:
        with book.open_book(folder, database=database) as old:
            opened.append(len(old.pulls()))

    visitors = [threading.Thread(target=visit) for _ in range(3)]
    for visitor in visitors:
        visitor.start()
    for visitor in visitors:
        visitor.join()
    assert opened == [3, 3, 3]
    with book.open_book(folder, database=database) as old:
        assert [revision for revision, _ in history(old.store)] == list(migrate.REVISIONS)


def test_a_newer_schema_is_left_alone(kept: Book, database: str) -> None:
    with kept.store.writing() as connection:
        connection.execute(insert(HISTORY), {"revision": "0099", "at": 1.0, "version": "9.0"})
    with pytest.raises(BookRefused, match="book-newer") as refused:
        book.open_book(kept.folder, database=database)
    assert "newer fairpull" in refused.value.faults[0].remedy
    assert "0099" in refused.value.faults[0].seen


def test_an_empty_catalogue_is_refused(kept: Book, database: str) -> None:
    with kept.store.writing() as connection:
        connection.execute(text("DELETE FROM history"))
    with pytest.raises(BookRefused, match="catalogue-empty"):
        book.open_book(kept.folder, database=database)


def test_opening_a_book_of_today_imports_nothing_heavy(tmp_path: Path) -> None:
    book.create(tmp_path / "b").close()
    code = (
        "import sys; from pathlib import Path; from fairpull import book\n"
        f"assert 'sqlalchemy' not in sys.modules\n"
        f"with book.open_book(Path({str(tmp_path / 'b')!r})) as kept: kept.pulls(); kept.settings()\n"
        "print([one for one in ('alembic', 'polars', 'pyarrow', 'psycopg', 'scipy', 'pint') if one in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
