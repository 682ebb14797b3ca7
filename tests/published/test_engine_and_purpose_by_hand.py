"""Small formulas worked by hand: specific consumption, flow tables, load lines, torque per charge density.

All COMPUTED BY HAND from the stated formula: they check the code, not the formula. The exponent is published: powers of
cycle E3 are speed cubed (40 CFR 1042, appendix II, second-hand).
"""

from __future__ import annotations

import numpy as np
import pytest

from fairpull.compare.fairness.charge import density_ratio
from fairpull.compare.fairness.per_density import torque_per_density
from fairpull.compare.purpose.lines import margin_of, needed_power, power_law
from fairpull.engine.flows import specific_consumption
from fairpull.engine.ports import flow_table_at
from fairpull.terms.purpose import Duty, LoadPoint


def test_specific_consumption() -> None:
    """9 kg/h at 36 kW: 2.5e-3 kg/s over 36e3 W = 6.944e-8 kg/J, which is 250 g/kWh."""
    found = specific_consumption(9.0 / 3600.0, 36e3)
    assert found == pytest.approx(6.9444e-8, rel=1e-4)
    assert found * 3.6e9 == pytest.approx(250.0)


def test_a_flow_table_from_10_to_28_inches_of_water() -> None:
    """The square root of 2.8 is 1.67332; lifts stay as they are."""
    table = np.array([[0.001, 0.010, 0.008], [0.002, 0.020, 0.016]])
    found = flow_table_at(table, 10.0 * 249.089, 28.0 * 249.089)
    assert found[:, 0].tolist() == [0.001, 0.002]
    assert found[:, 1:] / table[:, 1:] == pytest.approx(1.67332, rel=1e-5)


@pytest.mark.parametrize(
    ("speed", "power", "printed"),
    [(0.91, 0.7536, 0.75), (0.80, 0.5120, 0.50), (0.63, 0.2500, 0.25)],
)
def test_the_propeller_law_gives_the_powers_of_cycle_e3(speed: float, power: float, printed: float) -> None:
    """Printed: 75, 50 and 25 % of power at 91, 80 and 63 % of speed; the cubes are 0.7536, 0.5120, 0.2500."""
    found = power_law(np.array([3000.0 * speed]), 3000.0, 100e3, 3.0)
    assert found[0] / 100e3 == pytest.approx(power, abs=5e-5)
    assert found[0] / 100e3 == pytest.approx(printed, abs=0.0125)


def test_a_load_line_by_points_and_its_margin() -> None:
    """Between 30 kW at 2,000 and 50 kW at 3,000 rpm lie 40 kW at 2,500; 44 kW there leave a tenth over."""
    duty = Duty("pump", "load line", points=(LoadPoint(3000.0, 50e3), LoadPoint(2000.0, 30e3)))
    needed = needed_power(duty, np.array([2000.0, 2500.0, 3000.0]))
    assert needed.tolist() == pytest.approx([30e3, 40e3, 50e3])
    assert margin_of(np.array([33e3, 44e3, 45e3]), needed) == pytest.approx([0.1, 0.1, -0.1])


def test_torque_per_charge_density() -> None:
    """Pressure ratio 1.5, inlet 300 K, charge 360 K: density ratio 1.25, and 250 N m are 200 N m of it."""
    ratio = density_ratio(1.5, 300.0, 360.0)
    assert ratio == pytest.approx(1.25)
    assert torque_per_density(np.array([250.0]), np.array([ratio])) == pytest.approx([200.0])
