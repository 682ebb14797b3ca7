"""An engine's sheet against sums by hand.

Birth certificate: definitions (common practice, no source), worked by hand for an invented engine of 80 x 100 mm with a
rod of 160 mm and four cylinders, and for a chamber that makes exactly 11:1. Classes of piston speed: limits of 2,500
and 4,000 ft/min and 25 m/s from trade pages (no source).
"""

from __future__ import annotations

import math

import pytest

from fairpull.engine.engine_facts import engine_facts, piston_speed_class, stroke_over_bore
from fairpull.terms.build import Fact
from fairpull.terms.engine import Engine
from fairpull.terms.sources import SOURCES

BARE = Engine("by hand", 0.080, 0.100, 4, rod=0.160)


def by_name(facts: list[Fact]) -> dict[str, Fact]:
    return {one.name: one for one in facts}


def test_sizes_by_hand() -> None:
    found = by_name(engine_facts(BARE, 11.0, (("peak power", 6000.0),)))
    # pi / 4 x 0.08^2 x 0.1 = 5.026548e-4 m3 a cylinder
    assert found["displacement of one cylinder"].value == pytest.approx(5.026548e-4, rel=1e-6)
    assert found["displacement"].value == pytest.approx(2.0106193e-3, rel=1e-6)
    assert found["clearance volume of one cylinder"].value == pytest.approx(5.026548e-5, rel=1e-6)
    assert found["stroke over bore"].value == pytest.approx(1.25)
    assert found["rod ratio"].value == pytest.approx(1.6)
    assert found["piston area"].value == pytest.approx(5.026548e-3, rel=1e-6)
    # 2 x 0.1 m x 6000 / 60 = 20 m/s; 20.32 m/s x 60 / 0.2 m = 6096 rpm
    assert found["mean piston speed at peak power"].value == pytest.approx(20.0)
    assert found["speed at 4000 ft/min mean piston speed"].value == pytest.approx(6096.0)
    assert found["its class at peak power"].value == "as in production engines"


def test_every_fact_names_formula_and_source() -> None:
    for fact in engine_facts(BARE, 11.0, (("peak power", 6000.0),)):
        how, _, source = fact.how.partition("; source: ")
        assert how
        assert source in SOURCES, fact


@pytest.mark.parametrize(
    ("speed", "said"),
    [(12.7, "low"), (12.71, "as in production"), (20.32, "as in production"), (20.4, "high"), (25.1, "very high")],
)
def test_classes_change_at_their_limits(speed: float, said: str) -> None:
    assert piston_speed_class(speed).startswith(said)


def test_what_is_not_known_is_left_out() -> None:
    stated = Engine("stated", math.nan, math.nan, 0, displacement=2.0e-3)
    assert engine_facts(stated, None, (("peak power", 6000.0),)) == []


def test_square_engine() -> None:
    assert stroke_over_bore(0.09, 0.09) == 1.0
