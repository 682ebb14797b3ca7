"""Piston travel and compression from intake closing.

Birth certificates: slider-crank table COMPUTED BY HAND (bore 86, stroke 86, rod 143 mm, compression ratio 10.5;
Heywood's volume equation), printed to six decimals; dynamic compression ratios worked by hand from the definition
1 + effective stroke / (stroke / (CR - 1)) (common practice, no source) for three invented engines.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from fairpull import engine
from fairpull.terms.units import to_house

DEGREE = math.pi / 180.0

TABLE = [
    (10.0, 0.84834, 1.093712),
    (30.0, 7.38640, 1.815940),
    (45.0, 15.86431, 2.752453),
    (60.0, 26.43389, 3.920023),
    (90.0, 49.61818, 6.481078),
    (120.0, 69.43389, 8.670023),
    (150.0, 81.86459, 10.043181),
    (180.0, 86.00000, 10.500000),
]


@pytest.mark.parametrize(("degrees", "travel", "ratio"), TABLE)
def test_slider_crank_table(degrees: float, travel: float, ratio: float) -> None:
    found = float(engine.piston_travel(0.086, 0.143, degrees * DEGREE))
    assert round(found * 1e3, 5) == travel
    assert float(engine.piston_travel(0.086, 0.143, -degrees * DEGREE)) == pytest.approx(found, rel=1e-14)
    # the valve closes where the piston stands: what is left above it over the clearance is the dynamic ratio
    closing = (180.0 - degrees) * DEGREE
    assert round(float(engine.dynamic_compression_ratio(10.5, 0.086, 0.143, closing)), 6) == ratio


@pytest.mark.parametrize(("rods", "wanted"), [(3.5, 0.572949), (4.0, 0.563508)])
def test_closed_form_at_ninety_degrees(rods: float, wanted: float) -> None:
    # travel / stroke = (1 + n - sqrt(n2 - 1)) / 2, n the rod over the crank
    found = float(engine.piston_travel(2.0, rods, math.pi / 2.0)) / 2.0
    assert round(found, 6) == wanted


# stroke, rod [in], compression ratio, intake closing ABDC at the seat -> printed dynamic ratio
ENGINES = [
    (3.900, 6.125, 9.4, 58.0, "7.9"),
    (3.900, 6.125, 9.4, 63.0, "7.65"),
    (3.465, 5.512, 9.0, 52.0, "7.9"),
]


@pytest.mark.parametrize(("stroke", "rod", "ratio", "closing", "printed"), ENGINES)
def test_dynamic_compression_ratio(stroke: float, rod: float, ratio: float, closing: float, printed: str) -> None:
    lengths = to_house(np.array([stroke, rod]), "in", "m")
    found = float(engine.dynamic_compression_ratio(ratio, lengths[0], lengths[1], closing * DEGREE))
    assert f"{found:.{len(printed.partition('.')[2])}f}" == printed


def test_a_valve_that_shuts_at_bottom_centre_leaves_the_whole_ratio() -> None:
    assert float(engine.dynamic_compression_ratio(9.4, 0.1, 0.16, 0.0)) == pytest.approx(9.4, rel=1e-14)
    assert float(engine.effective_stroke(0.1, 0.16, 0.0)) == pytest.approx(0.1, rel=1e-14)


def test_rod_ratio() -> None:
    # 6.125 / 3.900 = 1.57; 5.512 / 3.465 = 1.59
    assert round(float(engine.rod_ratio(6.125, 3.900)), 2) == 1.57
    assert round(float(engine.rod_ratio(5.512, 3.465)), 2) == 1.59
