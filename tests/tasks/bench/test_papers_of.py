"""Papers beside things of the book: found with their place, and copied out byte for byte."""

from __future__ import annotations

from pathlib import Path

import pytest

from fairpull.book import Book
from fairpull.tasks.bench.papers_of import copy_out, papers_of
from fairpull.terms.errors import UnknownName, ValueRefused
from tests.tasks.bench.shop import codes

ABOUT = ("build", "plain")


@pytest.fixture
def laid(kept: Book, tmp_path: Path) -> Book:
    for folder, content in (("one", b"first"), ("two", b"second")):
        (tmp_path / folder).mkdir()
        (tmp_path / folder / "plug.jpg").write_bytes(content)
        kept.attach(tmp_path / folder / "plug.jpg", ABOUT, folder)
    kept.attach(tmp_path / "one" / "plug.jpg", ABOUT, "the same again")
    kept.remark(ABOUT, "dialled in twice", "M.")
    return kept


def test_they_are_found_with_their_place(laid: Book) -> None:
    found = papers_of(laid, ABOUT)
    assert [one.text for one in found.notes] == ["dialled in twice"]
    assert [one.note for one in found.laid] == ["one", "two", "the same again"]
    for one in found.laid:
        assert (laid.folder / found.places[one.sha256]).read_bytes() == laid.original(one.sha256).read_bytes()
    assert found
    assert not papers_of(laid, ("build", "tube"))
    with pytest.raises(UnknownName, match="plain"):
        papers_of(laid, ("build", "plian"))


def test_files_come_out_each_once_and_two_of_one_name_side_by_side(laid: Book, tmp_path: Path) -> None:
    written = copy_out(laid, papers_of(laid, ABOUT).laid, tmp_path / "out" / "deep")
    assert [path.name for path in written] == ["plug.jpg", "plug-2.jpg"]
    assert [path.read_bytes() for path in written] == [b"first", b"second"]


def test_nothing_is_written_over_and_nothing_by_half(laid: Book, tmp_path: Path) -> None:
    (tmp_path / "out").mkdir()
    (tmp_path / "out" / "plug-2.jpg").write_bytes(b"mine")
    with pytest.raises(ValueRefused) as refusal:
        copy_out(laid, papers_of(laid, ABOUT).laid, tmp_path / "out")
    assert codes(refusal.value) == ["file-there"]
    assert [(path.name, path.read_bytes()) for path in (tmp_path / "out").iterdir()] == [("plug-2.jpg", b"mine")]
