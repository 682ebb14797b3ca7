"""Files that were handed in: names of our own, limits, privacy, and that nothing of them stays."""

from __future__ import annotations

import io
import os
import tempfile
import time
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fairpull.tasks.bench import stays
from fairpull.tasks.bench.stay_files import StayState, as_data, from_data, looked_at, read_look, read_state, write_state
from fairpull.tasks.bench.stays import Stays, Upload, own_name
from fairpull.terms.errors import ReadRefused
from fairpull.terms.offered import Typed, TypedFile


@pytest.fixture
def place(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Where temporary files go."""
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path))
    return tmp_path


def upload(called: str, content: bytes = b"x") -> Upload:
    return Upload(called, io.BytesIO(content))


@given(st.lists(st.text(st.characters(exclude_categories=()), max_size=40), max_size=6))
def test_names_are_plain_and_never_given_twice(called: list[str]) -> None:
    given_out: list[str] = []
    for one in called:
        given_out.append(own_name(one, given_out))
    assert len({name.lower() for name in given_out}) == len(called)
    for name in given_out:
        assert set(name) <= set("abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789_.-")
        assert 0 < len(name) < 110
        assert name[0] not in ".-"


def test_names_stay_as_they_are_where_they_can() -> None:
    assert own_name("02-0940-log.csv", []) == "02-0940-log.csv"
    assert own_name("C:\\logs\\Prüfstand 3.csv", ["prufstand-3.csv"]) == "Prufstand-3-2.csv"
    assert own_name("conditions.toml", []) == "conditions.toml"


def test_what_is_handed_in_lies_alone_and_is_taken_away(place: Path, tmp_path: Path) -> None:
    known = Stays()
    stay = known.hand_in(tmp_path / "book", [upload("a.csv", b"one"), upload("../a.csv", b"two")], "b", "s")
    assert stay.folder.parent == place
    assert stay.folder.stat().st_mode & 0o077 == 0
    assert [(one.name, one.called, one.size) for one in read_state(stay).files] == [
        ("a.csv", "a.csv", 3),
        ("a-2.csv", "a.csv", 3),
    ]
    assert read_state(stay).typed == Typed("b", "s")
    assert known.get(stay.id, tmp_path / "book") == stay
    assert known.get(stay.id, tmp_path / "another") is None
    assert known.get("../" + stay.id, tmp_path / "book") is None
    assert (read_look(stay), looked_at(stay)) == (None, "")
    known.leave(stay)
    assert known.get(stay.id, tmp_path / "book") is None
    assert not list(place.glob("fairpull-*"))


def test_a_refusal_tells_everything_and_leaves_nothing(place: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(stays, "LARGEST", 10)
    monkeypatch.setattr(stays, "LARGEST_ALL", 25)
    files = [upload("a", b"x" * 11), upload("b", b"x" * 10), upload("c", b"x" * 10), upload("d", b"x" * 6)]
    with pytest.raises(ReadRefused) as refused:
        Stays().hand_in(place, files)
    assert [fault.where for fault in refused.value.faults] == ["a", "d"]
    assert not list(place.glob("fairpull-*"))
    with pytest.raises(ReadRefused, match="nothing-to-take"):
        Stays().hand_in(place, [])


def test_the_oldest_stay_goes_and_so_does_what_was_left_behind(place: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(stays, "MOST_STAYS", 2)
    old, young = place / f"{stays.PREFIX}old", place / f"{stays.PREFIX}young"
    for one in (old, young):
        one.mkdir()
    os.utime(old, (time.time() - 2 * stays.DAY,) * 2)
    known = Stays()
    made = [known.hand_in(place, [upload("a")]) for _ in range(3)]
    assert [one.folder.is_dir() for one in made] == [False, True, True]
    assert (old.exists(), young.exists()) == (False, True)
    known.close()
    assert not any(one.folder.exists() for one in made)


def test_what_was_typed_comes_back_as_it_was(place: Path) -> None:
    stay = Stays().hand_in(place, [upload("a.csv")])
    typed = Typed(
        "b", "", {"a.csv": TypedFile(weather="29 inHg", left=True, columns={"Größe": "-"}, units={"u": "lb"})}
    )
    write_state(stay, StayState(typed, read_state(stay).files, "id"))
    assert read_state(stay).typed == typed
    assert from_data(Typed, as_data(typed)) == typed
