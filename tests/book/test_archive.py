"""Backups: whole, consistent while others write and compact, refused when damaged or hostile."""

from __future__ import annotations

import hashlib
import io
import json
import os
import random
import subprocess
import sys
import tarfile
import threading
import time
import zipfile
from pathlib import Path

import pytest

from fairpull.book import create, open_book, restore
from fairpull.terms.errors import BookRefused, FairpullError
from tests.book.making import batch, same_channels
from tests.book.small_books import fill
from tests.book.test_export import full_book, tables
from tests.catalogues import Catalogues


@pytest.mark.parametrize("ending", [".tar", ".zip"])
def test_a_backup_gives_the_same_book(tmp_path: Path, ending: str, catalogues: Catalogues) -> None:
    with create(tmp_path / "bench", database=catalogues.new(), settings={"units": "us"}) as book:
        full_book(book, tmp_path)
        book.compact()
        assert book.backup(tmp_path / "safe" / f"book{ending}") == tmp_path / "safe" / f"book{ending}"
        with restore(tmp_path / "safe" / f"book{ending}", tmp_path / "again", database=catalogues.new()) as again:
            assert tables(again) == tables(book)
            for line in book.pulls():
                assert same_channels(again.trace(line.name).channels, book.trace(line.name).channels)
            assert not again.check().findings
    assert os.listdir(tmp_path / "safe") == [f"book{ending}"]
    assert not [name for name in os.listdir(tmp_path) if name.startswith(".")]


def test_a_backup_of_files_restores_into_a_database(tmp_path: Path, request: pytest.FixtureRequest) -> None:
    url = request.getfixturevalue("server").new_schema()
    with create(tmp_path / "bench") as book:
        full_book(book, tmp_path)
        book.backup(tmp_path / "book.zip")
        with restore(tmp_path / "book.zip", tmp_path / "shop", database=url) as shop:
            assert tables(shop) == tables(book)


@pytest.mark.usefixtures("catalogues")
def test_a_backup_is_consistent_while_others_write_and_compact(tmp_path: Path) -> None:
    create(tmp_path / "bench").close()
    done = threading.Event()
    taken: list[str] = []

    def write() -> None:
        with open_book(tmp_path / "bench") as book:
            fill(book, tmp_path / "logs", range(1, 3))
            for seed in range(10, 60):
                more = batch(tmp_path / "more", f"run-{seed}", seed=seed, build="anvil-cam", session="morning")
                taken.extend(book.take(more.pulls, more.files).kept)
                if seed % 7 == 0:
                    book.compact()
        done.set()

    writer = threading.Thread(target=write)
    with open_book(tmp_path / "bench") as book:
        writer.start()
        backups: list[tuple[list[str], Path]] = []
        while not done.wait(0.05):
            backups.append((list(taken), book.backup(tmp_path / f"{len(backups)}.tar")))
    writer.join()
    assert len(backups) > 3
    for number, (before, file) in enumerate(backups[:: max(1, len(backups) // 4)]):
        with restore(file, tmp_path / f"again-{number}") as again:
            assert set(before) <= {line.name for line in again.pulls()}
            assert not again.check().findings


@pytest.fixture(scope="module")
def packed(tmp_path_factory: pytest.TempPathFactory, catalogues: Catalogues) -> Path:
    """A folder with two backups of one book, and the book's pulls' names."""
    folder = tmp_path_factory.mktemp("archive")
    with catalogues.used(), create(folder / "bench") as book:
        fill(book, folder / "logs", range(1, 5))
        book.backup(folder / "book.tar")
        book.backup(folder / "book.zip")
    return folder


def refused(archive: Path, folder: Path) -> set[str]:
    before = set(os.listdir(folder.parent))
    with pytest.raises(BookRefused) as caught:
        restore(archive, folder)
    assert set(os.listdir(folder.parent)) == before
    return {fault.code for fault in caught.value.faults}


def test_nothing_is_written_over(packed: Path, tmp_path: Path) -> None:
    (tmp_path / "there").mkdir()
    (tmp_path / "there" / "mine").touch()
    assert refused(packed / "book.tar", tmp_path / "there") == {"folder-not-empty"}
    (tmp_path / "old.tar").write_bytes(b"old")
    with open_book(packed / "bench") as book:
        with pytest.raises(BookRefused) as caught:
            book.backup(tmp_path / "old.tar")
        assert caught.value.faults[0].code == "file-exists"
        with pytest.raises(BookRefused) as caught:
            book.backup(tmp_path / "new.rar")
        assert caught.value.faults[0].code == "archive-ending"
    assert (tmp_path / "old.tar").read_bytes() == b"old"


def test_what_is_no_backup_is_refused(packed: Path, tmp_path: Path) -> None:
    (tmp_path / "text.tar").write_bytes(b"no archive at all" * 100)
    assert refused(tmp_path / "text.tar", tmp_path / "new") == {"backup-damaged"}
    with zipfile.ZipFile(tmp_path / "other.zip", "w") as other:
        other.writestr("hello.txt", "hello")
    assert refused(tmp_path / "other.zip", tmp_path / "new") == {"not-a-backup"}
    assert refused(tmp_path / "nothing.zip", tmp_path / "new") == {"file-unreadable"}
    half = (packed / "book.tar").read_bytes()
    (tmp_path / "half.tar").write_bytes(half[: len(half) // 2])
    assert refused(tmp_path / "half.tar", tmp_path / "new") & {"backup-damaged", "not-a-backup"}


def hostile(name: str, form: str = "files") -> bytes:
    """A backup whose list names one file, which would land anywhere."""
    content = b"gotcha"
    facts = {"size": len(content), "sha256": hashlib.sha256(content).hexdigest()}
    listed = {"format": "fairpull backup", "layout": 1, "form": form, "files": {name: facts}}
    file = io.BytesIO()
    with tarfile.open(fileobj=file, mode="w") as tar:
        for place, told in ((f"{form}/{name}", content), ("backup.json", json.dumps(listed).encode())):
            entry = tarfile.TarInfo(place)
            entry.size = len(told)
            tar.addfile(entry, io.BytesIO(told))
    return file.getvalue()


@pytest.mark.parametrize(
    "name", ["../../evil", "/tmp/evil", "a/../../evil", "C:evil", "a\\..\\evil", "", "a//b", "./a"]
)
def test_no_file_lands_outside(tmp_path: Path, name: str) -> None:
    (tmp_path / "evil.tar").write_bytes(hostile(name))
    assert refused(tmp_path / "evil.tar", tmp_path / "new") == {"backup-place"}


def test_links_and_unlisted_files_are_not_unpacked(packed: Path, tmp_path: Path) -> None:
    with tarfile.open(packed / "book.tar") as old, tarfile.open(tmp_path / "links.tar", "w") as new:
        first = old.getmembers()[0].name
        for member in old.getmembers():
            if member.name == first:
                link = tarfile.TarInfo(member.name)
                link.type, link.linkname = tarfile.SYMTYPE, "/etc/hostname"
                new.addfile(link)
            else:
                new.addfile(member, old.extractfile(member))
    assert refused(tmp_path / "links.tar", tmp_path / "new") == {"backup-damaged"}
    with zipfile.ZipFile(packed / "book.zip") as whole, zipfile.ZipFile(tmp_path / "more.zip", "w") as more:
        for name in whole.namelist():
            more.writestr(name, whole.read(name))
        more.writestr("../evil", "evil")
        more.writestr("files/extra", "extra")
    restore(tmp_path / "more.zip", tmp_path / "new").close()
    assert not (tmp_path / "new" / "extra").exists()
    assert not (tmp_path / "evil").exists()


def test_changed_bytes_never_go_unnoticed(packed: Path, tmp_path: Path) -> None:
    draw = random.Random(5)
    with open_book(packed / "bench") as book:
        names = [line.name for line in book.pulls()]
    for number in range(40):
        archive = packed / ("book.tar", "book.zip")[number % 2]
        changed = bytearray(archive.read_bytes())
        at = draw.randrange(len(changed))
        changed[at] ^= 1 << draw.randrange(8)
        (tmp_path / "changed").write_bytes(changed)
        try:
            with restore(tmp_path / "changed", tmp_path / f"new-{number}") as again:
                assert [line.name for line in again.pulls()] == names
                assert not again.check().findings
        except FairpullError as error:
            if not error.faults:
                raise
            assert not (tmp_path / f"new-{number}").exists()


KILLED = """
import sys
from pathlib import Path
from fairpull.book import open_book
book = open_book(Path(sys.argv[1]))
print("ready", flush=True)
number = 0
while True:
    number += 1
    {work}
"""


def killed(folder: Path, work: str, after: float) -> None:
    """Start a program that works on a book for ever, and end it without warning."""
    words = [sys.executable, "-c", KILLED.format(work=work), str(folder)]
    program = subprocess.Popen(words, stdout=subprocess.PIPE)
    assert program.stdout is not None
    program.stdout.readline()
    time.sleep(after)
    program.kill()
    program.wait()
    program.stdout.close()


def whole(folder: Path, names: list[str]) -> None:
    with open_book(folder) as book:
        assert [line.name for line in book.pulls()] == names
        assert {found.severity for found in book.check().findings} <= {"note"}
        assert not book.check().findings


@pytest.fixture
def bench(tmp_path: Path, catalogues: Catalogues) -> tuple[Path, list[str]]:
    del catalogues
    with create(tmp_path / "bench") as book:
        fill(book, tmp_path / "logs", range(1, 9))
        return book.folder, [line.name for line in book.pulls()]


def test_a_program_that_dies_while_backing_up_leaves_the_book_whole(bench: tuple[Path, list[str]]) -> None:
    folder, names = bench
    draw = random.Random(1)
    for turn in range(3):
        killed(folder, f"book.backup(Path(sys.argv[1]).parent / f'{turn}-{{number}}.zip')", draw.random() * 0.15)
        whole(folder, names)
    for number, file in enumerate(sorted(folder.parent.glob("*.zip"))[:3]):
        restore(file, folder.parent / f"again-{number}").close()


def test_a_program_that_dies_while_compacting_leaves_the_book_whole(bench: tuple[Path, list[str]]) -> None:
    folder, names = bench
    draw = random.Random(2)
    work = (
        "from fairpull.book import compaction; compaction.PULLS_A_FILE = 3 + number % 4; "
        "compaction.FOLDER = f'gathered-{number % 5}'; book.compact()"
    )
    for _ in range(4):
        killed(folder, work, draw.random() * 0.2)
        whole(folder, names)
