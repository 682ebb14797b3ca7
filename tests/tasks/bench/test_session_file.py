"""A session's sheet."""

from __future__ import annotations

from typing import Any

import pytest

from fairpull.tasks.bench.session_file import Session, session_from_table
from fairpull.terms.errors import ValueRefused
from tests.tasks.bench.shop import codes

LB_FT = 1.3558179483314004  # N m
WEIGHTS = {"unit": "lb-ft", "hung": [0, 100, 200], "read": [0.5, 101.5, 202.5]}


def test_an_empty_page_is_a_session_of_which_nothing_is_known() -> None:
    assert session_from_table({}, where="session x") == Session()


def test_every_entry_comes_through() -> None:
    session = session_from_table(
        {
            "date": "2031-05-06",
            "brake": "water brake",
            "place": "the yard",
            "altitude": "400 ft",
            "operator": "K. L.",
            "notes": "wet",
            "dead_weights": WEIGHTS,
        },
        where="session x",
    )
    assert (session.date, session.brake, session.place) == ("2031-05-06", "water brake", "the yard")
    assert (session.operator, session.notes) == ("K. L.", "wet")
    assert session.altitude == pytest.approx(400 * 0.3048)
    assert session.calibration is not None
    assert not session.applied


def test_the_brakes_line_is_worked_out_in_newton_metres() -> None:
    """Read = 1.01 hung + 0.5 lb-ft, by hand."""
    line = session_from_table({"dead_weights": {**WEIGHTS, "apply": True}}, where="session x")
    assert line.applied
    assert line.calibration is not None
    assert line.calibration.slope == pytest.approx(1.01)
    assert line.calibration.intercept == pytest.approx(0.5 * LB_FT)


@pytest.mark.parametrize("date", ["6.5.2031", "2031-5-6", "2031-02-30", "tuesday", "20310506"])
def test_a_day_that_is_none_is_refused(date: str) -> None:
    with pytest.raises(ValueRefused) as refusal:
        session_from_table({"date": date}, where="session x")
    assert codes(refusal.value) == ["session-date"]


@pytest.mark.parametrize(
    "weights",
    [
        "on the wall",
        {"unit": "lb-ft", "hung": [0, 100]},
        {**WEIGHTS, "colour": "red"},
        {**WEIGHTS, "read": [0.5, 101.5]},
        {**WEIGHTS, "hung": [0], "read": [0]},
        {**WEIGHTS, "read": ["0.5", "101.5", "202.5"]},
        {**WEIGHTS, "read": [True, False, True]},
    ],
)
def test_weights_that_are_no_table_are_refused(weights: Any) -> None:
    with pytest.raises(ValueRefused) as refusal:
        session_from_table({"dead_weights": weights}, where="session x")
    assert codes(refusal.value) == ["dead-weights"]


def test_all_faults_come_at_once_with_their_place() -> None:
    with pytest.raises(ValueRefused) as refusal:
        session_from_table(
            {"dynamo": 1, "date": "soon", "altitude": "high", "dead_weights": {**WEIGHTS, "unit": "mile"}},
            where="session x",
        )
    places = [fault.where for fault in refusal.value.faults]
    assert len(places) == 4
    assert all(place.startswith("session x, ") or "mile" in refusal.value.faults[3].line() for place in places)
    assert {"session-entry", "session-date"} <= set(codes(refusal.value))


def test_weather_is_read_as_words_or_as_a_table() -> None:
    words = session_from_table({"weather": "29.62 inHg 68 degF 56 %"}, where="session x").weather
    assert words.pressure == pytest.approx(29.62 * 3386.389, rel=1e-5)
    assert words.temperature == pytest.approx(293.15)
    assert words.relative_humidity == pytest.approx(0.56)
    table = session_from_table(
        {"weather": {"barometer": "1003 hPa", "dew_point": "10 degC"}}, where="session x"
    ).weather
    assert table.pressure == pytest.approx(100300.0)
    assert table.dew_point == pytest.approx(283.15)


@pytest.mark.parametrize(
    "weather", ["fine", "29.62 inHg 29.7 inHg 30 inHg", "1003 Pa", {"sun": "1"}, {"humidity": 56}, 7]
)
def test_weather_that_cannot_be_is_refused(weather: Any) -> None:
    with pytest.raises(ValueRefused) as refusal:
        session_from_table({"weather": weather, "date": "soon"}, where="session x")
    assert {fault.where for fault in refusal.value.faults} == {"session x, weather", "session x, date"}
