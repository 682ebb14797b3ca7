"""The reader takes every file of the demo in without a word from the person. Tests may join rooms; the demo may not."""

from __future__ import annotations

from datetime import UTC, datetime

import numpy as np
import pytest

from fairpull import engine, logs
from fairpull.demo import DemoDay
from fairpull.demo.day import log_of
from fairpull.demo.layouts.column import Logged
from fairpull.demo.scenario import RUNS
from fairpull.terms.findings import Severity
from fairpull.terms.recording import Recording

NUMBERS = range(1, 21)
READ: dict[int, tuple[Recording, Logged]] = {}


def _read(demo_day: DemoDay, number: int) -> tuple[Recording, Logged]:
    if number not in READ:
        (recording,) = logs.read(demo_day.pulls[number])
        READ[number] = recording, log_of(RUNS[number - 1], seed=1)
    return READ[number]


@pytest.mark.parametrize("number", NUMBERS)
def test_every_file_is_read_without_options(demo_day: DemoDay, number: int) -> None:
    recording, logged = _read(demo_day, number)
    truth = logged.channels
    assert recording.kind == "trace"
    assert len(recording.channels) >= 25
    assert np.allclose(recording.channels["rpm"], truth["rpm"], atol=0.51)
    assert np.allclose(recording.channels["torque"], truth["torque"], atol=0.02)
    clock = recording.channels["time"]
    assert np.allclose(clock - clock[0], truth["time"], atol=0.006)


@pytest.mark.parametrize("number", NUMBERS)
def test_channels_arrive_in_si(demo_day: DemoDay, number: int) -> None:
    recording, logged = _read(demo_day, number)
    told = {
        "throttle": 0.001, "inlet_temperature": 0.06, "relative_humidity": 0.001, "air_mass_flow": 1.5e-5,
        "spark_advance": 0.002, "oil_temperature": 0.06, "coolant_out": 0.06, "manifold_pressure": 40.0,
        "fuel_density": 0.2, "carbon_monoxide": 1e-6, "crankcase_pressure": 3.0, "brake_outlet_temperature": 0.06,
        "oil_pressure": 600.0, "fuel_pressure": 60.0, "blow_by": 3e-6, "exhaust_temperature_3": 0.6,
        "exhaust_pressure": 120.0, "knock": 0.006,
    }  # fmt: skip
    missing = [name for name in told if name not in recording.channels]
    assert not missing
    for name, step in told.items():
        here, there = recording.channels[name], logged.channels[name]
        assert np.nanmax(np.abs(here - there)) <= step, name


@pytest.mark.parametrize("number", NUMBERS)
def test_fuel_meters_are_added(demo_day: DemoDay, number: int) -> None:
    recording, logged = _read(demo_day, number)
    meters = [values for name, values in logged.channels.items() if name.startswith("fuel_mass_flow")]
    assert np.allclose(recording.channels["fuel_mass_flow"], sum(meters), atol=3e-6)


@pytest.mark.parametrize("number", NUMBERS)
def test_barometer_is_logged_or_given_by_hand(demo_day: DemoDay, number: int) -> None:
    recording, logged = _read(demo_day, number)
    pressure = recording.channels.get("barometer")
    if pressure is None:
        assert recording.given.pressure == pytest.approx(logged.room, abs=20.0)
    else:
        assert float(np.mean(pressure)) == pytest.approx(logged.room, abs=20.0)


@pytest.mark.parametrize("number", NUMBERS)
def test_wall_clock_is_found(demo_day: DemoDay, number: int) -> None:
    recording, logged = _read(demo_day, number)
    assert recording.started_at == pytest.approx(logged.start.replace(tzinfo=UTC).timestamp(), abs=1.0)
    assert datetime.fromtimestamp(recording.started_at or 0.0, tz=UTC).day == 22 + RUNS[number - 1].day


@pytest.mark.parametrize("number", NUMBERS)
def test_nothing_worse_than_a_remark_is_found(demo_day: DemoDay, number: int) -> None:
    recording, _ = _read(demo_day, number)
    assert [finding for finding in recording.findings if finding.severity is not Severity.NOTE] == []


def test_the_controllers_log_is_joined_onto_the_brakes_clock(demo_day: DemoDay) -> None:
    brake, _ = _read(demo_day, 18)
    (controller,) = logs.read(demo_day.controller)
    joined = logs.join(brake, controller)
    assert [finding.code for finding in joined.findings if finding.code == "logs-joined"] == ["logs-joined"]
    assert len(joined.channels["torque"]) == len(brake.channels["torque"])


def test_engine_cards_are_read(demo_day: DemoDay) -> None:
    anvil, wren, blown = (engine.load(demo_day.engines[name]) for name in ("anvil", "wren", "wren-blown"))
    assert engine.displacement(anvil.bore, anvil.stroke, anvil.cylinders) == pytest.approx(219.4 * 0.0254**3, rel=5e-4)
    assert engine.displacement(wren.bore, wren.stroke, wren.cylinders) == pytest.approx(102.3 * 0.0254**3, rel=1e-3)
    assert (wren.induction, blown.induction) == ("natural", "belt")
    assert anvil.inertia == 0.20
