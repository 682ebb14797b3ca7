"""Every event of the two days is visible in the raw numbers of the logs."""

from __future__ import annotations

import numpy as np
import pytest

from fairpull.demo import DemoDay
from fairpull.demo.day import log_of
from fairpull.demo.layouts.column import Logged
from fairpull.demo.scenario import RUNS
from fairpull.terms.units import from_house

LOGS: dict[int, Logged] = {}


def at(number: int, channel: str, unit: str, house: str, rpm: float) -> float:
    if number not in LOGS:
        LOGS[number] = log_of(RUNS[number - 1], seed=1)
    channels = LOGS[number].channels
    near = (np.abs(channels["rpm"] - rpm) < 60) & (channels["throttle"] > 0.98)
    return float(from_house(float(np.nanmedian(channels[channel][near])), unit, house))


def lbft(number: int, rpm: float) -> float:
    return at(number, "torque", "lb-ft", "N m", rpm)


def degf(number: int, channel: str, rpm: float) -> float:
    return at(number, channel, "degF", "K", rpm)


def flow_lambda(number: int, rpm: float) -> float:
    fuel = sum(at(number, f"fuel_mass_flow_{meter}", "lb/h", "kg/s", rpm) for meter in (1, 2))
    return at(number, "air_mass_flow", "lb/h", "kg/s", rpm) / fuel / 14.6


def test_05_three_degrees_more_spark_and_nothing_gained() -> None:
    assert at(5, "spark_advance", "deg", "rad", 3600) - at(2, "spark_advance", "deg", "rad", 3600) == pytest.approx(
        3, abs=0.2
    )
    assert lbft(5, 3600) * 0.995 == pytest.approx(lbft(2, 3600) * 0.990, rel=0.006)


def test_06_richer_jets() -> None:
    assert at(2, "lambda_1", "1", "1", 3600) - at(6, "lambda_1", "1", "1", 3600) == pytest.approx(0.034, abs=0.006)


def test_09_fuel_runs_out_from_3600_in_the_file_itself(demo_day: DemoDay) -> None:
    lines = demo_day.pulls[9].read_bytes().decode("utf-8-sig").split("\r\n")
    names = lines[5].split(",")
    rows = [line.split(",") for line in lines[7:-1]]
    column = {name: np.array([float(row[names.index(name)] or "nan") for row in rows]) for name in names if name}
    full = column["Throttle"] > 98

    def near(name: str, rpm: float) -> float:
        return float(np.median(column[name][full & (np.abs(column["Engine RPM"] - rpm) < 40)]))

    assert near("Fuel Press", 3000) == pytest.approx(6.2, abs=0.1)
    assert near("Fuel Press", 4600) == pytest.approx(2.9, abs=0.15)
    assert near("Fuel A", 4400) + near("Fuel B", 4400) == pytest.approx(69.0, abs=1.0)
    assert near("Air Flow", 4400) == pytest.approx(1007, rel=0.01)
    assert near("Lambda 1", 3600) < 0.89
    assert near("Lambda 1", 4600) > 1.03
    # Exhaust gas first hotter, then cooler.
    assert near("EGT 3", 4450) > near("EGT 3", 3900) + 40
    assert np.max(column["Engine RPM"][full]) < 4660


def test_11_heat_soak_is_not_saved_by_the_factor() -> None:
    observed = lbft(11, 4400) / lbft(10, 4400) - 1
    corrected = (1 + observed) * 1.027 / 1.006 - 1
    assert observed == pytest.approx(-0.043, abs=0.006)
    assert corrected == pytest.approx(-0.023, abs=0.006)
    assert degf(11, "inlet_temperature", 4400) == pytest.approx(97, abs=1)
    assert degf(11, "oil_temperature", 4400) == pytest.approx(238, abs=3)
    assert degf(10, "oil_temperature", 4400) == pytest.approx(205, abs=3)
    assert at(11, "cell_fan", "%", "1", 4400) < 1


def test_13_one_cold_cylinder() -> None:
    gas = [degf(13, f"exhaust_temperature_{cylinder}", 4400) for cylinder in range(1, 7)]
    others = gas[:4] + gas[5:]
    assert np.mean(others) - gas[4] == pytest.approx(328, abs=12)
    assert max(others) - min(others) == pytest.approx(41, abs=6)
    assert (lbft(13, 3600) * 1.001) / (lbft(14, 3600) * 1.003) - 1 == pytest.approx(-0.065, abs=0.006)
    sensor = (at(13, "lambda_1", "1", "1", 4400) + at(13, "lambda_2", "1", "1", 4400)) / 2
    assert sensor == pytest.approx(0.93, abs=0.01)
    assert flow_lambda(13, 4400) == pytest.approx(0.87, abs=0.01)
    air_13 = at(13, "air_mass_flow", "lb/h", "kg/s", 4400)
    assert air_13 == pytest.approx(at(14, "air_mass_flow", "lb/h", "kg/s", 4400), rel=0.01)


def test_15_torque_and_air_dip_and_recover() -> None:
    expected = lbft(15, 5000) + (lbft(15, 5000) - lbft(15, 4700))
    assert lbft(15, 5300) / expected - 1 < -0.05
    # Torque falls along rpm everywhere up here, but between 5,300 and 5,400 it hardly does.
    steep = lbft(15, 5200) - lbft(15, 5300)
    assert steep > 8
    assert lbft(15, 5300) - lbft(15, 5400) < 0.5 * steep
    per_rev = {rpm: at(15, "air_mass_flow", "lb/h", "kg/s", rpm) / rpm for rpm in (5000, 5150, 5320)}
    assert per_rev[5320] / per_rev[5150] < per_rev[5150] / per_rev[5000] - 0.01


def test_16_a_constant_offset_with_air_and_fuel_unchanged() -> None:
    factors = 1.007, 1.003
    gaps = [lbft(16, rpm) * factors[0] - lbft(14, rpm) * factors[1] for rpm in range(1800, 4801, 200)]
    assert np.mean(gaps) == pytest.approx(3.8, abs=0.3)
    assert np.std(gaps) < 0.8
    air = at(16, "air_mass_flow", "lb/h", "kg/s", 4400)
    assert air == pytest.approx(at(14, "air_mass_flow", "lb/h", "kg/s", 4400), rel=0.012)


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_19_power_still_climbs_where_the_test_ends(seed: int) -> None:
    channels = log_of(RUNS[18], seed).channels
    full = channels["throttle"] > 0.98
    power = {
        rpm: float(np.mean(channels["power"][full & (np.abs(channels["rpm"] - rpm) < 50)]))
        for rpm in (5600, 6000, 6350)
    }
    assert power[5600] < power[6000] < power[6350]


def test_19_and_20_have_unequal_boost_but_at_5200() -> None:
    boost = {rpm: (at(19, "boost", "psi", "Pa", rpm), at(20, "boost", "psi", "Pa", rpm)) for rpm in (5200, 6000)}
    assert boost[5200][0] == pytest.approx(boost[5200][1], abs=0.1)
    assert boost[6000][0] == pytest.approx(8.4, abs=0.15)
    assert boost[6000][1] == pytest.approx(6.2, abs=0.1)


def test_dead_weights_after_16_show_the_false_zero(demo_day: DemoDay) -> None:
    rows = demo_day.weights["day2-after-16"].read_text().splitlines()
    assert rows[1] == "0,3.9"
    assert len(rows) > 10
