"""Which standard is used, for which engines, and what is said where it cannot be."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from fairpull.air import STANDARDS
from fairpull.tasks.weather import Weather, weather_of
from fairpull.terms.engine import Engine
from fairpull.terms.errors import NotComparable, UnknownName, ValueRefused
from fairpull.terms.pull import Air, Curve

RPM = np.array([1500.0, 2000.0, 3000.0])
DIESEL = Engine("made", 0.08, 0.09, 4, displacement=2e-3, ignition="compression")
AIR = Air(98e3, 293.15, 1.2e3)


def curve(name: str, air: Air | None = AIR, fuel: float | None = None) -> Curve:
    channels = {} if fuel is None else {"fuel_mass_flow": fuel * 2e-3 * RPM / 120.0}
    return Curve(name, RPM, np.full(3, 300.0), np.full(3, 0.3), channels, (1500.0, 3000.0), air=air)


def diesel(fuel: float | None, standard: str = "") -> Weather:
    return weather_of([curve("a", fuel=fuel), curve("b", fuel=fuel)], {"a": DIESEL, "b": DIESEL}, standard)


def test_the_default_is_computed_under_every_standard() -> None:
    weather = weather_of([curve("a"), curve("b", Air(95e3, 308.15, 1e3))], {}, "")
    assert weather.standard == "sae-j1349"
    assert set(weather.factors) == set(STANDARDS)
    assert weather.factors["sae-j1349"]["a"] == pytest.approx(1.01665, abs=5e-6)
    assert weather.choices["standard"] == "sae-j1349 (default where weather is known)"
    assert "1.180" in weather.choices["standard formula"]
    assert weather.choices["standard formula"].endswith("[sae-j1349]")
    assert weather.choices["factors computed for"] == "natural induction, spark ignition"
    assert "standards not computed" not in weather.choices


def test_a_named_standard_is_used_and_not_called_a_default() -> None:
    weather = weather_of([curve("a")], {}, "din-70020")
    assert weather.standard == "din-70020"
    assert "standard" not in weather.choices
    assert "total pressure 1013 mbar" in weather.choices["standard formula"]


def test_a_standard_that_does_not_exist_lists_those_that_do_and_the_nearest() -> None:
    with pytest.raises(UnknownName) as refusal:
        weather_of([curve("a")], {}, "sae-j1394")
    (fault,) = refusal.value.faults
    assert "did you mean sae-j1349?" in fault.remedy
    assert all(key in fault.remedy for key in STANDARDS)


@pytest.mark.parametrize("standard", ["", "none"])
def test_without_weather_for_every_pull_observed_values_stand(standard: str) -> None:
    weather = weather_of([curve("a"), curve("b", None)], {}, standard)
    assert (weather.standard, weather.factors) == ("none", {})
    (finding,) = weather.findings
    assert (finding.code, finding.severity, finding.where) == ("no-weather", "warning", "b")
    assert "1 of 2 pulls" in finding.text
    assert ("standard" in weather.choices) == (standard == "")


def test_a_named_standard_without_weather_is_refused_with_the_pulls_names() -> None:
    with pytest.raises(NotComparable) as refusal:
        weather_of([curve("a"), curve("b", None)], {}, "iso-1585")
    (fault,) = refusal.value.faults
    assert (fault.code, fault.where) == ("weather-unknown", "b")
    assert "--weather" in fault.remedy


def test_a_diesel_with_fuel_flow_takes_the_first_standard_that_knows_diesels() -> None:
    weather = diesel(0.05)
    assert weather.standard == "iso-1585"
    assert weather.choices["standard"].startswith("iso-1585 (default where weather is known; not computed: sae-j1349: ")
    assert "a 50.0 mg/(l cycle)" in weather.choices["fuel per cycle"]
    assert "sae-j1349" in weather.missing
    assert "compression ignition" in weather.choices["factors computed for"]


def test_a_diesel_without_fuel_flow_falls_back_to_the_standard_that_assumes_least() -> None:
    weather = diesel(None)
    assert weather.standard == "iso-3046"
    assert {"sae-j1349", "iso-1585", "un-r85", "jis-d1001", "iso-15550"} <= set(weather.missing)
    assert any("efficiency" in finding.text for finding in weather.findings)


def test_a_named_standard_that_cannot_be_computed_is_refused() -> None:
    with pytest.raises(ValueRefused, match="compression-ignition-unread"):
        diesel(0.05, "sae-j1349")
    with pytest.raises(ValueRefused, match="fuel-per-cycle-missing"):
        diesel(None, "iso-1585")


def test_petrol_against_diesel_stands_under_one_standard() -> None:
    weather = weather_of([curve("petrol"), curve("diesel", fuel=0.05)], {"diesel": DIESEL}, "")
    assert weather.standard == "iso-1585"
    assert weather.factors["iso-1585"]["petrol"] != weather.factors["iso-1585"]["diesel"]


def test_only_the_chosen_standards_findings_are_told() -> None:
    hot = [curve("a", Air(80e3, 318.15, 1e3))]
    assert weather_of(hot, {}, "none").findings == ()
    assert any("0.95" in f.text or "1.05" in f.text for f in weather_of(hot, {}, "sae-j1349").findings)


def test_induction_of_the_engine_is_handed_on() -> None:
    blown = replace(DIESEL, ignition="spark", induction="belt")
    assert any("charged" in f.text or "charged" in f.code for f in weather_of([curve("a")], {"a": blown}, "").findings)
