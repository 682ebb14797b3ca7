"""question.toml: what is taken, and everything that is wrong with one said at once."""

from __future__ import annotations

from pathlib import Path

import pytest

from fairpull.tasks.question_file import parse_band, parse_share, read_question
from fairpull.terms.comparison import Question
from fairpull.terms.errors import FairpullError, ValueRefused

WHOLE = """
question = "Does the header pay?"
band = "1800-4600 rpm"
smallest = "1.5 %"
expectation = "two per cent"
planned_pulls = 3
"""


def write(folder: Path, text: str) -> Path:
    path = folder / "question.toml"
    path.write_text(text, "utf-8")
    return path


def codes(folder: Path, text: str) -> list[str]:
    with pytest.raises(ValueRefused) as refusal:
        read_question(write(folder, text))
    assert all("question.toml" in fault.where for fault in refusal.value.faults)
    return [fault.code for fault in refusal.value.faults]


def test_a_whole_question(tmp_path: Path) -> None:
    asked = read_question(write(tmp_path, WHOLE))
    assert asked == Question("Does the header pay?", (1800.0, 4600.0), 0.015, "two per cent", 3, declared=True)


def test_an_empty_file_declares_the_defaults(tmp_path: Path) -> None:
    assert read_question(write(tmp_path, "")) == Question(declared=True)


def test_all_faults_are_said_at_once(tmp_path: Path) -> None:
    text = 'bend = 1\nband = "4600-1800"\nsmallest = "0.01"\nplanned_pulls = 0\n'
    assert codes(tmp_path, text) == ["question-key", "band", "smallest", "planned-pulls"]


@pytest.mark.parametrize("share", ["1", "0 %", "-1 %", "21 %", "one %", "%", "nan %"])
def test_a_share_is_a_small_percentage(tmp_path: Path, share: str) -> None:
    assert len(codes(tmp_path, f'smallest = "{share}"')) == 1
    with pytest.raises(FairpullError):
        parse_share(share)


@pytest.mark.parametrize("pulls", ["0", "101", "2.0", "true", '"3"'])
def test_planned_pulls_is_a_whole_number(tmp_path: Path, pulls: str) -> None:
    assert codes(tmp_path, f"planned_pulls = {pulls}") == ["planned-pulls"]


@pytest.mark.parametrize("text", ["question = ", "\xff", "[a"])
def test_what_is_no_toml_is_refused(tmp_path: Path, text: str) -> None:
    path = tmp_path / "question.toml"
    path.write_bytes(text.encode("latin-1"))
    with pytest.raises(ValueRefused, match="question-file"):
        read_question(path)


def test_a_question_that_is_not_there_is_refused(tmp_path: Path) -> None:
    with pytest.raises(ValueRefused, match="question-file"):
        read_question(tmp_path / "question.toml")


@pytest.mark.parametrize(
    "text", ["1800-4600 rpm", "1800-4600", "1,800 to 4,600 rpm", "1800 rpm - 4600 rpm", "1800\N{EN DASH}4600RPM"]
)
def test_spellings_of_a_band(text: str) -> None:
    assert parse_band(text) == (1800.0, 4600.0)


@pytest.mark.parametrize("text", ["", "1800", "4600-1800", "1800-1800", "0-100", "-5-100", "a-b", "1-2-3", "1800-inf"])
def test_what_is_no_band(text: str) -> None:
    with pytest.raises(ValueRefused, match="two ascending speeds"):
        parse_band(text)
