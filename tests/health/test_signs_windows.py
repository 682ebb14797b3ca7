"""Oil, coolant and brake water."""

from __future__ import annotations

import numpy as np
import pytest

from fairpull.health.signs import brake_water, coolant_window, oil_window
from fairpull.terms.findings import Severity
from fairpull.terms.health import Sign, Unseen
from fairpull.terms.units import to_house
from tests.health.plain_pull import channels, pull, share, speeds, view


def test_warming_through_a_pull_is_as_it_should_be() -> None:
    for references in (0, 3):
        one = view(pull(), references=references)
        assert [module.look(one) for module in (oil_window, coolant_window, brake_water)] == [None] * 3


@pytest.mark.parametrize(
    ("fahrenheit", "severity"),
    [(158.0, Severity.FAULT), (262.0, Severity.FAULT), (187.0, Severity.WARNING), (203.0, Severity.WARNING)],
)
def test_oil_against_limits_and_series(fahrenheit: float, severity: Severity) -> None:
    oil = to_house(fahrenheit, "°F", "K") + 1.0 * share(speeds())
    found = oil_window.look(view(pull({"oil_temperature": oil}), references=2))
    assert isinstance(found, Sign)
    assert found.severity is severity
    assert "degF" in found.evidence


def test_oil_within_five_degrees_of_the_series_is_right() -> None:
    oil = channels(1)["oil_temperature"] + to_house(4.0, "°R", "K")
    assert oil_window.look(view(pull({"oil_temperature": oil}), references=2)) is None


def test_a_series_that_warms_is_held_against_its_latest() -> None:
    oil = channels(1)["oil_temperature"]
    others = tuple(pull({"oil_temperature": oil + 1.2 * n}, seed=100 + n) for n in range(4))
    assert oil_window.look(view(pull({"oil_temperature": oil + 4.8}), others=others)) is None
    assert isinstance(oil_window.look(view(pull({"oil_temperature": oil + 8.0}), others=others)), Sign)


def test_coolant_too_hot_is_a_fault() -> None:
    hot = np.full(speeds().size, to_house(217.0, "°F", "K"))
    found = coolant_window.look(view(pull({"coolant_out": hot})))
    assert isinstance(found, Sign)
    assert found.severity is Severity.FAULT
    only_in = view(pull({"coolant_in": hot}, without=("coolant_out",)))
    assert isinstance(coolant_window.look(only_in), Sign)


@pytest.mark.parametrize(("top", "severity"), [(146.0, Severity.WARNING), (156.0, Severity.FAULT)])
def test_brake_water(top: float, severity: Severity) -> None:
    end = to_house(top, "°F", "K")
    water = end - 25.0 * (1.0 - share(speeds()))
    found = brake_water.look(view(pull({"brake_outlet_temperature": water})))
    assert isinstance(found, Sign)
    assert found.severity is severity
    assert found.high == 5200.0


def test_thermometers_that_were_not_there() -> None:
    bare = view(pull(without=("oil_temperature", "coolant_out", "brake_outlet_temperature")))
    for module in (oil_window, coolant_window, brake_water):
        seen = module.look(bare)
        assert isinstance(seen, Unseen)
        assert seen.missing
