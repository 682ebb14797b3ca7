"""Weather in a person's words."""

from __future__ import annotations

import pytest

from fairpull.tasks.weather_words import weather_from_words
from fairpull.terms.errors import FairpullError
from fairpull.terms.recording import Conditions


def test_blanks_between_number_and_unit_are_no_matter() -> None:
    spaced = weather_from_words("29.62 inHg 68 degF 56 %", "here")
    assert spaced == weather_from_words("29.62inHg 68degF 56%", "here")
    assert spaced.pressure == pytest.approx(29.62 * 3386.389, rel=1e-5)
    assert weather_from_words("", "here") == Conditions()


def test_a_second_pressure_is_the_vapours() -> None:
    found = weather_from_words("1003hPa 21degC 12hPa", "here")
    assert found.vapour_pressure == pytest.approx(1200.0)


def test_all_words_that_fit_nothing_are_told_at_once_with_their_place() -> None:
    with pytest.raises(FairpullError) as refusal:
        weather_from_words("fine 21degC 22degC", "session x, weather")
    assert [(fault.code, fault.where) for fault in refusal.value.faults] == [
        ("weather-word", "session x, weather"),
        ("weather-twice", "session x, weather"),
    ]
