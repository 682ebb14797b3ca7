"""Published duty cycles: their points, weights and the load curves behind them.

Birth certificates: 40 CFR part 1042 appendix II (a)(1) (E3), part 1045 appendix II (a) (E4), part 1039 appendix II
(a)(1) (D2), (b)(1) (G2) and (c)(1), formerly appendix IV (a) (C1): READ in public reproductions of the regulation, so
second-hand. That E3's powers are speed cubed and E4's torques speed to 1.5: computed by hand.
"""

from __future__ import annotations

import pytest

from fairpull.compare.purpose import CYCLES, cycle_duty
from fairpull.terms.errors import UnknownName, ValueRefused
from fairpull.terms.sources import SOURCES

PRINTED: dict[str, list[tuple[float | None, float, float]]] = {  # speed %, load %, weight
    "E3": [(100, 100, 0.2), (91, 75, 0.5), (80, 50, 0.15), (63, 25, 0.15)],
    "E4": [(100, 100, 0.06), (80, 71.6, 0.14), (60, 46.5, 0.15), (40, 25.3, 0.25), (None, 0, 0.40)],
    "D2": [(100, 100, 0.05), (100, 75, 0.25), (100, 50, 0.30), (100, 25, 0.30), (100, 10, 0.10)],
    "G2": [(100, 100, 0.09), (100, 75, 0.20), (100, 50, 0.29), (100, 25, 0.30), (100, 10, 0.07), (None, 0, 0.05)],
    "C1": [
        (100, 100, 0.15),
        (100, 75, 0.15),
        (100, 50, 0.15),
        (100, 10, 0.10),
        (100, 100, 0.10),
        (100, 75, 0.10),
        (100, 50, 0.10),
        (None, 0, 0.15),
    ],
}


@pytest.mark.parametrize("key", PRINTED)
def test_points_are_those_printed(key: str) -> None:
    seen = [
        (
            None if point.speed is None else round(100 * point.speed, 6),
            round(100 * (point.power if point.power is not None else point.torque or 0.0), 6),
            point.weight,
        )
        for point in CYCLES[key].points
    ]
    assert seen == PRINTED[key]


@pytest.mark.parametrize("key", PRINTED)
def test_weights_add_up_to_one(key: str) -> None:
    assert sum(point.weight for point in CYCLES[key].points) == pytest.approx(1.0, abs=1e-12)
    assert SOURCES[CYCLES[key].source].status == "second-hand"


def test_every_published_cycle_is_checked() -> None:
    assert set(CYCLES) == set(PRINTED)


def test_e3_powers_are_the_cube_of_speed() -> None:
    for point in CYCLES["E3"].points:
        assert point.speed is not None
        assert point.power == pytest.approx(point.speed**3, abs=0.015)  # 91 % cubed is 75.4 %, 80 % 51.2 %


def test_e4_torques_are_speed_to_one_and_a_half() -> None:
    for point in CYCLES["E4"].points[:-1]:
        assert point.speed is not None
        assert point.torque == pytest.approx(point.speed**1.5, abs=0.0006)


def test_loads_of_a_rating() -> None:
    duty = cycle_duty("E4", 5000.0, 100e3)
    assert [point.rpm for point in duty.points] == pytest.approx([5000.0, 4000.0, 3000.0, 2000.0, 0.0])
    assert [point.power for point in duty.points] == pytest.approx([100e3, 57.28e3, 27.9e3, 10.12e3, 0.0])
    c1 = cycle_duty("C1", 2200.0, 100e3, intermediate_rpm=1400.0, intermediate_power=80e3)
    assert [point.rpm for point in c1.points[3:5]] == [2200.0, 1400.0]
    assert [point.power for point in c1.points[3:7]] == pytest.approx([10e3, 80e3, 60e3, 40e3])
    assert c1.source == "40cfr1039"


def test_a_cycle_needs_its_rating() -> None:
    with pytest.raises(ValueRefused) as refusal:
        cycle_duty("C1", 0.0, 100e3, intermediate_rpm=1400.0)
    assert [fault.code for fault in refusal.value.faults] == ["duty-rating", "duty-rating"]
    with pytest.raises(UnknownName):
        cycle_duty("E9", 2200.0, 100e3)
