"""Back-ups for a download: private, found by their id, and taken away again."""

from __future__ import annotations

import stat
import tempfile
from pathlib import Path

import pytest

from fairpull.tasks.bench.backups import DAY, MOST, PREFIX, Backups
from fairpull.terms.errors import BookRefused


@pytest.fixture(autouse=True)
def temporary(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The folder for temporary files is the test's."""
    place = tmp_path / "temporary"
    place.mkdir()
    monkeypatch.setattr(tempfile, "tempdir", str(place))
    return place


def test_a_place_is_private_and_found_by_its_id_for_its_own_book_only(tmp_path: Path) -> None:
    backups = Backups()
    made = backups.prepare(tmp_path / "book")
    assert stat.S_IMODE(made.file.parent.stat().st_mode) == 0o700
    assert [made.size] == [None]
    made.file.write_bytes(b"archive")
    assert backups.get(made.id, tmp_path / "book") == made
    assert made.size == 7
    assert backups.get(made.id, tmp_path / "other") is None
    assert backups.get("../" + made.id, tmp_path / "book") is None
    backups.close()
    assert not made.file.parent.exists()
    assert backups.get(made.id, tmp_path / "book") is None


def test_only_the_newest_are_kept(tmp_path: Path, temporary: Path) -> None:
    backups = Backups()
    made = [backups.prepare(tmp_path, now=1e9 + number) for number in range(MOST + 2)]
    assert {place.name for place in temporary.iterdir()} == {one.file.parent.name for one in made[-MOST:]}
    assert [backups.get(one.id, tmp_path) is not None for one in made] == [False, False, *[True] * MOST]
    backups.close()


def test_what_a_killed_program_left_is_taken_away_after_a_day(tmp_path: Path, temporary: Path) -> None:
    left = temporary / f"{PREFIX}left"
    left.mkdir()
    (left / "old.tar").write_bytes(b"old")
    other = temporary / "somebody-else"
    other.mkdir()
    backups = Backups()
    began = left.stat().st_mtime
    backups.prepare(tmp_path, now=began + DAY / 2)
    assert left.exists()
    backups.prepare(tmp_path, now=began + DAY + 60.0)
    assert not left.exists()
    assert other.exists()
    backups.close()


def test_no_temporary_place_is_a_refusal(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path / "nowhere"))
    with pytest.raises(BookRefused) as refusal:
        Backups().prepare(tmp_path)
    assert refusal.value.faults[0].code == "backup-no-place"
