"""The trade's rules for pipes, drives, injectors and springs.

Birth certificates: header length from a calculator page crediting Bell and header area from a trade magazine
(second-hand), runner length from calculator pages (second-hand); figures worked by hand. Tip speed of a 3.5 in wheel at
60,000 rpm is printed as 916 ft/s (calculated). The rest is worked by hand from definitions.
"""

from __future__ import annotations

import math

import pytest

from fairpull import engine
from fairpull.terms.units import from_house, to_house

DEGREE = math.pi / 180.0


def inches(metres: object) -> float:
    return from_house(float(str(metres)), "in", "m")


@pytest.mark.parametrize(("rpm", "printed"), [(4000.0, 47.6), (4400.0, 43.0)])
def test_header_length(rpm: float, printed: float) -> None:
    # 850 x (180 + 58) / rpm - 3
    length = engine.header_length(rpm, 58.0 * DEGREE)
    assert round(inches(length), 1) == printed
    assert float(engine.rpm_of_header_length(length, 58.0 * DEGREE)) == pytest.approx(rpm, rel=1e-12)


def test_header_area() -> None:
    # 4400 rpm x 40 in3 / 88200 = 1.9955 in2
    area = float(engine.header_area(4400.0, to_house(40.0, "in3", "m3")))
    assert round(from_house(area, "in2", "m2"), 4) == 1.9955
    assert float(engine.rpm_of_header_area(area, to_house(40.0, "in3", "m3"))) == pytest.approx(4400.0, rel=1e-12)


def test_runner_length() -> None:
    # 30 x 360 / (0.5 x 4) = 5400 rpm
    assert float(engine.rpm_of_runner_length(0.5, 4.0, 360.0)) == 5400.0


def test_pipe_area() -> None:
    # outside 1.5 in, wall 0.065 in: pi/4 x 1.37 squared = 1.4741 in2
    area = engine.pipe_area(to_house(1.5, "in", "m"), to_house(0.065, "in", "m"))
    assert round(from_house(float(area), "in2", "m2"), 4) == 1.4741


def test_a_driven_compressor() -> None:
    # 6 in on 3 in: 2:1; inside 4:1; at 6000 rpm 48000; 3.5 in at 60000 rpm: 916 ft/s
    assert float(engine.pulley_ratio(6.0, 3.0)) == 2.0
    assert float(engine.compressor_speed(6000.0, 2.0, 4.0)) == 48_000.0
    speed = float(engine.tip_speed(to_house(3.5, "in", "m"), 60_000.0))
    assert round(from_house(speed, "ft/s", "m/s")) == 916


def test_boost_goes_with_the_square_of_the_drive() -> None:
    # 10 % faster: 8 psi becomes 9.68
    assert float(engine.boost_after_pulley_change(8.0, 2.0, 2.2)) == pytest.approx(9.68, abs=1e-12)


def test_delivery_of_a_screw() -> None:
    # 1.0 L x 2 a turn against 2.0 L every second turn: 2.0; a two-stroke fills at every turn: 1.0
    assert float(engine.delivery_ratio(1e-3, 2.0, 2e-3)) == pytest.approx(2.0, rel=1e-14)
    assert float(engine.delivery_ratio(1e-3, 2.0, 2e-3, 2)) == pytest.approx(1.0, rel=1e-14)


def test_power_that_injectors_can_feed() -> None:
    # 4 x 29 lb/h x 0.85 / 0.50 lb/(hp h) = 197.2 hp
    flow, specific = to_house(29.0, "lb/h", "kg/s"), to_house(0.50, "lb/hp h", "kg/J")
    assert round(from_house(float(engine.power_of_injectors(flow, 4, 0.85, specific)), "hp", "W"), 1) == 197.2


def test_valve_springs() -> None:
    # 110 lb at 1.700 in and 260 lb at 1.250 in: 333.33 lb/in; 0.480 in of lift: 270 lb; coils touch at 1.100 in: 0.120
    rate = float(engine.spring_rate(110.0, 260.0, 0.450))
    assert round(rate, 2) == 333.33
    assert float(engine.spring_load(110.0, rate, 0.480)) == pytest.approx(270.0, abs=1e-9)
    assert float(engine.coil_bind_margin(1.700, 0.480, 1.100)) == pytest.approx(0.120, abs=1e-12)
