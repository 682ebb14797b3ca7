from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from fairpull import engine
from fairpull.terms.arrays import FloatArray
from fairpull.terms.engine import Engine

RPM = np.array([2000.0, 4000.0, 6000.0])
TORQUE = np.array([180.0, 200.0, 170.0])
PETROL = engine.FUELS["petrol"].fuel
MACHINE = Engine("Wren", 0.086, 0.086, 4, fuel=PETROL)
POWER = np.asarray(engine.power_from_torque(TORQUE, RPM))
FUEL = POWER * 270.0e-3 / 3.6e6
AIR = FUEL * PETROL.stoichiometric * 0.88
CHANNELS: dict[str, FloatArray] = {
    "rpm": RPM, "torque": TORQUE, "air_mass_flow": AIR, "fuel_mass_flow": FUEL, "lambda": np.full(3, 0.88),
}  # fmt: skip


def without(*names: str) -> dict[str, FloatArray]:
    return {name: values for name, values in CHANNELS.items() if name not in names}


def test_every_column_of_a_well_measured_pull() -> None:
    found = engine.derive(MACHINE, CHANNELS, reference_density=1.18, reference_name="the room")
    assert set(found.columns) == {
        "bmep", "torque_per_displacement", "mean_piston_speed", "bsac", "volumetric_efficiency", "bsfc",
        "thermal_efficiency", "lambda_from_flows", "lambda_flows_over_sensor",
    }  # fmt: skip
    assert found.findings == ()
    values = {name: column.values for name, column in found.columns.items()}
    assert values["bsfc"] * 3.6e9 == pytest.approx([270.0] * 3)
    assert values["lambda_from_flows"] == pytest.approx([0.88] * 3)
    assert values["lambda_flows_over_sensor"] == pytest.approx([1.0] * 3)
    assert values["bmep"] == pytest.approx(4.0 * np.pi * TORQUE / engine.displacement_of(MACHINE))
    assert "the room" in found.columns["volumetric_efficiency"].how
    assert "1.1800 kg/m3" in found.columns["volumetric_efficiency"].how
    assert all(column.how for column in found.columns.values())


def test_rpm_and_torque_alone_give_geometry_and_load() -> None:
    found = engine.derive(MACHINE, without("air_mass_flow", "fuel_mass_flow", "lambda"))
    assert set(found.columns) == {"bmep", "torque_per_displacement", "mean_piston_speed"}


def test_no_reference_density_no_volumetric_efficiency() -> None:
    assert "volumetric_efficiency" not in engine.derive(MACHINE, CHANNELS).columns


def test_displacement_alone_gives_no_piston_speed() -> None:
    machine = replace(MACHINE, bore=float("nan"), stroke=float("nan"), cylinders=0, displacement=0.002)
    found = engine.derive(machine, CHANNELS)
    assert "mean_piston_speed" not in found.columns
    assert found.columns["bmep"].values[1] == pytest.approx(1256.64e3, abs=5.0)


def test_no_fuel_no_lambda_and_no_efficiency() -> None:
    found = engine.derive(replace(MACHINE, fuel=None), CHANNELS)
    assert "bsfc" in found.columns
    assert not {"thermal_efficiency", "lambda_from_flows", "lambda_flows_over_sensor"} & set(found.columns)


def test_specific_figures_stop_where_the_engine_does_not_pull() -> None:
    channels = {**CHANNELS, "torque": np.array([-5.0, 200.0, 0.0])}
    found = engine.derive(MACHINE, channels)
    assert np.isnan(found.columns["bsfc"].values).tolist() == [True, False, True]
    assert np.isnan(found.columns["bmep"].values).tolist() == [False, False, False]


def test_fuel_by_volume_with_a_logged_density() -> None:
    channels = {**without("fuel_mass_flow"), "fuel_volume_flow": FUEL / 740.0, "fuel_density": np.full(3, 740.0)}
    found = engine.derive(MACHINE, channels)
    assert found.columns["bsfc"].values * 3.6e9 == pytest.approx([270.0] * 3)
    assert found.findings == ()


def test_fuel_by_volume_without_density_says_what_it_assumed() -> None:
    channels = {**without("fuel_mass_flow"), "fuel_volume_flow": FUEL / 745.0}
    found = engine.derive(MACHINE, channels)
    assert found.columns["bsfc"].values * 3.6e9 == pytest.approx([270.0] * 3)
    assert [finding.code for finding in found.findings] == ["fuel-density-assumed"]
    assert "745 kg/m3" in found.findings[0].text


@pytest.mark.parametrize(("reading", "cause"), [(0.95, "sensor reads leaner"), (0.82, "flows read leaner")])
def test_flows_against_sensor(reading: float, cause: str) -> None:
    found = engine.derive(MACHINE, {**CHANNELS, "lambda": np.full(3, reading)})
    assert [finding.code for finding in found.findings] == ["lambda-flows-against-sensor"]
    assert cause in found.findings[0].text


def test_banks_are_averaged_and_ratios_are_turned_into_lambda() -> None:
    banks = {**without("lambda"), "lambda_1": np.full(3, 0.86), "lambda_2": np.full(3, 0.90)}
    assert engine.derive(MACHINE, banks).columns["lambda_flows_over_sensor"].values == pytest.approx([1.0] * 3)
    ratio = {**without("lambda"), "air_fuel_ratio": np.full(3, 0.88 * PETROL.stoichiometric)}
    assert engine.derive(MACHINE, ratio).columns["lambda_flows_over_sensor"].values == pytest.approx([1.0] * 3)


def test_a_sensor_that_was_silent_is_no_sensor() -> None:
    found = engine.derive(MACHINE, {**CHANNELS, "lambda": np.full(3, np.nan)})
    assert "lambda_flows_over_sensor" not in found.columns
    assert found.findings == ()
