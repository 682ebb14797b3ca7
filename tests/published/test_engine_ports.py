"""Flow conversions and the trade's flow rules.

Birth certificates: factors to 28 inH2O printed in a trade table (second-hand) and computed from the square root; bench
speed COMPUTED with own code from Bernoulli's equation (107.63 m/s, 147.13 cfm for each in2); power ceiling from a trade
calculator page (second-hand) and speed of peak power (from memory), worked by hand for invented heads; the Mach index
worked by hand from its definition.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from fairpull import engine
from fairpull.engine.ports import bench_speed
from fairpull.terms.units import from_house, to_house


def water(inches: float) -> float:
    return to_house(inches, "inH2O", "Pa")


# printed factors, with the digits that were printed
PRINTED = [
    (3.0, "3.06"),
    (5.0, "2.37"),
    (7.0, "2.00"),
    (10.0, "1.673"),
    (12.0, "1.53"),
    (15.0, "1.37"),
    (20.0, "1.18"),
    (20.4, "1.172"),
    (25.0, "1.058"),
    (36.0, "0.882"),
    (40.8, "0.828"),
]


@pytest.mark.parametrize(("inches", "printed"), PRINTED)
def test_factors_to_28_inches_of_water(inches: float, printed: str) -> None:
    found = float(engine.flow_at_pressure_drop(1.0, water(inches), engine.BENCH_DEPRESSION))
    assert f"{found:.{len(printed.partition('.')[2])}f}" == printed


def test_factors_with_more_digits() -> None:
    # 10 to 28: 1.67332; 25 to 28: 1.05830
    assert round(float(engine.flow_at_pressure_drop(1.0, water(10.0), water(28.0))), 5) == 1.67332
    assert round(float(engine.flow_at_pressure_drop(1.0, water(25.0), water(28.0))), 5) == 1.05830


@pytest.mark.parametrize(("mercury", "printed"), [(1.5, 20.4), (3.0, 40.8)])
def test_carburettor_ratings_in_inches_of_water(mercury: float, printed: float) -> None:
    assert round(from_house(to_house(mercury, "inHg", "Pa"), "inH2O", "Pa"), 1) == printed


def test_a_two_barrel_rating_turned_into_a_four_barrel_one() -> None:
    # x 0.707; 468 cfm at 3.0 inHg is 331 cfm at 1.5 inHg
    found = float(engine.flow_at_pressure_drop(468.0, to_house(3.0, "inHg", "Pa"), engine.CARBURETTOR_DEPRESSION))
    assert round(found) == 331
    assert round(found / 468.0, 3) == 0.707


def test_an_injector_at_another_pressure() -> None:
    # 29 lb/h at 43.5 psi is 33.5 lb/h at 58 psi: x sqrt(4/3) = 1.1547
    assert round(float(engine.flow_at_pressure_drop(29.0, 43.5, 58.0)), 2) == 33.49


def test_bench_speed() -> None:
    # 101325 Pa, 293.15 K, 28 inH2O: 107.63 m/s, 147.13 cfm through each in2
    speed = float(bench_speed(engine.BENCH_DEPRESSION))
    assert round(speed, 2) == 107.63
    flow = speed * to_house(1.0, "in2", "m2")
    assert round(from_house(flow, "cfm", "m3/s"), 2) == 147.13
    assert float(engine.flow_coefficient(flow, to_house(2.0, "in2", "m2"), engine.BENCH_DEPRESSION)) == pytest.approx(
        0.5, rel=1e-12
    )


@pytest.mark.parametrize(("cfm", "cylinders", "hp"), [(141.0, 6, 217), (169.0, 4, 174), (250.0, 8, 514)])
def test_power_ceiling(cfm: float, cylinders: int, hp: int) -> None:
    # 0.257 x cfm x cylinders
    found = float(engine.power_ceiling(to_house(cfm, "cfm", "m3/s"), cylinders))
    assert round(from_house(found, "hp", "W")) == hp


def test_speed_of_peak_power() -> None:
    # 1196 x 141 / (219.4 / 6) = 4612, about 4600
    flow, cylinder = to_house(141.0, "cfm", "m3/s"), to_house(219.4 / 6.0, "in3", "m3")
    assert round(float(engine.rpm_of_peak_power(flow, cylinder))) == 4612


def test_the_most_flow_that_an_area_is_seen_to_pass() -> None:
    # 137 x 4.719474e-4 / 6.4516e-4 = 100.2 m/s; 146: 106.8
    found = [
        float(engine.flow_per_area(to_house(cfm, "cfm", "m3/s"), to_house(1.0, "in2", "m2"))) for cfm in (137.0, 146.0)
    ]
    assert [round(value, 1) for value in found] == [100.2, 106.8]


def test_exhaust_share() -> None:
    assert float(engine.exhaust_share(102.0, 137.0)) == pytest.approx(0.7445, abs=5e-5)


def test_flow_between_the_rows_and_beyond() -> None:
    lift, flow = np.array([0.1, 0.2, 0.3]), np.array([47.0, 88.0, 119.0])
    found = engine.flow_at_lift(np.array([0.0, 0.05, 0.15, 0.3, 0.4]), lift, flow)
    assert np.asarray(found) == pytest.approx([0.0, 23.5, 67.5, 119.0, 119.0])


def test_mean_flow_of_a_linear_head_is_half_its_best() -> None:
    # a half-cosine lift curve averages half the lift; flow in proportion to lift averages half the flow
    assert engine.mean_flow(np.array([0.0, 0.5]), np.array([0.0, 100.0]), 0.5) == pytest.approx(50.0, abs=1e-6)


def test_inlet_mach_index() -> None:
    # bore 100 mm, valve 50 mm: area ratio 4; 10 m/s mean piston speed, coefficient 0.4, 340 m/s: 4 x 10 / (0.4 x 340)
    rpm = 30.0 * 10.0 / 0.080
    found = float(engine.inlet_mach_index(0.100, 0.080, rpm, math.pi / 4.0 * 0.050**2, 0.4, 340.0))
    assert round(found, 4) == 0.2941
