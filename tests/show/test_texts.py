"""Terminal faces: golden texts, 80 columns, and nothing from a file that steers a terminal."""

from __future__ import annotations

import pytest

from fairpull.show.comparison_text import comparison_text
from fairpull.show.facts import words
from fairpull.show.recording_text import recordings_text
from fairpull.terms.comparison import Comparison
from tests.show import days, readings
from tests.show.golden import TEXTS, path


@pytest.mark.parametrize("name", sorted(TEXTS))
def test_golden(name: str) -> None:
    assert TEXTS[name]() == path(name).read_text(encoding="utf-8")


@pytest.mark.parametrize("name", sorted(TEXTS))
@pytest.mark.parametrize("colour", [False, True])
def test_no_line_is_longer_than_the_terminal(name: str, colour: bool) -> None:
    if colour:
        drawn = {"hostile_us": days.hostile_day}.get(name, days.header_day)()
        text = "".join(part.split("m", 1)[-1] for part in comparison_text(drawn, colour=True).split("\x1b["))
    else:
        text = TEXTS[name]()
    assert max(len(line) for line in text.splitlines()) <= 80


def test_the_first_words_are_the_verdict() -> None:
    for day in (days.header_day(), days.cannot_tell_day()):
        said = " ".join(comparison_text(day).split())
        assert said.startswith(day.differences[0].verdict.sentence)


def test_text_from_files_cannot_steer_the_terminal() -> None:
    text = comparison_text(days.hostile_day())
    assert "\x1b" not in text
    assert "[bold]" in text  # shown as it stands, not taken as markup
    assert "Oil[bold]" in recordings_text([readings.recording()])


def test_colour_is_given_only_when_asked() -> None:
    assert "\x1b[" in comparison_text(days.header_day(), colour=True)
    assert "\x1b[" not in comparison_text(days.header_day())


def test_units_follow_the_system() -> None:
    us, metric = comparison_text(days.header_day(), "us"), comparison_text(days.header_day(), "metric")
    assert "lb-ft" in us
    assert "hp" in us
    assert metric.count("lb-ft") == 1  # a finding quotes the unit of the file
    assert "kW" in metric


@pytest.mark.parametrize("day", [days.header_day(), days.three_builds()])
def test_an_open_ended_peak_is_at_least(day: Comparison) -> None:
    assert "at least 170.4 hp" in comparison_text(day)


def test_findings_that_say_the_same_are_said_once_with_every_place() -> None:
    found = words.merged(words.all_findings(days.header_day()))
    guessed = [one for one in found if one.code == "column-guessed"]
    assert [one.places for one in guessed] == [("log_1.csv", "log_2.csv")]
    assert [one.severity.value for one in found] == ["fault", "warning", "note", "note", "note"]


def test_what_would_settle_it_is_said_once() -> None:
    cannot = days.cannot_tell_day().differences[0].verdict
    assert words.settle(cannot) == ""  # its sentence already says it
    confounded = days.three_builds().differences[1].verdict
    assert words.settle(confounded) == "No number of pulls today can settle it: spacer ran on another day only."


def test_no_face_calls_anything_safe() -> None:
    for draw in TEXTS.values():
        assert "safe" not in draw().lower()
