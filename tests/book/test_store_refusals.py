"""What stands in a book's way is told with its place and a remedy, and nothing is half kept."""

from __future__ import annotations

import os
import pwd
import shutil
import subprocess
import sys
import tempfile
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from fairpull import book
from fairpull.book import Book
from fairpull.terms.bench import Sheet
from fairpull.terms.errors import BookRefused, FairpullError, Fault
from tests.book.making import BUILD_SHEETS, Batch, batch, faults_of_store, files_below
from tests.book.sample_books import load


def fault_of(work: Callable[[], object]) -> Fault:
    with pytest.raises(FairpullError) as refused:
        work()
    assert isinstance(refused.value, BookRefused)
    (fault,) = refused.value.faults
    assert fault.where
    assert fault.remedy
    return fault


def test_no_folder_and_no_book(tmp_path: Path) -> None:
    fault = fault_of(lambda: book.open_book(tmp_path / "none"))
    assert (fault.code, fault.where) == ("book-missing", str(tmp_path / "none"))
    assert fault_of(lambda: book.open_book(tmp_path)).code == "not-a-book"
    (tmp_path / "book.toml").write_text('format = "recipes"\n', "utf-8")
    assert fault_of(lambda: book.open_book(tmp_path)).code == "not-a-book"
    (tmp_path / "book.toml").write_bytes(b"\xff = \n")
    assert fault_of(lambda: book.open_book(tmp_path)).code == "not-a-book"
    (tmp_path / "book.toml").write_text('format = "fairpull bench book"\nlayout = 7\n', "utf-8")
    assert fault_of(lambda: book.open_book(tmp_path)).code == "book-newer"


def test_a_book_is_not_made_over_another(kept: Book, tmp_path: Path, database: str) -> None:
    before = files_below(kept.folder)
    assert fault_of(lambda: book.create(kept.folder, database=database)).code == "book-exists"
    (kept.folder / "book.toml").unlink()
    assert fault_of(lambda: book.create(kept.folder, database=database)).code == "book-exists"
    assert files_below(kept.folder) == before - {"book.toml"}
    if database:
        assert fault_of(lambda: book.create(tmp_path / "elsewhere", database=database)).code == "book-exists"


def test_a_making_that_was_cut_short_is_finished(tmp_path: Path, database: str) -> None:
    book.create(tmp_path / "b", database=database).close()
    (tmp_path / "b" / "book.toml").unlink()
    with book.create(tmp_path / "b", database=database, settings={"units": "us"}) as made:
        assert made.settings() == {"units": "us"}


@pytest.mark.usefixtures("catalogues")
def test_other_files_may_lie_in_the_folder(tmp_path: Path) -> None:
    coming = batch(tmp_path, "log", 1)
    with book.create(tmp_path) as made:
        made.keep(BUILD_SHEETS)
        assert made.take(coming.pulls, coming.files).kept == ("log",)
    assert coming.files.popitem()[1].is_file()


@pytest.mark.usefixtures("catalogues")
def test_a_place_that_is_a_file(tmp_path: Path) -> None:
    (tmp_path / "b").write_text("x", "utf-8")
    fault = fault_of(lambda: book.create(tmp_path / "b"))
    assert str(tmp_path / "b") in fault.where
    assert fault_of(lambda: book.open_book(tmp_path / "b")).code == "book-missing"


@pytest.mark.sqlite_only("a server's tables are not a file; ``test_postgres.py`` has a server that is down")
def test_a_catalogue_that_is_gone_or_damaged(tmp_path: Path) -> None:
    with book.create(tmp_path / "b") as made:
        made.keep(BUILD_SHEETS)
    catalogue = tmp_path / "b" / "book.sqlite"
    whole = catalogue.read_bytes()
    catalogue.write_bytes(b"this is no catalogue at all" * 100)
    for read_only in (False, True):
        fault = fault_of(lambda: book.open_book(tmp_path / "b", read_only=read_only))  # noqa: B023
        assert (fault.code, fault.where) == ("book-damaged", str(catalogue))
    catalogue.write_bytes(whole[:4096] + b"\0" * (len(whole) - 4096))
    assert fault_of(lambda: book.open_book(tmp_path / "b")).code == "book-damaged"
    catalogue.write_bytes(b"")
    assert fault_of(lambda: book.open_book(tmp_path / "b")).code == "catalogue-empty"
    catalogue.unlink()
    fault = fault_of(lambda: book.open_book(tmp_path / "b"))
    assert (fault.code, fault.where) == ("catalogue-missing", str(catalogue))
    assert not catalogue.exists()


def test_a_writer_who_waits_too_long(kept: Book, tmp_path: Path, reopened: Callable[[], Book]) -> None:
    other = reopened()
    other.store.patience = 0.2
    coming = batch(tmp_path / "logs", "a", 1)
    before = files_below(kept.folder)
    with kept.store.writing():
        fault = fault_of(lambda: other.take(coming.pulls, coming.files))
        assert (fault.code, fault.where) == ("book-locked", other.store.place)
        assert other.pulls() == ()
    assert {name for name in files_below(kept.folder) if not name.startswith("book.sqlite")} == {
        name for name in before if not name.startswith("book.sqlite")
    }
    assert other.take(coming.pulls, coming.files).kept == ("a",)


def test_a_writer_who_has_to_wait_gets_its_turn(kept: Book, reopened: Callable[[], Book]) -> None:
    other = reopened()
    done: list[str] = []

    def write() -> None:
        other.set("units", "us")
        done.append("other")

    with kept.store.writing():
        writer = threading.Thread(target=write)
        writer.start()
        writer.join(0.3)
        done.append("first")
    writer.join()
    assert done == ["first", "other"]
    assert kept.settings() == {"units": "us"}


def test_a_book_opened_for_reading_is_not_written(kept: Book, tmp_path: Path, database: str) -> None:
    coming = batch(tmp_path / "logs", "a", 1)
    kept.take(coming.pulls, coming.files)
    before = files_below(kept.folder)
    with book.open_book(kept.folder, database=database, read_only=True) as reader:
        assert reader.read_only
        assert [line.name for line in reader.pulls()] == ["a"]
        assert reader.trace("a").name == "a"
        works: list[Callable[[], object]] = [
            lambda: reader.keep(BUILD_SHEETS),
            lambda: reader.set("units", "us"),
            lambda: reader.take(coming.pulls, coming.files),
            lambda: reader.mark("a", "counts", ""),
            lambda: reader.look("a", "b"),
            lambda: reader.remark(("pull", "a"), "x"),
        ]
        for work in works:
            assert fault_of(work).code == "book-read-only"
    assert files_below(kept.folder) == before


@pytest.fixture
def open_place() -> Iterator[Path]:
    """A folder that an unprivileged user may enter."""
    place = Path(tempfile.mkdtemp(prefix="fp-open-"))
    place.chmod(0o755)
    yield place
    for folder in [place, *place.rglob("*")]:
        if folder.is_dir():
            folder.chmod(0o755)
    shutil.rmtree(place)


@contextmanager
def without_rights() -> Iterator[None]:
    """This program as a user who owns nothing, where it runs as root.

    Another program would do as well, but the Python that runs these tests often lies where only root may go.
    """
    if os.geteuid() != 0:
        yield
        return
    groups = os.getgroups()
    somebody = pwd.getpwnam("nobody") if "nobody" in {entry.pw_name for entry in pwd.getpwall()} else None
    if somebody is None:
        pytest.skip("no user nobody here to run as")
    os.setgroups([])
    os.setresgid(somebody.pw_gid, somebody.pw_gid, 0)
    os.setresuid(somebody.pw_uid, somebody.pw_uid, 0)
    try:
        yield
    finally:
        os.setresuid(0, 0, 0)
        os.setresgid(0, 0, 0)
        os.setgroups(groups)


def forbid_writing(folder: Path) -> None:
    for place in [folder, *folder.rglob("*")]:
        place.chmod(0o555 if place.is_dir() else 0o444)


@pytest.mark.parametrize("busy", [False, True], ids=["at rest", "open elsewhere"])
def test_a_folder_that_may_only_be_read(open_place: Path, database: str, busy: bool) -> None:
    folder = open_place / "b"
    coming = batch(open_place / "logs", "a", 1)
    made = book.create(folder, database=database)
    made.keep(BUILD_SHEETS)
    made.take(coming.pulls, coming.files)
    made.trace("a")
    if not busy:
        made.close()
    forbid_writing(folder)
    before = files_below(folder)
    with without_rights():
        with book.open_book(folder, database=database) as reader:
            assert reader.read_only
            assert [line.name for line in reader.pulls()] == ["a"]
            assert reader.trace("a").kind == "sweep"
            fault = fault_of(lambda: reader.keep([Sheet("part", "x", {})]))
            assert (fault.code, fault.where) == ("book-read-only", str(folder))
            assert fault_of(lambda: reader.take(coming.pulls, coming.files)).code == "book-read-only"
        fault = fault_of(lambda: book.create(folder / "inner"))
        assert (fault.code, fault.where) == ("book-read-only", str(folder / "inner"))
    assert files_below(folder) == before
    made.close()


def test_an_old_book_that_may_only_be_read(open_place: Path) -> None:
    folder = load("0001", open_place / "b")
    forbid_writing(folder)
    before = files_below(folder)
    with without_rights():
        assert fault_of(lambda: book.open_book(folder)).code == "book-older"
    assert files_below(folder) == before


@pytest.mark.usefixtures("catalogues")
def test_a_book_that_may_not_even_be_read(open_place: Path) -> None:
    folder = open_place / "b"
    book.create(folder).close()
    if (folder / "book.sqlite").exists():
        (folder / "book.sqlite").chmod(0)
        with without_rights():
            assert fault_of(lambda: book.open_book(folder)).code == "book-unreadable"
    (folder / "book.toml").chmod(0)
    with without_rights():
        assert fault_of(lambda: book.open_book(folder)).code == "book-unreadable"


@pytest.mark.usefixtures("catalogues")
def test_only_a_part_of_the_folder_may_be_written(open_place: Path) -> None:
    folder = open_place / "b"
    coming = batch(open_place / "logs", "a", 1)
    with book.create(folder) as made:
        made.keep(BUILD_SHEETS)
    for place in [folder, *folder.rglob("*")]:
        place.chmod(0o777 if place.is_dir() else 0o666)
    (folder / "traces").chmod(0o555)
    with without_rights(), book.open_book(folder) as opened:
        fault = fault_of(lambda: opened.take(coming.pulls, coming.files))
        assert fault.code == "book-read-only"
        assert fault.where.startswith(str(folder / "traces"))
        assert opened.pulls() == ()
    assert faults_of_store(folder) == []
    assert not [name for name in files_below(folder) if name.startswith(("traces", "originals"))]


@pytest.fixture
def small_disk() -> Iterator[Path]:
    """A file system of one megabyte and a half."""
    if os.geteuid() != 0 or not sys.platform.startswith("linux"):
        pytest.skip("making a small file system needs root on Linux")
    place = Path(tempfile.mkdtemp(prefix="fp-small-"))
    done = subprocess.run(
        ["mount", "-t", "tmpfs", "-o", "size=1536k", "tmpfs", str(place)], capture_output=True, text=True, check=False
    )
    if done.returncode != 0:
        place.rmdir()
        pytest.skip(f"no small file system may be mounted here: {done.stderr.strip()}")
    yield place
    subprocess.run(["umount", "-l", str(place)], check=True)
    place.rmdir()


def big(folder: Path, name: str, seed: int) -> Batch:
    """A file of 40 kB with its pull."""
    import hashlib
    from dataclasses import replace

    one = batch(folder, name, seed)
    path = folder / f"{name}.csv"
    path.write_bytes((name.encode() * 40_000)[:40_000])
    sha256 = hashlib.sha256(path.read_bytes()).hexdigest()
    new = one.pulls[0]
    moved = replace(new, pull=replace(new.pull, origin=replace(new.pull.origin, sha256=sha256)))
    return Batch([moved], {sha256: path})


def test_a_full_disk(small_disk: Path, tmp_path: Path, database: str) -> None:
    folder = small_disk / "b"
    with book.create(folder, database=database) as made:
        made.keep(BUILD_SHEETS)
        names: list[str] = []
        for index in range(60):
            one = big(tmp_path / "logs", f"run-{index}", index)
            try:
                names += made.take(one.pulls, one.files).kept
            except BookRefused as refused:
                fault = refused.faults[0]
                break
        assert fault.code == "disk-full"
        assert str(small_disk) in fault.where or database
        assert 3 < len(names) < 60
        assert [line.name for line in made.pulls()] == names
        assert files_below(folder / "staging") == set()
        # a few at once: none of them
        several = [big(tmp_path / "more", f"more-{index}", 100 + index) for index in range(5)]
        coming = sum(several, Batch())
        assert fault_of(lambda: made.take(coming.pulls, coming.files)).code == "disk-full"
        assert [line.name for line in made.pulls()] == names
    assert faults_of_store(folder, database) == []
    subprocess.run(["mount", "-o", "remount,size=16m", str(small_disk)], check=True)
    with book.open_book(folder, database=database) as made:
        assert made.take(coming.pulls, coming.files).kept == tuple(f"more-{index}" for index in range(5))
        assert [line.name for line in made.pulls()][: len(names)] == names
    assert faults_of_store(folder, database) == []


@pytest.mark.sqlite_only("a server's catalogue does not lie on that disk")
def test_a_disk_too_small_for_a_book(small_disk: Path) -> None:
    (small_disk / "filler").write_bytes(b"x" * 1_400_000)
    assert fault_of(lambda: book.create(small_disk / "b")).code == "disk-full"
    assert book.find_book(small_disk / "b") is None
    (small_disk / "filler").unlink()
    book.create(small_disk / "b").close()
