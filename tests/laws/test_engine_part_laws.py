"""Laws of the part formulas: round trips, unit invariance, scalar equals vector, limits."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fairpull import engine
from fairpull.terms.arrays import FloatArray, Number
from fairpull.terms.units import from_house, to_house

UNHURRIED = settings(deadline=None)
DURATIONS = st.floats(math.radians(150.0), math.radians(330.0))
CENTRES = st.floats(math.radians(95.0), math.radians(125.0))
PRESSURES = st.floats(100.0, 1e5)


@UNHURRIED
@given(duration=DURATIONS, centre=CENTRES)
def test_events_make_the_duration(duration: float, centre: float) -> None:
    opening = float(engine.opening_before_top(duration, centre))
    closing = float(engine.closing_after_bottom(duration, centre))
    assert opening + math.pi + closing == pytest.approx(duration, rel=1e-12)


@UNHURRIED
@given(centre=CENTRES, separation=CENTRES)
def test_separation_and_centreline_undo_each_other(centre: float, separation: float) -> None:
    other = engine.exhaust_centreline(separation, centre)
    assert float(engine.lobe_separation(centre, other)) == pytest.approx(separation, rel=1e-12)


@UNHURRIED
@given(duration=DURATIONS, exhaust=DURATIONS, separation=CENTRES, centre=CENTRES, turn=st.floats(-0.2, 0.2))
def test_advancing_a_camshaft_leaves_overlap_alone(
    duration: float, exhaust: float, separation: float, centre: float, turn: float
) -> None:
    def both(intake_centre: float) -> float:
        opening = engine.opening_before_top(duration, intake_centre)
        return float(
            engine.overlap(
                opening, engine.opening_before_top(exhaust, engine.exhaust_centreline(separation, intake_centre))
            )
        )

    assert both(centre + turn) == pytest.approx(both(centre), abs=1e-12)


@UNHURRIED
@given(flow=st.floats(1e-4, 1.0), one=PRESSURES, two=PRESSURES, three=PRESSURES)
def test_conversions_of_depression_chain(flow: float, one: float, two: float, three: float) -> None:
    direct = engine.flow_at_pressure_drop(flow, one, three)
    by_way = engine.flow_at_pressure_drop(engine.flow_at_pressure_drop(flow, one, two), two, three)
    assert float(by_way) == pytest.approx(float(direct), rel=1e-12)


@UNHURRIED
@given(
    stroke=st.floats(0.03, 0.3),
    ratio=st.floats(1.3, 3.0),
    compression=st.floats(6.0, 20.0),
    closing=st.floats(0.0, math.radians(90.0)),
)
def test_dynamic_ratio_lies_between_one_and_the_static(
    stroke: float, ratio: float, compression: float, closing: float
) -> None:
    rod = ratio * stroke
    found = float(engine.dynamic_compression_ratio(compression, stroke, rod, closing))
    assert 1.0 < found <= compression * (1.0 + 1e-12)
    later = float(engine.dynamic_compression_ratio(compression, stroke, rod, closing + 0.02))
    assert later < found


@UNHURRIED
@given(stroke=st.floats(0.03, 0.3), ratio=st.floats(0.8, 4.0), angle=st.floats(-math.pi, math.pi))
def test_piston_travel_matches_the_triangle(stroke: float, ratio: float, angle: float) -> None:
    # law of cosines: rod2 = crank2 + h2 - 2 crank h cos, h the pin's height above the crankshaft
    rod, crank = ratio * stroke, stroke / 2.0
    height = crank + rod - float(engine.piston_travel(stroke, rod, angle))
    assert crank**2 + height**2 - 2.0 * crank * height * math.cos(angle) == pytest.approx(rod**2, rel=1e-9)


@UNHURRIED
@given(rpm=st.floats(1500.0, 9000.0), opening=st.floats(0.3, 1.6), cylinder=st.floats(1e-4, 2e-3))
def test_pipe_rules_and_their_inverses(rpm: float, opening: float, cylinder: float) -> None:
    length = engine.header_length(rpm, opening)
    assert float(engine.rpm_of_header_length(length, opening)) == pytest.approx(rpm, rel=1e-9)
    assert float(engine.rpm_of_header_area(engine.header_area(rpm, cylinder), cylinder)) == pytest.approx(rpm, rel=1e-9)


@UNHURRIED
@given(cfm=st.floats(20.0, 500.0), cid=st.floats(10.0, 120.0))
def test_flow_rules_do_not_care_for_units(cfm: float, cid: float) -> None:
    flow, cylinder = to_house(cfm, "cfm", "m3/s"), to_house(cid, "in3", "m3")
    assert from_house(float(engine.power_ceiling(flow)), "hp", "W") == pytest.approx(0.257 * cfm, rel=1e-9)
    assert float(engine.rpm_of_peak_power(flow, cylinder)) == pytest.approx(1196.0 * cfm / cid, rel=1e-9)


X = np.array([0.9, 1.1, 1.3])
LIFTS, FLOWS = np.array([0.5, 1.0, 2.0]), np.array([1.0, 3.0, 4.0])
FORMULAS: dict[str, Callable[[Number], Number]] = {
    "opening_before_top": lambda x: engine.opening_before_top(x, 0.3),
    "closing_after_bottom": lambda x: engine.closing_after_bottom(x, 0.3),
    "overlap": lambda x: engine.overlap(x, 0.3),
    "exhaust_centreline": lambda x: engine.exhaust_centreline(x, 0.3),
    "lobe_separation": lambda x: engine.lobe_separation(x, 0.3),
    "installed_advance": lambda x: engine.installed_advance(x, 0.3),
    "valve_lift": lambda x: engine.valve_lift(x, 1.5),
    "net_lift": lambda x: engine.net_lift(x, 0.3),
    "lift_over_diameter": lambda x: engine.lift_over_diameter(0.3, x),
    "curtain_area": lambda x: engine.curtain_area(x, 0.3),
    "flow_at_pressure_drop": lambda x: engine.flow_at_pressure_drop(0.3, x, 2.0),
    "flow_at_lift": lambda x: engine.flow_at_lift(x, LIFTS, FLOWS),
    "flow_per_area": lambda x: engine.flow_per_area(0.3, x),
    "exhaust_share": lambda x: engine.exhaust_share(x, 0.3),
    "power_ceiling": lambda x: engine.power_ceiling(x, 4),
    "rpm_of_peak_power": lambda x: engine.rpm_of_peak_power(0.3, x),
    "flow_coefficient": lambda x: engine.flow_coefficient(0.3, 0.2, x),
    "inlet_mach_index": lambda x: engine.inlet_mach_index(0.1, 0.1, x, 0.001, 0.4),
    "piston_travel": lambda x: engine.piston_travel(0.1, 0.16, x),
    "effective_stroke": lambda x: engine.effective_stroke(0.1, 0.16, x),
    "dynamic_compression_ratio": lambda x: engine.dynamic_compression_ratio(9.4, 0.1, 0.16, x),
    "header_length": lambda x: engine.header_length(x, 1.0),
    "rpm_of_header_length": lambda x: engine.rpm_of_header_length(x, 1.0),
    "header_area": lambda x: engine.header_area(x, 0.3),
    "rpm_of_header_area": lambda x: engine.rpm_of_header_area(x, 0.3),
    "rpm_of_runner_length": lambda x: engine.rpm_of_runner_length(x),
    "pipe_area": lambda x: engine.pipe_area(x, 0.1),
    "pulley_ratio": lambda x: engine.pulley_ratio(x, 0.3),
    "compressor_speed": lambda x: engine.compressor_speed(x, 2.0, 4.0),
    "tip_speed": lambda x: engine.tip_speed(0.1, x),
    "boost_after_pulley_change": lambda x: engine.boost_after_pulley_change(0.5, 2.0, x),
    "delivery_ratio": lambda x: engine.delivery_ratio(0.001, x, 0.002),
    "power_of_injectors": lambda x: engine.power_of_injectors(0.3, 4, 0.85, x),
    "spring_rate": lambda x: engine.spring_rate(1.0, 2.0, x),
    "spring_load": lambda x: engine.spring_load(1.0, x, 0.3),
    "coil_bind_margin": lambda x: engine.coil_bind_margin(x, 0.1, 0.2),
    "rod_ratio": lambda x: engine.rod_ratio(x, 0.3),
}


@pytest.mark.parametrize("name", FORMULAS)
def test_scalar_equals_vector(name: str) -> None:
    formula = FORMULAS[name]
    whole: FloatArray = np.asarray(formula(X), dtype=np.float64)
    assert whole.shape == X.shape
    for place, value in enumerate(X.tolist()):
        assert float(formula(value)) == pytest.approx(whole[place], rel=1e-13, abs=1e-15)
