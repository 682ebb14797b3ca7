"""Laws of the engine formulas: round trips, unit invariance, scalar equals vector."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fairpull import engine
from fairpull.terms.arrays import FloatArray, Number
from fairpull.terms.units import from_house, to_house

UNHURRIED = settings(deadline=None)  # a loaded machine is no failure
TORQUES = st.floats(1.0, 3000.0)
SPEEDS = st.floats(300.0, 18000.0)
SIZES = st.floats(1e-4, 0.02)
STROKES = st.sampled_from([2, 4])


@UNHURRIED
@given(torque=TORQUES, rpm=SPEEDS)
def test_torque_and_power_undo_each_other(torque: float, rpm: float) -> None:
    assert float(engine.torque_from_power(engine.power_from_torque(torque, rpm), rpm)) == pytest.approx(torque)


@UNHURRIED
@given(torque=TORQUES, size=SIZES, strokes=STROKES)
def test_torque_and_bmep_undo_each_other(torque: float, size: float, strokes: int) -> None:
    pressure = engine.bmep(torque, size, strokes)
    assert float(engine.torque_from_bmep(pressure, size, strokes)) == pytest.approx(torque)


@UNHURRIED
@given(torque=TORQUES, size=SIZES, rpm=SPEEDS, strokes=STROKES)
def test_bmep_times_swept_flow_is_power(torque: float, size: float, rpm: float, strokes: int) -> None:
    work = engine.bmep(torque, size, strokes) * engine.swept_flow(size, rpm, strokes)
    assert float(work) == pytest.approx(float(engine.power_from_torque(torque, rpm)), rel=1e-12)


@UNHURRIED
@given(stroke=st.floats(0.02, 0.5), rpm=SPEEDS)
def test_piston_speed_and_rpm_undo_each_other(stroke: float, rpm: float) -> None:
    speed = engine.mean_piston_speed(stroke, rpm)
    assert float(engine.rpm_at_piston_speed(stroke, speed)) == pytest.approx(rpm)


@UNHURRIED
@given(air=st.floats(1e-3, 2.0), fuel=st.floats(1e-4, 0.2), stoichiometric=st.floats(6.0, 18.0))
def test_lambda_and_equivalence_ratio_are_reciprocal(air: float, fuel: float, stoichiometric: float) -> None:
    found = engine.lambda_from_flows(air, fuel, stoichiometric)
    equivalence = stoichiometric * fuel / air
    assert float(engine.lambda_from_equivalence_ratio(equivalence)) == pytest.approx(float(found))
    assert float(engine.lambda_from_equivalence_ratio(found)) == pytest.approx(equivalence)


@UNHURRIED
@given(bore=st.floats(2.0, 5.0), stroke=st.floats(2.0, 5.0), cylinders=st.integers(1, 12))
def test_displacement_does_not_depend_on_units(bore: float, stroke: float, cylinders: int) -> None:
    metric = engine.displacement(to_house(bore, "in", "m"), to_house(stroke, "in", "m"), cylinders)
    inches = engine.displacement(bore, stroke, cylinders)
    assert from_house(float(metric), "in3", "m3") == pytest.approx(float(inches), rel=1e-12)


@UNHURRIED
@given(swept=st.floats(1e-4, 1e-2), clearance=st.floats(1e-5, 1e-3))
def test_compression_ratio_gives_the_clearance_back(swept: float, clearance: float) -> None:
    ratio = float(engine.compression_ratio(swept, clearance))
    assert swept / (ratio - 1.0) == pytest.approx(clearance, rel=1e-9)


def test_dish_lowers_and_dome_raises_the_compression_ratio() -> None:
    plain = engine.compression_ratio(500e-6, engine.clearance_volume(50e-6, gasket=5e-6, deck=1e-6))
    dished = engine.compression_ratio(500e-6, engine.clearance_volume(50e-6, gasket=5e-6, deck=1e-6, dish=4e-6))
    domed = engine.compression_ratio(500e-6, engine.clearance_volume(50e-6, gasket=5e-6, deck=1e-6, dome=4e-6))
    assert float(dished) < float(plain) < float(domed)


@UNHURRIED
@given(share=st.floats(0.0, 1.0))
def test_a_blend_lies_between_its_parts(share: float) -> None:
    ethanol, petrol = engine.FUELS["ethanol"].fuel, engine.FUELS["petrol"].fuel
    mixed = engine.blend("mixed", ethanol, petrol, share)
    assert ethanol.stoichiometric - 1e-12 <= mixed.stoichiometric <= petrol.stoichiometric + 1e-12
    assert ethanol.heating_value - 1e-3 <= mixed.heating_value <= petrol.heating_value + 1e-3


FORMULAS: list[tuple[Callable[..., Number], tuple[FloatArray, ...]]] = [
    (engine.power_from_torque, (np.linspace(10.0, 500.0, 9), np.linspace(1000.0, 8000.0, 9))),
    (engine.torque_from_power, (np.linspace(1e3, 3e5, 9), np.linspace(1000.0, 8000.0, 9))),
    (engine.bmep, (np.linspace(10.0, 500.0, 9), np.linspace(0.001, 0.006, 9))),
    (engine.torque_from_bmep, (np.linspace(1e5, 2e6, 9), np.linspace(0.001, 0.006, 9))),
    (engine.inertia_torque, (np.linspace(0.1, 2.0, 9), np.linspace(50.0, 600.0, 9))),
    (engine.mean_piston_speed, (np.linspace(0.05, 0.1, 9), np.linspace(1000.0, 8000.0, 9))),
    (engine.swept_flow, (np.linspace(0.001, 0.006, 9), np.linspace(1000.0, 8000.0, 9))),
    (
        engine.volumetric_efficiency,
        (np.linspace(0.01, 0.3, 9), np.linspace(0.001, 0.006, 9), np.linspace(1e3, 8e3, 9), np.linspace(1.0, 1.2, 9)),
    ),
    (engine.bsfc, (np.linspace(1e-3, 2e-2, 9), np.linspace(1e4, 3e5, 9))),
    (engine.bsac, (np.linspace(1e-2, 2e-1, 9), np.linspace(1e4, 3e5, 9))),
    (engine.air_fuel_ratio_from_flows, (np.linspace(1e-2, 2e-1, 9), np.linspace(1e-3, 2e-2, 9))),
    (engine.thermal_efficiency, (np.linspace(5e-8, 1e-7, 9), np.linspace(2e7, 4.5e7, 9))),
    (
        engine.fuel_per_cycle,
        (np.linspace(1e-3, 2e-2, 9), np.linspace(0.001, 0.006, 9), np.linspace(1000.0, 8000.0, 9)),
    ),
]


@pytest.mark.parametrize(("formula", "arguments"), FORMULAS)
def test_scalar_equals_vector(formula: Callable[..., Number], arguments: tuple[FloatArray, ...]) -> None:
    many = np.asarray(formula(*arguments))
    assert many.shape == (9,)
    for i in range(9):
        one = formula(*(float(argument[i]) for argument in arguments))
        assert float(one) == pytest.approx(float(many[i]), rel=1e-15)
