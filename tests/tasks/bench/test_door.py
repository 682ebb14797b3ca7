"""Which book a command means, and the house's settings."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from fairpull.book import Book
from fairpull.tasks.bench import door
from fairpull.terms.errors import BookRefused, FairpullError, UnknownName, ValueRefused
from tests.tasks.bench.shop import codes, make_book


@pytest.fixture(autouse=True)
def nothing_in_the_environment(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv(door.VARIABLE, raising=False)


@pytest.mark.usefixtures("catalogues")
def test_a_named_book_goes_before_the_environment_and_that_before_the_working_folder(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    for name in ("here", "told", "named"):
        door.new_book(tmp_path / name).close()
    inside = tmp_path / "here" / "deep" / "deeper"
    inside.mkdir(parents=True)
    monkeypatch.chdir(inside)
    assert door.book_folder() == tmp_path / "here"
    monkeypatch.setenv(door.VARIABLE, str(tmp_path / "told"))
    assert door.book_folder() == tmp_path / "told"
    assert door.book_folder(tmp_path / "named") == tmp_path / "named"
    with door.the_book(tmp_path / "named") as kept:
        assert kept.folder == tmp_path / "named"


def test_a_search_can_begin_elsewhere_and_find_nothing(tmp_path: Path) -> None:
    assert door.book_folder(start=tmp_path) is None


def test_a_tilde_is_the_home(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("HOME", str(tmp_path))
    assert door.book_folder("~/bench") == tmp_path / "bench"


def test_no_book_is_refused_with_the_ways_to_get_one(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    with pytest.raises(BookRefused, match="fairpull book new FOLDER") as refusal:
        door.the_book()
    assert codes(refusal.value) == ["no-book"]


@pytest.mark.usefixtures("catalogues")
def test_a_second_book_in_one_place_is_refused(tmp_path: Path) -> None:
    door.new_book(tmp_path / "book").close()
    with pytest.raises(BookRefused):
        door.new_book(tmp_path / "book")


@pytest.mark.usefixtures("catalogues")
def test_a_new_book_holds_every_setting_and_what_was_asked(tmp_path: Path) -> None:
    with door.new_book(tmp_path / "book", {"units": "metric"}) as kept:
        assert door.house_settings(kept) == {**door.DEFAULTS, "units": "metric"}


@pytest.mark.parametrize(
    ("key", "value"),
    [
        ("units", "metric"),
        ("standard", "din-70020"),
        ("grid", "200 rpm"),
        ("band", "1800-4600 rpm"),
        ("smallest", "2 %"),
        ("fitted", "tube"),
        ("session", "tuesday"),
    ],
)
def test_each_setting_takes_a_value_and_gives_it_up_again(kept: Book, key: str, value: str) -> None:
    door.change_setting(kept, key, value)
    assert door.house_settings(kept)[key] == value
    door.change_setting(kept, key, "")
    assert door.house_settings(kept)[key] == door.DEFAULTS[key]


def test_the_cases_above_are_all_settings() -> None:
    assert set(door.DEFAULTS) == {"units", "standard", "grid", "band", "smallest", "fitted", "session"}


@pytest.mark.parametrize(
    ("key", "value", "refusal"),
    [
        ("colour", "blue", UnknownName),
        ("units", "furlongs", ValueRefused),
        ("standard", "sae-nothing", UnknownName),
        ("grid", "200 kg", FairpullError),
        ("band", "high", ValueRefused),
        ("smallest", "0.01", ValueRefused),
        ("fitted", "tub", UnknownName),
        ("session", "wednesday", UnknownName),
    ],
)
def test_a_value_that_no_later_command_could_use_is_refused(
    kept: Book, key: str, value: str, refusal: type[Exception]
) -> None:
    before = dict(kept.settings())
    with pytest.raises(refusal):
        door.change_setting(kept, key, value)
    assert dict(kept.settings()) == before


def archived(kept: Book, to: Path) -> Path:
    return door.restore_book(kept.backup(to / "archive.tar"), to / "again")


def exported(kept: Book, to: Path) -> Path:
    return door.import_book(kept.export(to / "open"), to / "again")


@pytest.mark.usefixtures("catalogues")
@pytest.mark.parametrize("way", [archived, exported])
def test_a_book_comes_back_from_its_back_up_and_from_its_export(
    tmp_path: Path, way: Callable[[Book, Path], Path]
) -> None:
    with make_book(tmp_path / "book") as kept:
        before = [(sheet.kind, sheet.name, sheet.body) for sheet in kept.sheets("build")]
        folder = way(kept, tmp_path)
    with door.the_book(folder, read_only=True) as again:
        assert [(sheet.kind, sheet.name, sheet.body) for sheet in again.sheets("build")] == before
