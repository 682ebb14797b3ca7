"""Where the question comes from, and that an option that overrules a declared one is not silent."""

from __future__ import annotations

from pathlib import Path

import pytest

from fairpull.tasks.asked import asked_question
from fairpull.tasks.request import CompareRequest
from fairpull.terms.comparison import Question


@pytest.fixture
def declared(tmp_path: Path) -> Path:
    path = tmp_path / "question.toml"
    path.write_text('band = "2000-4000 rpm"\nsmallest = "2 %"\n', "utf-8")
    return path


def test_nothing_declared(tmp_path: Path) -> None:
    question, said, findings = asked_question(CompareRequest(), tmp_path)
    assert question == Question()
    assert said == {"question": "none declared"}
    assert findings == ()


def test_a_question_beside_the_logs_is_found(declared: Path) -> None:
    question, said, findings = asked_question(CompareRequest(), declared.parent)
    assert (question.declared, question.band, question.smallest) == (True, (2000.0, 4000.0), 0.02)
    assert said == {"question": f"{declared}, found beside the logs"}
    assert findings == ()


def test_the_named_question_wins(declared: Path, tmp_path: Path) -> None:
    named = tmp_path / "asked.toml"
    named.write_text('smallest = "3 %"\n', "utf-8")
    question, said, _ = asked_question(CompareRequest(question_file=named), declared.parent)
    assert (question.band, question.smallest) == (None, 0.03)
    assert said["question"] == f"{named}, named"


def test_options_overrule_and_that_is_said(declared: Path) -> None:
    request = CompareRequest(band=(2500.0, 3500.0), smallest=0.005)
    question, said, findings = asked_question(request, declared.parent)
    assert (question.band, question.smallest) == ((2500.0, 3500.0), 0.005)
    assert said["band"] == "2500-3500 rpm, by option"
    assert said["smallest difference worth having"] == "0.5 %, by option"
    assert [finding.code for finding in findings] == ["question-overruled"] * 2
    assert "2000-4000 rpm was declared before the day, 2500-3500 rpm" in findings[0].text
    assert "2 % was declared before the day, 0.5 %" in findings[1].text


def test_an_option_that_says_the_same_overrules_nothing(declared: Path) -> None:
    request = CompareRequest(band=(2000.0, 4000.0), smallest=0.02)
    assert asked_question(request, declared.parent)[2] == ()


def test_options_without_a_declared_question_overrule_nothing(tmp_path: Path) -> None:
    question, said, findings = asked_question(CompareRequest(smallest=0.005), tmp_path)
    assert not question.declared
    assert said["smallest difference worth having"] == "0.5 %, by option"
    assert findings == ()
