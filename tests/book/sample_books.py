"""Small books of every schema there ever was, as checked-in files; loading them, and the generator that wrote them.

``python -m tests.book.sample_books REVISION`` writes the sample of a revision into ``tests/book/samples/``. A sample is
written once, when its schema is the newest, and never again: it stands for the books that people have. Its catalogue is
kept as SQL text.
"""

from __future__ import annotations

import json
import os
import shutil
import sqlite3
import sys
import tempfile
from contextlib import closing
from pathlib import Path
from typing import Any

from sqlalchemy import MetaData, create_engine, insert, select

from fairpull import book
from fairpull.book import Book, migrate
from fairpull.book.store import Store
from fairpull.terms.bench import SET_ASIDE, StoredResult
from tests.book.making import BUILD_SHEETS, batch

SAMPLES = Path(__file__).parent / "samples"
TOLD_OTHERWISE = ("history", "alembic_version")
"""Tables that migrating fills."""


def sample(revision: str) -> Path:
    """The folder of a revision's sample."""
    return SAMPLES / f"schema-{revision}"


def load(revision: str, folder: Path, database: str = "") -> Path:
    """Set up a sample as a book on either store.

    Args:
        revision: of its schema.
        folder: the book's, made here.
        database: URL of an empty PostgreSQL schema; "" for SQLite.

    Returns:
        The book's folder.
    """
    shutil.copytree(sample(revision), folder)
    text = (folder / "book.sql").read_text("utf-8")
    (folder / "book.sql").unlink()
    with closing(sqlite3.connect(folder / "book.sqlite")) as connection:
        connection.executescript(text)
    (folder / "staging").mkdir()
    if database:
        _move_to(database, revision, folder)
        (folder / "book.sqlite").unlink()
    return folder


def _move_to(database: str, revision: str, folder: Path) -> None:
    store = Store(folder, database)
    migrate.migrate(store, revision)
    source = create_engine(f"sqlite:///{folder / 'book.sqlite'}")
    tables = MetaData()
    tables.reflect(source)
    with store.writing_schema() as target, source.connect() as old:
        for table in tables.sorted_tables:
            rows = [dict(row._mapping) for row in old.execute(select(table))]
            if rows and table.name not in TOLD_OTHERWISE:
                target.execute(insert(table), rows)
    source.dispose()
    store.close()


def fill(made: Book, folder: Path) -> None:
    """Put a little of everything into a book."""
    made.keep(BUILD_SHEETS)
    made.set("units", "us")
    coming = batch(folder, "first", 1) + batch(folder, "second", 2, pieces=2, build="cam B")
    made.take(coming.pulls, coming.files)
    made.mark("second", SET_ASIDE, "ran lean", valid_to=4500.0, by="K. L.")
    made.attach(folder / "first.csv", ("pull", "first"), "the log")
    made.remark(("build", "cam B"), "louder")
    made.keep_result(
        StoredResult("first result", "comparison", {"band": [1.0, 2.0]}, {}, {}, "{}", "0.1.0", "any", 1.0)
    )


def write(revision: str) -> Path:
    """Write the sample of a revision; the first one is what the code of today holds, set down in the first tables."""
    target = sample(revision)
    if target.exists():
        raise SystemExit(f"{target.name} stands already, and stays as it is")
    start = Path.cwd()
    with tempfile.TemporaryDirectory() as temporary:
        os.chdir(temporary)
        with book.create(Path("book")) as made:
            fill(made, Path("logs"))
        if revision != migrate.NEWEST:
            _as_first(Path("book"))
        with closing(sqlite3.connect("book/book.sqlite")) as connection:
            lines = list(connection.iterdump())
        os.chdir(start)
        kept = Path(temporary) / "book"
        shutil.copytree(kept, target, ignore=shutil.ignore_patterns("book.sqlite*", "staging"))
    (target / "book.sql").write_text("\n".join(lines) + "\n", "utf-8")
    page = (target / "book.toml").read_text("utf-8")
    (target / "book.toml").write_text(page.replace(migrate.NEWEST, revision), "utf-8")
    return target


def _as_first(folder: Path) -> None:
    """Set the rows of a book of today down in the tables of revision 0001."""
    (folder / "book.sqlite").rename(folder / "today.sqlite")
    today = create_engine(f"sqlite:///{folder / 'today.sqlite'}")
    store = Store(folder)
    migrate.migrate(store, "0001")
    tables = MetaData()
    tables.reflect(store.engine)
    with store.writing_schema() as target, today.connect() as source:
        for table in tables.sorted_tables:
            if table.name in TOLD_OTHERWISE:
                continue
            for row in source.execute(select(table)):
                held: dict[str, Any] = dict(row._mapping)
                if table.name == "pulls":
                    held["papers"] = _with_figures(source, held)
                target.execute(insert(table), held)
    today.dispose()
    store.close()
    (folder / "today.sqlite").unlink()


def _with_figures(source: Any, row: dict[str, Any]) -> str:
    query = "SELECT name, least, mean, most FROM figures WHERE pull = ? ORDER BY name"
    rows = source.exec_driver_sql(query, (row["number"],)).all()
    summary = json.loads(row["summary"])
    figures = {
        name: {"least": low, "mean": mean, "most": high} for name, low, mean, high in rows if name not in summary
    }
    papers = {**json.loads(row["papers"]), "figures": figures}
    return json.dumps(papers, sort_keys=True, separators=(",", ":"), ensure_ascii=False)


if __name__ == "__main__":
    write(sys.argv[1])
