"""Words of weather become an overview under every standard."""

from __future__ import annotations

import pytest

from fairpull.air import STANDARDS
from fairpull.tasks.air_report import air_overview
from fairpull.terms.errors import FairpullError


def test_words_with_units() -> None:
    found = air_overview("29.62inHg", "68degF", "56%")
    assert found.air.pressure == pytest.approx(100305.0, abs=2.0)
    assert found.air.temperature == pytest.approx(293.15, abs=1e-9)
    assert found.relative_humidity == pytest.approx(0.56, abs=1e-9)
    factors = {one.standard: one.factor for one in found.corrections}
    assert set(factors) == set(STANDARDS)
    assert round(factors["sae-j1349"], 3) == 0.990  # the scenario's pull 02


def test_every_kind_of_humidity_says_the_same_air() -> None:
    plain = air_overview("100 kPa", "25 degC", "50 %")
    assert plain.dew_point is not None
    words = {"vapour_pressure": f"{plain.vapour_pressure} Pa", "dew_point": f"{plain.dew_point} K"}
    for name, word in words.items():
        other = air_overview("100 kPa", "25 degC", **{name: word})
        assert other.vapour_pressure == pytest.approx(plain.vapour_pressure, rel=1e-6), name
    wet = air_overview("100 kPa", "25 degC", wet_bulb="18 degC")
    assert 0.4 < wet.relative_humidity < 0.6


def test_a_diesel_leaves_out_what_cannot_be_computed() -> None:
    found = air_overview("100 kPa", "25 degC", "50 %", ignition="compression")
    assert "sae-j1349" in found.left_out
    assert "sae-j1349" not in {one.standard for one in found.corrections}


@pytest.mark.parametrize(
    "words",
    [
        ("29.62", "68degF", "56%"),
        ("29.62inHg", "68", "56%"),
        ("29.62inHg", "68degF", ""),
        ("29.62inHg", "68degF", "156%"),
        ("29.62psi", "68degF", "56%"),
        ("29.62inHg", "68kg", "56%"),
    ],
)
def test_words_that_are_no_air_are_refused(words: tuple[str, str, str]) -> None:
    with pytest.raises(FairpullError):
        air_overview(*words)


def test_unknown_engines_are_refused_with_the_list() -> None:
    with pytest.raises(FairpullError, match="natural, belt, turbo, turbo-held"):
        air_overview("100 kPa", "25 degC", "50 %", induction="supercharged")
