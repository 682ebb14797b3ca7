"""GROUP words: files, folders and patterns, with a name or without, and nothing there."""

from __future__ import annotations

from pathlib import Path

import pytest

from fairpull.tasks.groups import expand
from fairpull.terms.errors import ReadRefused


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    for name in ("log/02.csv", "log/01.csv", "log/conditions.toml", "log/.hidden.csv", "log/old/00.csv", "run-1.csv"):
        (tmp_path / name).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / name).write_text("rpm,torque [N m]\n", "utf-8")
    (tmp_path / "run-2.csv").write_text("", "utf-8")
    (tmp_path / "empty").mkdir()
    return tmp_path


def names(shop: Path, word: str) -> tuple[str, list[str]]:
    (group,) = expand([word.replace("@", str(shop))])
    return group.name, [path.name for path in group.files]


@pytest.mark.parametrize(
    ("word", "name", "files"),
    [
        ("@/run-1.csv", "run-1", ["run-1.csv"]),
        ("@/log", "log", ["01.csv", "02.csv"]),
        ("@/log/", "log", ["01.csv", "02.csv"]),
        ("@/run-*.csv", "run", ["run-1.csv", "run-2.csv"]),
        ("@/log/*", "log", ["01.csv", "02.csv"]),
        ("@/*/0*.csv", "0", ["01.csv", "02.csv"]),
        ("@/**/00.csv", "00", ["00.csv"]),
        ("cast manifold=@/log", "cast manifold", ["01.csv", "02.csv"]),
        ("a=@/run-?.csv", "a", ["run-1.csv", "run-2.csv"]),
    ],
)
def test_a_word_stands_for_sorted_logs(shop: Path, word: str, name: str, files: list[str]) -> None:
    assert names(shop, word) == (name, files)


def test_the_folder_one_stands_in_has_its_own_name(shop: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(shop / "log")
    assert names(shop, ".") == ("log", ["01.csv", "02.csv"])


def test_home_is_understood_after_a_name(shop: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("HOME", str(shop))
    assert names(shop, "a=~/run-1.csv") == ("a", ["run-1.csv"])


def test_a_file_with_an_equals_sign_in_its_name_is_that_file(shop: Path) -> None:
    (shop / "jets=2.csv").write_text("", "utf-8")
    assert names(shop, "@/jets=2.csv") == ("jets=2", ["jets=2.csv"])


def test_nothing_there_is_refused_for_every_word_at_once(shop: Path) -> None:
    with pytest.raises(ReadRefused) as refusal:
        expand([str(shop / "nix.csv"), f"{shop}/empty", f"b={shop}/*.dat", "c="])
    assert [fault.code for fault in refusal.value.faults] == ["no-such-log"] * 4
    assert str(shop / "nix.csv") in str(refusal.value)


def test_two_groups_of_one_name_are_refused_with_the_way_out(shop: Path) -> None:
    with pytest.raises(ReadRefused) as refusal:
        expand([f"a={shop}/log", f"a={shop}/run-1.csv"])
    (fault,) = refusal.value.faults
    assert (fault.code, fault.where) == ("same-group-name", "a")
    assert "NAME=GROUP" in fault.remedy
