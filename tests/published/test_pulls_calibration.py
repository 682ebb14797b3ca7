"""Published checks of the brake calibration: gravity, dead weights, limits, the regulation's statistics.

Birth certificates stand beside each test. READ: read in the named document; FROM MEMORY and COMPUTED BY HAND are said.
"""

from __future__ import annotations

import numpy as np
import pytest

from fairpull.pulls import calibrate, inertia_torque, local_gravity, statistics, weight_torque
from fairpull.pulls.linearity import LINEARITY, intercept_term

POUND = 0.45359237  # kg, exact
FOOT = 0.3048  # m, exact


def test_local_gravity() -> None:
    # 40 CFR 1065.630, printed for 45 degrees, READ: 9.8061992026 m/s2
    assert round(float(local_gravity(np.radians(45.0))), 10) == 9.8061992026
    # same formula worked by hand: equator, 51.5 degrees, pole
    for degrees, expected in ((0.0, 9.780327), (51.5, 9.812035), (90.0, 9.832186)):
        assert round(float(local_gravity(np.radians(degrees))), 6) == expected
        assert local_gravity(-np.radians(degrees)) == local_gravity(np.radians(degrees))


def test_dead_weights() -> None:
    # COMPUTED BY HAND from 1065.310 (force = mass * local gravity)
    assert round(float(weight_torque(20.0, 0.5, local_gravity(np.radians(45.0)))), 4) == 98.0620
    assert round(float(weight_torque(20.0, 0.5)), 4) == 98.0665
    assert round(float(weight_torque(50.0 * POUND, FOOT, local_gravity(np.radians(45.0)))), 3) == 67.788
    for degrees, per_cent in ((2.0, 0.061), (5.0, 0.3805)):
        lost = 100.0 * (1.0 - float(weight_torque(1.0, 1.0, 1.0, np.radians(degrees))))
        assert lost == pytest.approx(per_cent, abs=0.0005)
    assert round(float(1.0 - weight_torque(1.0, 1.0, 1.0, buoyancy=1.2 / 7850.0)), 5) == 0.00015


def test_linearity_limits() -> None:
    # 40 CFR 1065.307 Table 1, READ; temperatures and pressures UN GTR linearity table 7, READ
    printed = {
        "rpm": (0.0005, 0.98, 1.02, 0.02, 0.990),
        "torque": (0.01, 0.98, 1.02, 0.02, 0.990),
        "power": (0.01, 0.98, 1.02, 0.02, 0.990),
        "fuel_mass_flow": (0.01, 0.98, 1.02, 0.02, 0.990),
        "air_mass_flow": (0.01, 0.98, 1.02, 0.02, 0.990),
        "fuel_scale": (0.003, 0.996, 1.004, 0.004, 0.999),
        "temperature": (0.01, 0.99, 1.01, 0.01, 0.998),
        "pressure": (0.01, 0.99, 1.01, 0.01, 0.998),
    }
    for quantity, row in LINEARITY.items():
        assert (row.intercept, row.slope_low, row.slope_high, row.see, row.r2) == printed[quantity]
    assert set(LINEARITY) == set(printed)


def test_intercept_limit_is_on_the_absolute_value() -> None:
    # 1065.307 Table 1: abs(xmin (a1 - 1) + a0)
    assert intercept_term(1.01, -4.0, 100.0) == pytest.approx(3.0)
    assert intercept_term(0.99, -4.0, 100.0) == pytest.approx(5.0)
    loads = np.linspace(0.0, 500.0, 11)
    low = calibrate(loads, loads - 5.5).checks[0]  # 1 % of 500 N m is 5.0
    assert low.value == pytest.approx(5.5)
    assert not low.passed


def test_statistics_of_1065_602() -> None:
    # 40 CFR 1065.602 (b) to (e) and (i), printed inputs and results, READ
    values = np.array([10.60, 11.91, 11.09])
    assert round(statistics.mean(values), 2) == 11.20
    assert round(statistics.standard_deviation(values), 4) == 0.6619
    assert round(statistics.root_mean_square(values), 2) == 11.21
    assert round(statistics.accuracy(np.array([1806.4, 1803.1, 1798.9]), 1800.0), 1) == 2.8
    assert round(statistics.intercept(1050.1, 1055.3, 1.0110), 4) == -16.8083


def test_standard_deviation_is_stable() -> None:
    # NIST StRD NumAcc4 (data by rule, FROM MEMORY): mean 10000000.2, standard deviation exactly 0.1
    values = np.concatenate(([10000000.2], np.tile([10000000.1, 10000000.3], 500)))
    assert statistics.mean(values) == pytest.approx(10000000.2, abs=1e-8)
    assert statistics.standard_deviation(values) == pytest.approx(0.1, rel=1e-7)


def test_inertia_run() -> None:
    # COMPUTED BY HAND: 1.2 kg m2 from 1000 to 2000 rpm in 3.000 s: 34.9066 rad/s2, 41.8879 N m
    assert round(float(inertia_torque(1.0, 1000.0 / 3.0)), 4) == 34.9066
    assert round(float(inertia_torque(1.2, 1000.0 / 3.0)), 4) == 41.8879


@pytest.mark.parametrize(
    ("inertia", "rate", "foot_pounds"),
    [(0.25, 100, 1.9), (0.25, 300, 5.8), (0.25, 600, 11.6), (0.40, 100, 3.1), (0.40, 300, 9.3), (0.40, 600, 18.5)],
)
def test_hidden_torque_of_usual_sweeps(inertia: float, rate: float, foot_pounds: float) -> None:
    # trade table of hidden torque (calculated there), lb-ft
    assert round(float(inertia_torque(inertia, rate)) / (POUND * 9.80665 * FOOT), 1) == foot_pounds
