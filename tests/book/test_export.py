"""Export and import: the same book again, hostile names and damaged exports included."""

from __future__ import annotations

import csv
import json
import os
import shutil
import tomllib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import polars as pl
import pytest
from hypothesis import given
from hypothesis import strategies as st
from sqlalchemy import select

from fairpull.book import Book, create, import_book
from fairpull.book.file_names import FileNames
from fairpull.book.json_text import dumps
from fairpull.book.sheet_toml import from_toml, to_toml
from fairpull.book.tables import METADATA
from fairpull.terms.bench import Sheet, StoredResult
from fairpull.terms.errors import BookRefused
from tests.book.making import batch, same_channels
from tests.book.small_books import fill
from tests.catalogues import Catalogues

HOSTILE = (
    "../../etc/passwd",
    "a/b\\c:d*e?",
    "CON",
    "con.txt",
    "anvil",
    "Anvil",
    "ANVIL",
    "ends with a dot.",
    "Überwagen-Prüfstand ñ 試験",
    "e\u0301 and \u00e9",
    "\u00e9 and e\u0301",
    "=SUM(A1)",
    "x" * 200,
    "x" * 199 + "y",
    "...",
    "~",
    'he said "no"',
)


def full_book(book: Book, folder: Path) -> None:
    """Something of everything."""
    fill(book, folder / "logs", range(1, 9))
    book.keep([Sheet("engine", "Anvil", {"bore": "4.03 in", "cylinders": 8, "bored": True, "hours": 12.5})])
    book.keep([Sheet("part", "odd page", {"name": "named inside", "text": "two\r\nlines", "nothing": None})])
    book.keep([Sheet("duty", name, {"about": name, "rows": [[1, 2.5], [3, 4.0]]}) for name in HOSTILE])
    book.keep(
        [Sheet("session", "dated", tomllib.loads("day = 2026-05-23\nat = 2026-05-23T10:00:00Z\nlast = 10:30:00"))]
    )
    more = batch(folder / "more", "run", seed=5, pieces=3, build="anvil-cam", session="morning")
    book.take(more.pulls, more.files)
    book.mark("run#2", "void", "the hose came off", by="MB")
    book.mark("run#3", "counts", "", valid_to=5100.5)
    photograph = folder / "a photo: of = the ~ head.png"
    photograph.write_bytes(bytes(range(256)))
    book.attach(photograph, ("pull", "run"), "plug 3")
    book.attach(photograph, ("part", "cam-b"))
    book.remark(("pull", "run"), 'two\nlines and a "quote"', "MB")
    book.remark(("book", ""), "moved to the new shed")
    book.look("anvil-log", "anvil-cam")
    book.look("anvil-log", "anvil-cam")
    asked = {"asked": None, "n": 3}
    text = '{ "a": [1.50] }\n'
    traces = {"run": book.pull("run").trace}
    made = StoredResult("cam/b: done?", "comparison", asked, traces, {"build/anvil-cam": 1}, text, "0", "m", 1.5)
    book.keep_result(made)
    book.set("standard", "sae-j1349")


def tables(book: Book) -> dict[str, list[tuple[Any, ...]]]:
    """All rows of all tables; where a trace lies and which migrations ran are not contents."""
    found = {}
    with book.store.reading() as connection:
        for name, table in METADATA.tables.items():
            columns = [column for column in table.c if column.name != "trace_file"]
            if name != "history":
                found[name] = sorted(map(tuple, connection.execute(select(*columns)).all()), key=repr)
    return found


def contents(folder: Path) -> dict[str, bytes]:
    return {str(path.relative_to(folder)): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def test_an_export_imports_to_the_same_book_on_both_stores(tmp_path: Path, catalogues: Catalogues) -> None:
    with create(tmp_path / "bench", database=catalogues.new(), settings={"units": "us"}) as book:
        full_book(book, tmp_path)
        book.export(tmp_path / "first")
        with import_book(tmp_path / "first", tmp_path / "again", database=catalogues.new()) as again:
            assert tables(again) == tables(book)
            again.export(tmp_path / "second")
            kept = book.trace("anvil header 2")
            assert same_channels(again.trace("anvil header 2").channels, kept.channels)
            assert again.original(kept.origin.sha256).read_bytes() == book.original(kept.origin.sha256).read_bytes()
            book.compact()
            book.export(tmp_path / "third")
            more = batch(tmp_path / "later", "later", seed=9, build="anvil-cam", session="morning")
            assert again.take(more.pulls, more.files).kept == ("later",)
    first = contents(tmp_path / "first")
    assert first == contents(tmp_path / "second") == contents(tmp_path / "third")
    assert sorted(path.name for path in tmp_path.iterdir() if path.name.startswith(".")) == []


def test_a_book_moves_between_the_two_stores(tmp_path: Path, request: pytest.FixtureRequest) -> None:
    url = request.getfixturevalue("server").new_schema()
    with create(tmp_path / "bench") as book:
        full_book(book, tmp_path)
        book.export(tmp_path / "first")
        with import_book(tmp_path / "first", tmp_path / "shop", database=url) as shop:
            assert tables(shop) == tables(book)
            shop.export(tmp_path / "second")
    assert contents(tmp_path / "first") == contents(tmp_path / "second")


@pytest.fixture(scope="module")
def exported(tmp_path_factory: pytest.TempPathFactory, catalogues: Catalogues) -> Path:
    folder = tmp_path_factory.mktemp("export")
    with catalogues.used(), create(folder / "bench", settings={"units": "us"}) as book:
        full_book(book, folder)
        return book.export(folder / "open")


def test_a_person_can_read_what_was_exported(exported: Path) -> None:
    assert "made" not in (exported / "engines" / "Anvil.toml").read_text("utf-8")
    sheet = tomllib.loads((exported / "engines" / "Anvil.toml").read_text("utf-8"))
    assert sheet == {
        "sheet": "engine",
        "name": "Anvil",
        "bore": "4.03 in",
        "cylinders": 8,
        "bored": True,
        "hours": 12.5,
    }
    older = tomllib.loads((exported / "history" / "engines" / "Anvil.1.toml").read_text("utf-8"))
    assert older["bore"] == "4.00 in"
    with (exported / "pulls.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    assert [row["name"] for row in rows][-3:] == ["run", "run#2", "run#3"]
    assert rows[-2]["state"] == "void"
    assert float(rows[0]["peak power [W]"]) > 1e4
    assert rows[0]["start"].startswith("2026-05-24")
    assert float(rows[-1]["counts up to [rpm]"]) == 5100.5
    with (exported / "figures.csv").open(encoding="utf-8", newline="") as file:
        figures = list(csv.DictReader(file))
    assert {row["unit"] for row in figures if row["figure"] == "oil_temperature"} == {"K"}
    trace = pl.read_parquet(exported / "traces" / "run.parquet")
    assert trace.columns == ["rpm", "torque", "oil_pressure"]
    hashes = [path for path in (exported / "originals").iterdir() if (path / "log 3.csv").exists()]
    assert len(hashes) == 1
    assert json.loads((exported / "results.json").read_text("utf-8"))[0]["request"] == {"asked": None, "n": 3}


def test_file_names_are_safe_on_every_system(exported: Path) -> None:
    places = [path.relative_to(exported) for path in exported.rglob("*")]
    for place in places:
        assert not set(place.name) & set('<>:"/\\|?*'), place
        assert len(place.name.encode()) <= 255
        assert place.name.split(".")[0].casefold() not in {"con", "nul", "aux"}
        assert not place.name.endswith((".", " "))
    folded = [str(place).casefold() for place in places]
    assert len(set(folded)) == len(folded)


def lose(folder: Path) -> str:
    (folder / "parts" / "cam-b.toml").unlink()
    return "parts/cam-b.toml"


def change(folder: Path) -> str:
    file = next((folder / "originals").rglob("log 3.csv"))
    file.write_bytes(b"something else")
    return file.relative_to(folder).as_posix()


def rehash(folder: Path, place: str, content: bytes) -> None:
    """Change a file, and the list of files with it."""
    import hashlib

    (folder / place).write_bytes(content)
    manifest = json.loads((folder / "export.json").read_text("utf-8"))
    manifest["files"][place] = {"sha256": hashlib.sha256(content).hexdigest(), "size": len(content)}
    (folder / "export.json").write_text(json.dumps(manifest), "utf-8")


def bad_toml(folder: Path) -> str:
    rehash(folder, "engines/Anvil.toml", b"bore = = 4 in")
    return "engines/Anvil.toml"


def bad_kind(folder: Path) -> str:
    rehash(folder, "parts/cam-a.toml", b'sheet = "gearbox"\nname = "cam-a"\n')
    return "parts/cam-a.toml"


def bad_rows(folder: Path) -> str:
    rows = json.loads((folder / "pulls.json").read_text("utf-8"))
    rows[0]["number"] = "one"
    rehash(folder, "pulls.json", json.dumps(rows).encode())
    return "pulls.json, entry 1"


def other_trace(folder: Path) -> str:
    rehash(folder, "traces/run.parquet", (folder / "traces" / "run#2.parquet").read_bytes())
    return "traces/run.parquet"


def no_pull(folder: Path) -> str:
    rows = json.loads((folder / "marks.json").read_text("utf-8"))
    rows[0]["pull"] = "nobody"
    rehash(folder, "marks.json", json.dumps(rows).encode())
    return "marks, 1"


def twice(folder: Path) -> str:
    rows = json.loads((folder / "pulls.json").read_text("utf-8"))
    rehash(folder, "pulls.json", json.dumps([*rows, {**rows[0], "number": 99, "name": "run"}]).encode())
    return "pulls, run"


def outside(folder: Path) -> str:
    manifest = json.loads((folder / "export.json").read_text("utf-8"))
    manifest["files"]["../secret"] = {"sha256": "0", "size": 1}
    (folder / "export.json").write_text(json.dumps(manifest), "utf-8")
    return "../secret"


def not_a_list(folder: Path) -> str:
    rehash(folder, "remarks.json", b'{"not": "a list"}')
    return "remarks.json"


DAMAGES = (lose, change, bad_toml, bad_kind, bad_rows, other_trace, no_pull, twice, outside, not_a_list)


@pytest.mark.parametrize("damage", DAMAGES, ids=lambda one: one.__name__)
def test_a_damaged_export_is_refused_and_leaves_nothing(
    exported: Path, tmp_path: Path, damage: Callable[[Path], str]
) -> None:
    shutil.copytree(exported, tmp_path / "open")
    place = damage(tmp_path / "open")
    with pytest.raises(BookRefused) as caught:
        import_book(tmp_path / "open", tmp_path / "new")
    assert place in {fault.where for fault in caught.value.faults}
    assert os.listdir(tmp_path) == ["open"]


def test_all_damages_are_told_at_once(exported: Path, tmp_path: Path) -> None:
    shutil.copytree(exported, tmp_path / "open")
    places = {lose(tmp_path / "open"), change(tmp_path / "open"), outside(tmp_path / "open")}
    with pytest.raises(BookRefused) as caught:
        import_book(tmp_path / "open", tmp_path / "new")
    assert {fault.where for fault in caught.value.faults} == places


def test_a_damaged_export_leaves_the_database_as_it_was(
    exported: Path, tmp_path: Path, request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch
) -> None:
    url = request.getfixturevalue("server").new_schema()
    from fairpull.book import imports

    def failing(*_: object) -> None:
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as patched:
        patched.setattr(imports, "_place", failing)
        with pytest.raises(BookRefused) as caught:
            import_book(exported, tmp_path / "new", database=url)
    assert caught.value.faults[0].code == "disk-full"
    assert os.listdir(tmp_path) == []
    with import_book(exported, tmp_path / "new", database=url) as book:
        assert len(book.pulls()) == 11


def test_nothing_is_written_over(exported: Path, tmp_path: Path) -> None:
    (tmp_path / "there").mkdir()
    (tmp_path / "there" / "mine.txt").write_text("mine", "utf-8")
    with create(tmp_path / "bench") as book, pytest.raises(BookRefused) as caught:
        book.export(tmp_path / "there")
    assert caught.value.faults[0].code == "folder-not-empty"
    with pytest.raises(BookRefused):
        import_book(exported, tmp_path / "there")
    assert os.listdir(tmp_path / "there") == ["mine.txt"]
    with pytest.raises(BookRefused) as caught:
        import_book(tmp_path / "there", tmp_path / "new")
    assert caught.value.faults[0].code == "not-an-export"
    with create(tmp_path / "bench2") as empty:
        empty.export(tmp_path / "open")
    with import_book(tmp_path / "open", tmp_path / "new") as again:
        assert again.pulls() == ()


KEYS = st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\0"), max_size=8)
VALUES = st.recursive(
    st.one_of(st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\0"), max_size=12))
    | st.integers()
    | st.floats(allow_nan=False, allow_infinity=False)
    | st.booleans()
    | st.none()
    | st.dates()
    | st.datetimes()
    | st.times(),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(KEYS, inner, max_size=3),
    max_leaves=8,
)


@given(st.dictionaries(KEYS | st.sampled_from(["sheet", "name", "page_as_json"]), VALUES, max_size=4), KEYS)
def test_any_page_survives_its_toml_file(page: dict[str, Any], name: str) -> None:
    body = dumps(page, where="page")
    assert from_toml(to_toml("part", name, body), "file") == ("part", name, body)


@given(st.lists(st.text(max_size=80), unique=True, max_size=8))
def test_file_names_never_meet(names: list[str]) -> None:
    made = FileNames()
    files = [made.of(name.encode("utf-8", "replace").decode(), ".toml") for name in names]
    assert len({file.casefold() for file in files}) == len(files)
    assert all(len(file.encode()) <= 255 and not set(file) & set('<>:"/\\|?*\0\n') for file in files)
