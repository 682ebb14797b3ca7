"""Whether the words of a comparison mean log files or builds."""

from __future__ import annotations

from pathlib import Path

import pytest

from fairpull.tasks.bench.door import VARIABLE
from fairpull.tasks.bench.which import BUILDS, FILES, meant


@pytest.fixture(autouse=True)
def working_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.delenv(VARIABLE, raising=False)
    monkeypatch.chdir(tmp_path)
    return tmp_path


@pytest.fixture
def in_the_book(filled: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv(VARIABLE, str(filled))


def test_a_named_book_means_builds() -> None:
    assert meant(["anything"], "some/book") == BUILDS


def test_without_a_book_words_are_files() -> None:
    assert meant(["plain", "tube"]) == FILES


@pytest.mark.usefixtures("in_the_book")
def test_builds_of_the_book_are_known(working_folder: Path) -> None:
    assert meant(["plain", "tube"]) == BUILDS
    assert meant(["plain", "tub"]) == BUILDS  # then the refusal can name the near one
    assert meant(["one", "other"]) == FILES
    (working_folder / "plain").mkdir()
    assert meant(["plain", "tube"]) == FILES
    assert meant(["tube"]) == BUILDS


@pytest.mark.usefixtures("in_the_book")
@pytest.mark.parametrize("word", ["log.csv", "name=log.csv", "*.csv", "name=*.csv"])
def test_a_place_means_files(working_folder: Path, word: str) -> None:
    (working_folder / "log.csv").write_text("", "utf-8")
    assert meant([word, "tube"]) == FILES


@pytest.mark.usefixtures("in_the_book")
def test_a_pattern_without_files_is_no_place() -> None:
    assert meant(["*.csv", "tube"]) == BUILDS
