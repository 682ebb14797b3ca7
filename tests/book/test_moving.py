"""Moving a pull to the build that it really ran with."""

from __future__ import annotations

from pathlib import Path

import pytest

from fairpull.book import Book
from fairpull.terms.bench import Sheet
from fairpull.terms.errors import BookRefused, UnknownName
from tests.book.making import BUILD_SHEETS, batch


def take_one(kept: Book, folder: Path) -> str:
    coming = batch(folder)
    (name,) = kept.take(coming.pulls, coming.files).kept
    return name


def test_a_moved_pull_is_found_under_its_new_build_and_the_move_is_told(kept: Book, tmp_path: Path) -> None:
    name = take_one(kept, tmp_path)
    before = kept.pull(name)
    kept.keep([Sheet("build", "other", dict(BUILD_SHEETS[2].body))])
    after = kept.move(name, "other", "wrong word typed", by="RB")
    assert (after.build, after.build_version, after.state) == ("other", 1, before.state)
    assert [line.name for line in kept.pulls(builds=("other",))] == [name]
    assert kept.pulls(builds=(before.build,)) == ()
    (remark,) = kept.remarks(("pull", name))
    assert (remark.text, remark.by) == (f"moved from build {before.build} to other: wrong word typed", "RB")
    assert not kept.check().findings


def test_a_move_needs_a_reason_and_a_build_that_is_there(kept: Book, tmp_path: Path) -> None:
    name = take_one(kept, tmp_path)
    with pytest.raises(BookRefused, match="reason-missing"):
        kept.move(name, "cam B", "  ")
    with pytest.raises(UnknownName):
        kept.move(name, "nowhere", "why")
    with pytest.raises(UnknownName):
        kept.move("nobody", "cam B", "why")
