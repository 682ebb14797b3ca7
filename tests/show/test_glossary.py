"""The glossary as a page shows it."""

from __future__ import annotations

from fairpull.show.facts import glossary
from fairpull.terms.glossary import BY_NAME


def test_every_channel_is_there_in_both_systems() -> None:
    entries = glossary.entries()
    assert [one.name for one in entries] == list(BY_NAME) == list(glossary.names())
    found = {one.name: one for one in entries}
    assert (found["torque"].us, found["torque"].metric) == ("lb-ft", "N m")
    assert found["torque"].us_range == "-150 to 3,690 lb-ft"
    assert found["torque"].metric_range == "-200 to 5,000 N m"
    assert found["barometer"].us_range == "14.8 to 32.5 inHg"
    assert found["lambda"].us_range == "0.50 to 2.50"
    assert found["power"].better == "more is better"
    assert found["exhaust_temperature"].numbered
    assert not found["torque"].numbered


def test_the_search_looks_in_names_meanings_units_and_spellings() -> None:
    def named(words: str) -> list[str]:
        return [one.name for one in glossary.entries(words)]

    assert named("EGT") == ["exhaust_temperature"]
    assert named("manifold_pressure") == named("Manifold  Pressure")
    assert named("MANIFOLD_pressure")[0] == "manifold_pressure"
    assert "barometer" in named("inHg")
    assert named("cooler temperature") == ["charge_temperature_before_cooler", "charge_temperature_after_cooler"]
    assert named("no such thing") == []
    assert len(named("   ")) == len(BY_NAME)
