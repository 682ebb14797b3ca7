"""Engine formulas against worked figures and exact unit constants.

Birth certificate: definitions; figures worked by hand with exact unit definitions; unit constants NIST SP 811
Appendix B, second-hand. One worked engine of a thermodynamics textbook (example 13.15), second-hand.
"""

from __future__ import annotations

import math

import pytest

from fairpull import engine
from fairpull.terms.units import from_house, to_house

LITRE = 1e-3


def test_bmep_of_a_two_litre_engine() -> None:
    assert round(float(engine.bmep(200.0, 2.0 * LITRE)) / 1000.0, 2) == 1256.64
    assert float(engine.bmep(200.0, 2.0 * LITRE)) == pytest.approx(4.0 * math.pi * 200.0 / 0.002, rel=1e-15)
    assert float(engine.bmep(200.0, 2.0 * LITRE, 2)) == pytest.approx(2.0 * math.pi * 200.0 / 0.002, rel=1e-15)


def test_bmep_in_the_units_of_the_trade() -> None:
    # 250 lb-ft from 350 in3: 107.712 psi, 150.7964 T/Vd (150.8 in the trade)
    found = engine.bmep(to_house(250.0, "lb-ft", "N m"), to_house(350.0, "in3", "m3"))
    assert round(from_house(float(found), "psi", "Pa"), 3) == 107.712
    one = engine.bmep(to_house(1.0, "lb-ft", "N m"), to_house(1.0, "in3", "m3"))
    assert round(from_house(float(one), "psi", "Pa"), 4) == 150.7964


def test_power_of_200_newton_metres_at_6000() -> None:
    power = float(engine.power_from_torque(200.0, 6000.0))
    assert round(power / 1000.0, 3) == 125.664
    assert round(from_house(power, "hp", "W"), 3) == 168.518


@pytest.mark.parametrize(
    ("torque_unit", "power_unit", "rpm", "digits"),
    [
        ("lb-ft", "hp", 5252.113122, 6),
        ("N m", "kW", 9549.296586, 6),
        ("N m", "PS", 7023.4957, 4),
        ("N m", "hp", 7120.9092, 4),
    ],
)
def test_curves_cross_where_they_must(torque_unit: str, power_unit: str, rpm: float, digits: int) -> None:
    # 33000/(2 pi) and its kin: one unit of torque makes one unit of power there
    power = engine.power_from_torque(to_house(1.0, torque_unit, "N m"), rpm)
    assert from_house(float(power), power_unit, "W") == pytest.approx(1.0, abs=10.0**-digits / 5000.0)


def test_volumetric_efficiency() -> None:
    # 100 g/s, 2.0 l, 6000 rpm, 1.18415 kg/m3: 0.84449
    assert round(float(engine.volumetric_efficiency(0.1, 2.0 * LITRE, 6000.0, 1.18415)), 5) == 0.84449


def test_swept_flow_of_350_cubic_inches() -> None:
    # 607.64 cfm at 6000 rpm; the trade's CID x N / 3456
    flow = float(engine.swept_flow(to_house(350.0, "in3", "m3"), 6000.0))
    assert round(from_house(flow, "cfm", "m3/s"), 2) == 607.64
    assert from_house(flow, "cfm", "m3/s") == pytest.approx(350.0 * 6000.0 / 3456.0, rel=1e-12)


def test_thermal_efficiency() -> None:
    # 240 g/kWh at 44.3 MJ/kg: 33.860 %
    found = engine.thermal_efficiency(to_house(240.0, "g/kWh", "kg/J"), 44.3e6)
    assert round(100.0 * float(found), 3) == 33.860


def test_thermal_efficiency_in_the_units_of_the_trade() -> None:
    # 2545/(BSFC x LHV): 0.45 lb/(hp h) at 18700 Btu/lb is about 30 %
    specific = to_house(0.45, "lb/hp h", "kg/J")
    found = float(engine.thermal_efficiency(specific, to_house(18700.0, "Btu/lb", "J/kg")))
    assert found == pytest.approx(2545.0 / (0.45 * 18700.0), rel=1e-3)
    assert round(100.0 * found) == 30


def test_specific_consumption_units() -> None:
    # 0.45 lb/(hp h) = 273.725 g/kWh; 1 lb/(hp h) = 608.27739 g/kWh
    assert round(from_house(to_house(0.45, "lb/hp h", "kg/J"), "g/kWh", "kg/J"), 3) == 273.725
    fuel, power = to_house(45.0, "lb/h", "kg/s"), to_house(100.0, "hp", "W")
    assert round(from_house(float(engine.bsfc(fuel, power)), "g/kWh", "kg/J"), 3) == 273.725


def test_inertia_run() -> None:
    # J 1.2 kg m2, 1000 to 2000 rpm in 3.000 s: 34.9066 rad/s2, 41.8879 N m
    assert round(float(engine.inertia_torque(1.0, 1000.0 / 3.0)), 4) == 34.9066
    assert round(float(engine.inertia_torque(1.2, 1000.0 / 3.0)), 4) == 41.8879


def test_mean_piston_speed() -> None:
    # bore 86, stroke 86 mm, 6000 rpm: 17.200 m/s; rpm x stroke in inches / 6 in ft/min
    assert round(float(engine.mean_piston_speed(0.086, 6000.0)), 3) == 17.200
    found = from_house(float(engine.mean_piston_speed(to_house(3.48, "in", "m"), 5000.0)), "ft/min", "m/s")
    assert found == pytest.approx(2900.0, rel=1e-12)


def test_geometry_of_an_86_by_86_cylinder() -> None:
    # swept 499.557 cm3, clearance 52.585 cm3 at a compression ratio of 10.5
    swept = float(engine.bore_volume(0.086, 0.086))
    assert round(swept * 1e6, 3) == 499.557
    clearance = swept / 9.5
    assert round(clearance * 1e6, 3) == 52.585
    assert float(engine.compression_ratio(swept, clearance)) == pytest.approx(10.5, rel=1e-12)


def test_a_textbook_engine() -> None:
    # example 13.15, second-hand: 260 in3, 4000 rpm, A/F 16, 20000 Btu/lb, 85 hp brake, 8 psia, 60 degrees F, CR 9:
    # ideal efficiency 58.5 %, indicated 242.7 hp, mechanical 35.0 %, overall 20.5 %
    ideal = 1.0 - 9.0**-0.4
    assert round(100.0 * ideal, 1) == 58.5
    density = to_house(8.0 * 144.0 / (53.3 * 520.0), "lb/ft3", "kg/m3")
    # the ideal cycle fills the whole cylinder, clearance and all
    cylinder = to_house(260.0, "in3", "m3") * 9.0 / 8.0
    fuel = float(engine.swept_flow(cylinder, 4000.0)) * density / 16.0
    heat, brake = to_house(20000.0, "Btu/lb", "J/kg"), to_house(85.0, "hp", "W")
    overall = float(engine.thermal_efficiency(engine.bsfc(fuel, brake), heat))
    assert round(100.0 * overall, 1) == 20.5
    assert 100.0 * overall / ideal == pytest.approx(35.0, abs=0.1)  # the book rounds on the way
    assert from_house(fuel * heat * ideal, "hp", "W") == pytest.approx(242.7, abs=0.3)
