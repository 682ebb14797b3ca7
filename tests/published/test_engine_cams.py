"""Valve events and lifts against hand-worked cards.

Birth certificate: the angles' definitions (common practice, no source), worked by hand for three invented cards. The
events and overlaps are whole degrees, so every digit counts.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from fairpull import engine
from fairpull.terms.units import from_house, to_house

DEGREE = math.pi / 180.0

# advertised intake, exhaust, lobe separation, intake centreline -> IVO, IVC, EVO, EVC, overlap, by hand
CARDS = [
    (260.0, 266.0, 112.0, 108.0, (22.0, 58.0, 69.0, 17.0, 39.0)),
    (274.0, 280.0, 110.0, 106.0, (31.0, 63.0, 74.0, 26.0, 57.0)),
    (244.0, 240.0, 112.0, 110.0, (12.0, 52.0, 54.0, 6.0, 18.0)),
    (204.0, 210.0, 112.0, 108.0, (-6.0, 30.0, 41.0, -11.0, -17.0)),
]


@pytest.mark.parametrize(("intake", "exhaust", "separation", "centreline", "wanted"), CARDS)
def test_valve_events(
    intake: float, exhaust: float, separation: float, centreline: float, wanted: tuple[float, ...]
) -> None:
    centre = centreline * DEGREE
    other = float(engine.exhaust_centreline(separation * DEGREE, centre))
    opening = float(engine.opening_before_top(intake * DEGREE, centre))
    shut = float(engine.closing_after_bottom(intake * DEGREE, centre))
    exhaust_opening = float(engine.closing_after_bottom(exhaust * DEGREE, other))
    exhaust_shut = float(engine.opening_before_top(exhaust * DEGREE, other))
    both = float(engine.overlap(opening, exhaust_shut))
    found = [value / DEGREE for value in (opening, shut, exhaust_opening, exhaust_shut, both)]
    assert found == pytest.approx(list(wanted), abs=1e-9)


def test_centrelines_and_separation() -> None:
    # 2 x 112 - 108 = 116; (108 + 116) / 2 = 112; in 4 degrees ahead of straight up
    assert float(engine.exhaust_centreline(112.0, 108.0)) == 116.0
    assert float(engine.lobe_separation(108.0, 116.0)) == 112.0
    assert float(engine.installed_advance(112.0, 108.0)) == 4.0


def test_lift_at_the_valve() -> None:
    # 0.300 in x 1.5 = 0.450 in, less 0.016 in of lash = 0.434 in; over a valve of 1.736 in: 0.25
    lift = float(engine.valve_lift(to_house(0.300, "in", "m"), 1.5))
    net = float(engine.net_lift(lift, to_house(0.016, "in", "m")))
    assert from_house(net, "in", "m") == pytest.approx(0.434, abs=1e-12)
    assert float(engine.lift_over_diameter(net, to_house(1.736, "in", "m"))) == pytest.approx(0.25, abs=1e-12)


def test_the_curtain_is_as_wide_as_the_valve_at_a_quarter() -> None:
    # pi d x d/4 = pi/4 d2
    assert float(engine.curtain_area(0.040, 0.010)) == pytest.approx(math.pi / 4.0 * 0.040**2, rel=1e-14)


def test_duration_off_a_lift_table() -> None:
    # a triangle of 0.300 in and 130 deg a side: 0.050 in is passed 130 x (1 - 1/6) = 108.333 deg off the nose
    angle = np.array([-130.0, 0.0, 130.0]) * DEGREE
    lift = np.array([0.0, 0.300, 0.0])
    assert engine.duration_at(angle, lift, 0.050) / DEGREE == pytest.approx(216.667, abs=5e-4)
    assert math.isnan(engine.duration_at(angle, lift + 0.1, 0.050))
    assert math.isnan(engine.duration_at(angle, lift, 0.301))


def test_an_unsymmetrical_lobe_is_read_on_both_sides() -> None:
    # 0.1 in is passed at -100 + 50 = -50 deg and at 60 x 2/3 = 40 deg
    angle, lift = np.array([-100.0, 0.0, 60.0]), np.array([0.0, 0.2, 0.05])
    assert engine.duration_at(angle, lift, 0.1) == pytest.approx(50.0 + 40.0)
