"""Passwords: kept as hashes that only their owner reads."""

from __future__ import annotations

import stat
import sys
from pathlib import Path

import pytest

from fairpull.tasks.shop.passwords import FILE, need_passwords, read_passwords, role_of, set_password
from fairpull.terms.errors import BookRefused, FairpullError, MissingExtra

READER, WRITER = "the brake is wet", "the dyno is dry"


def code(error: pytest.ExceptionInfo[FairpullError]) -> str:
    return error.value.faults[0].code


def test_a_password_opens_its_role(tmp_path: Path) -> None:
    set_password(tmp_path, "reads", READER)
    set_password(tmp_path, "writes", WRITER)
    kept = read_passwords(tmp_path)
    assert [role_of(kept, words) for words in (READER, WRITER, WRITER.upper(), "", WRITER * 50)] == [
        *("reads", "writes", "", "", "")
    ]


def test_what_is_kept_is_a_slow_hash_that_others_cannot_read(tmp_path: Path) -> None:
    path = set_password(tmp_path, "writes", WRITER)
    text = path.read_text("utf-8")
    assert "$argon2id$" in text
    assert WRITER not in text
    assert stat.S_IMODE(path.stat().st_mode) == 0o600
    assert [entry.name for entry in tmp_path.iterdir()] == [FILE]


def test_a_file_that_others_could_read_is_replaced_by_one_they_cannot(tmp_path: Path) -> None:
    path = set_password(tmp_path, "writes", WRITER)
    path.chmod(0o644)
    set_password(tmp_path, "reads", READER)
    assert stat.S_IMODE(path.stat().st_mode) == 0o600
    assert role_of(read_passwords(tmp_path), WRITER) == "writes"


def test_the_same_words_from_another_keyboard_open_too(tmp_path: Path) -> None:
    set_password(tmp_path, "writes", "Pru\u0308fstand hier")
    assert role_of(read_passwords(tmp_path), "Pr\u00fcfstand hier") == "writes"


@pytest.mark.parametrize(
    ("role", "words", "refused"),
    [
        ("admin", WRITER, "no-such-role"),
        ("reads", "short", "password-short"),
        ("reads", "x" * 201, "password-long"),
        ("reads", WRITER, "password-twice"),
    ],
)
def test_refusals_change_nothing(tmp_path: Path, role: str, words: str, refused: str) -> None:
    before = set_password(tmp_path, "writes", WRITER).read_bytes()
    with pytest.raises(FairpullError) as error:
        set_password(tmp_path, role, words)
    assert code(error) == refused
    assert (tmp_path / FILE).read_bytes() == before


def test_another_password_has_another_stamp(tmp_path: Path) -> None:
    set_password(tmp_path, "writes", WRITER)
    before = read_passwords(tmp_path)
    set_password(tmp_path, "writes", WRITER)
    assert read_passwords(tmp_path).stamp("writes") not in ("", before.stamp("writes"))
    assert before.stamp("reads") == ""


@pytest.mark.parametrize("text", ["passwords = 3", "[passwords]\nwrites = 3", '[passwords]\nwrites = "plain"'])
def test_what_is_no_hash_lets_nobody_in(tmp_path: Path, text: str) -> None:
    (tmp_path / FILE).write_text(text, "utf-8")
    assert role_of(read_passwords(tmp_path), "plain") == ""


@pytest.mark.parametrize("content", [b"[passwords", b"\xff"])
def test_a_damaged_file_is_refused(tmp_path: Path, content: bytes) -> None:
    (tmp_path / FILE).write_bytes(content)
    with pytest.raises(BookRefused) as error:
        read_passwords(tmp_path)
    assert code(error) == "passwords-damaged"


def test_a_network_needs_a_password(tmp_path: Path) -> None:
    for folder in (None, tmp_path, tmp_path / "none"):
        with pytest.raises(BookRefused) as error:
            need_passwords(folder)
        assert code(error) == "no-password"
        assert "fairpull book password writes" in error.value.faults[0].remedy
    set_password(tmp_path, "reads", READER)
    need_passwords(tmp_path)


def test_without_the_library_it_says_what_to_type(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "argon2", None)
    with pytest.raises(MissingExtra) as error:
        set_password(tmp_path, "writes", WRITER)
    assert 'pip install "fairpull[shop]"' in error.value.faults[0].remedy


def test_a_folder_that_is_not_there_is_refused(tmp_path: Path) -> None:
    with pytest.raises(BookRefused) as error:
        set_password(tmp_path / "none", "writes", WRITER)
    assert code(error) == "passwords-unwritten"
