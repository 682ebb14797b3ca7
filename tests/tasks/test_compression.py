"""What a correction needs to know of the engine and the pull."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from fairpull.tasks.compression import asked_of
from fairpull.terms.arrays import FloatArray
from fairpull.terms.engine import Engine, Fuel
from fairpull.terms.pull import Air, Curve

RPM = np.array([1500.0, 2000.0, 3000.0])
SIZE = 2e-3  # m3
DIESEL = Engine("made", 0.08, 0.09, 4, displacement=SIZE, induction="turbo", ignition="compression")


def curve(**channels: FloatArray) -> Curve:
    air = Air(100e3, 298.0, 1e3)
    return Curve("a", RPM, np.full(3, 300.0), np.full(3, 0.3), channels, (1500.0, 3000.0), air=air)


def flow(fuel_per_cycle: float) -> FloatArray:
    """Fuel [kg/s] of a four-stroke: one cycle every two turns."""
    return np.asarray(fuel_per_cycle * SIZE * RPM / 120.0)


def test_without_an_engine_natural_and_spark() -> None:
    assert asked_of(curve(), None) == {"induction": "natural", "ignition": "spark"}


def test_spark_needs_no_fuel() -> None:
    petrol = replace(DIESEL, ignition="spark")
    assert asked_of(curve(fuel_mass_flow=flow(0.05)), petrol) == {"induction": "turbo", "ignition": "spark"}


def test_fuel_and_boost_of_a_diesel_are_means_over_the_curve() -> None:
    asked = asked_of(curve(fuel_mass_flow=flow(0.05), manifold_pressure=np.array([2e5, 2.2e5, np.nan])), DIESEL)
    assert asked["fuel_per_cycle"] == pytest.approx(0.05, rel=1e-12)
    assert asked["pressure_ratio"] == pytest.approx(2.1, rel=1e-12)


def test_gauge_boost_stands_on_the_air_of_the_room() -> None:
    assert asked_of(curve(boost=np.full(3, 1.2e5)), DIESEL)["pressure_ratio"] == pytest.approx(2.2, rel=1e-12)


def test_volume_flow_needs_a_density_measured_or_stated() -> None:
    volume = flow(0.05) / 840.0
    assert asked_of(curve(fuel_volume_flow=volume), DIESEL)["fuel_per_cycle"] is None
    measured = asked_of(curve(fuel_volume_flow=volume, fuel_density=np.full(3, 840.0)), DIESEL)
    stated = asked_of(curve(fuel_volume_flow=volume), replace(DIESEL, fuel=Fuel("diesel", 14.5, 42.7e6, 840.0)))
    assert measured["fuel_per_cycle"] == pytest.approx(0.05, rel=1e-12)
    assert stated["fuel_per_cycle"] == pytest.approx(0.05, rel=1e-12)


def test_what_was_not_measured_is_none() -> None:
    asked = asked_of(curve(fuel_mass_flow=np.full(3, np.nan)), DIESEL)
    assert (asked["fuel_per_cycle"], asked["pressure_ratio"]) == (None, None)
    natural = asked_of(curve(manifold_pressure=np.full(3, 1e5)), replace(DIESEL, induction="natural"))
    assert natural["pressure_ratio"] is None
