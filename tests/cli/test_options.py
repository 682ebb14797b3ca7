"""How words of shared options become values."""

from __future__ import annotations

import pytest

from fairpull.cli.options import pairs, reading, system, weather
from fairpull.logs import ReadOptions
from fairpull.terms.errors import ValueRefused
from fairpull.terms.recording import Conditions


def test_pairs_split_at_the_last_equals_sign() -> None:
    assert pairs("--unit", ["a=b", "p=q=r", "c="]) == {"a": "b", "p=q": "r", "c": ""}
    assert pairs("--unit", None) == {}


def test_every_word_without_an_equals_sign_is_refused() -> None:
    with pytest.raises(ValueRefused) as refusal:
        pairs("--unit", ["a", "b=c", "d"])
    assert [fault.seen for fault in refusal.value.faults] == ["'a'", "'d'"]


def test_unit_systems() -> None:
    assert [system(name) for name in ("us", "metric")] == ["us", "metric"]
    with pytest.raises(ValueRefused, match="use us or metric"):
        system("US customary")


def test_no_words_are_no_weather() -> None:
    assert weather("") == Conditions()


def test_weather_in_any_order_and_with_blanks() -> None:
    found = weather("40 % 99 kPa 20 degC")
    assert found.pressure == pytest.approx(99e3, rel=1e-12)
    assert found.temperature == pytest.approx(293.15, rel=1e-12)
    assert found.relative_humidity == pytest.approx(0.4, rel=1e-12)


def test_a_second_pressure_is_vapour() -> None:
    found = weather("29.62inHg 0.4inHg")
    assert (found.pressure, found.vapour_pressure) == pytest.approx((100305.0, 1354.6), rel=1e-4)


def test_nothing_typed_is_the_default_reading() -> None:
    assert ReadOptions(**reading()) == ReadOptions()


def test_quantities_are_si() -> None:
    found = ReadOptions(**reading(displacement="1.991L", altitude="400ft", by="fuel", date="2031-05-06"))
    assert found.displacement == pytest.approx(1.991e-3, rel=1e-12)
    assert found.altitude == pytest.approx(121.92, rel=1e-12)
    assert (found.by, found.date) == ("fuel", "2031-05-06")
