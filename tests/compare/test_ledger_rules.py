"""Rules of the ledger: signs, limits, symmetry and the sizes that the trade writes down."""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest

from fairpull.compare.ledger import rules
from fairpull.compare.ledger.rules import Reach

CASES: tuple[tuple[Callable[[], Reach], int], ...] = (
    (lambda: rules.pressure_effect(100_000.0, 99_000.0), -1),
    (lambda: rules.temperature_effect(295.0, 300.0), -1),
    (lambda: rules.vapour_effect(100_000.0, 1000.0, 2000.0), -1),
    (lambda: rules.heat_soak_effect(10.0), -1),
    (lambda: rules.oil_effect(10.0), 1),
    (lambda: rules.coolant_effect(10.0), -1),
    (lambda: rules.charge_temperature_effect(330.0, 350.0), -1),
    (lambda: rules.boost_effect(1.1), 1),
    (lambda: rules.boost_pressure_effect(1.1), 1),
    (lambda: rules.hidden_torque_effect(5.0, 10.0, 300.0), -1),
    (lambda: rules.unknown_inertia_effect(200.0, 400.0, 300.0), -1),
    (lambda: rules.running_in_effect(1.0, 8.0), 1),
    (lambda: rules.zero_effect(0.0, 5.0, 300.0), 1),
    (lambda: rules.accessory_effect((0.0, 0.0, 0.0), (6e3, 5e3, 7e3), 1e5), -1),
    (lambda: rules.fuel_effect((43.5e6, 14.6), (29.2e6, 9.8)), 1),
    (lambda: rules.correction_effect(1.0, 1.02), 0),
    (lambda: rules.corrected_rate_effect(5.0, 10.0, 300.0), 0),
    (lambda: rules.order_effect(4.0), 0),
    (lambda: rules.day_effect(), 0),
    (lambda: rules.calibration_effect(), 0),
    (lambda: rules.mixture_effect(0.02), 0),
    (lambda: rules.spark_effect(math.radians(3.0)), 0),
)


@pytest.mark.parametrize("number", range(len(CASES)))
def test_every_rule_has_its_sign_and_a_range_about_its_value(number: int) -> None:
    rule, sign = CASES[number]
    value, low, high = rule()
    assert low <= value <= high
    assert low < high
    assert (value > 0) - (value < 0) == sign


@pytest.mark.parametrize(
    "rule",
    [
        lambda: rules.pressure_effect(1e5, 1e5),
        lambda: rules.temperature_effect(295.0, 295.0),
        lambda: rules.correction_effect(1.01, 1.01),
        lambda: rules.heat_soak_effect(0.0),
        lambda: rules.oil_effect(0.0),
        lambda: rules.boost_effect(1.0),
        lambda: rules.hidden_torque_effect(5.0, 5.0, 300.0),
        lambda: rules.mixture_effect(0.0),
        lambda: rules.spark_effect(0.0),
    ],
)
def test_no_difference_has_no_effect(rule: Callable[[], Reach]) -> None:
    assert rule() == (0.0, 0.0, 0.0)


@pytest.mark.parametrize(
    "rule",
    [rules.pressure_effect, rules.temperature_effect, rules.charge_temperature_effect, rules.running_in_effect],
)
def test_turned_round_the_value_turns_its_sign(rule: Callable[[float, float], Reach]) -> None:
    there, back = rule(5.0, 5.05)[0], rule(5.05, 5.0)[0]
    assert (1.0 + there) * (1.0 + back) == pytest.approx(1.0, abs=1e-6)


def test_heat_soak_of_the_trade_lies_inside() -> None:
    # a pull of the invented day: 10.6 K hotter, 2.3 % lost after correction, was worse than what the rule allows for
    # the inlet air by itself; its oil was 18 K hotter too, and the two together reach it
    inlet, oil = rules.heat_soak_effect(10.6), rules.oil_effect(18.0)
    assert inlet[1] == pytest.approx(-0.019, abs=0.001)
    assert inlet[1] + oil[1] < -0.023


def test_a_day_apart_is_the_trades_day() -> None:
    assert rules.order_effect(8.0) == (0.0, -0.015, 0.015)
    assert rules.order_effect(None) == rules.order_effect(80.0)
    assert rules.order_effect(0.1) == (0.0, -0.003, 0.003)


def test_boost_rule_holds_the_trades_gain_for_each_psi() -> None:
    # "boost +1 psi: +5 (4 to 8) %": 1 psi on 14.7 with a compressor of 70 % is 4.0 % of density; with a cooler 6.8 %
    density = (15.7 / 14.7) / (1.0 + ((15.7 / 14.7) ** 0.2857 - 1.0) / 0.7)
    value, low, high = rules.boost_effect(density)
    assert low < 0.04 < value < 0.05 < high
    assert rules.boost_effect(15.7 / 14.7)[0] == pytest.approx(0.075, abs=0.001)


def test_e85_is_worth_what_the_trade_says() -> None:
    value, low, high = rules.fuel_effect((43.5e6, 14.6), (29.2e6, 9.8))
    assert value == pytest.approx(0.03, abs=0.002)  # "+3 (0 to 9) %"
    assert low == pytest.approx(-0.01, abs=0.002)
    assert high == pytest.approx(0.10, abs=0.002)


def test_jets_within_the_flat_top_cost_less_than_one_per_cent() -> None:
    assert rules.mixture_effect(0.029)[2] < 0.01
    assert rules.mixture_effect(1.0) == (0.0, -0.03, 0.03)


def test_spark_by_degrees() -> None:
    assert rules.spark_effect(math.radians(4.5))[2] == pytest.approx(0.01, rel=1e-9)
    assert 0.04 <= rules.spark_effect(math.radians(10.0))[2] <= 0.05


def test_zero_is_a_constant_torque() -> None:
    # +3.9 lb-ft on 223.8: 1.74 %
    assert rules.zero_effect(0.0, 3.9, 223.8)[0] == pytest.approx(0.0174, abs=5e-5)
