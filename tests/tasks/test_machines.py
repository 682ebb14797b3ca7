"""What an engine file says about reading and cleaning, and that options go before it."""

from __future__ import annotations

from pathlib import Path

import pytest

from fairpull.logs import ReadOptions
from fairpull.pulls import PullOptions
from fairpull.tasks.machines import Machines
from tests.tasks.small import write_engine

DISPLACEMENT = 5.654866776e-3  # m3: 8 x pi/4 x 0.1^2 x 0.09


@pytest.fixture
def machines(tmp_path: Path) -> Machines:
    two = write_engine(tmp_path / "two.toml", strokes=2, inertia="0.3 kg m2")
    return Machines({"": write_engine(tmp_path / "all.toml"), "b": two})


def test_an_unnamed_engine_stands_for_every_other_group(machines: Machines) -> None:
    assert [machine.strokes for name in "ab" if (machine := machines.of(name))] == [4, 2]
    assert Machines({}).of("a") is None


def test_displacement_and_strokes_are_handed_to_reading(machines: Machines) -> None:
    asked = machines.for_reading("b", ReadOptions())
    assert asked.displacement == pytest.approx(DISPLACEMENT, rel=1e-9)
    assert asked.strokes == 2
    assert machines.for_reading("b", ReadOptions(displacement=1e-3)).displacement == 1e-3
    assert Machines({}).for_reading("b", ReadOptions()) == ReadOptions()


def test_inertia_is_handed_to_cleaning(machines: Machines) -> None:
    assert machines.for_cleaning("b", PullOptions()).inertia == 0.3
    assert machines.for_cleaning("a", PullOptions()).inertia is None
    assert machines.for_cleaning("b", PullOptions(inertia=0.1)).inertia == 0.1
