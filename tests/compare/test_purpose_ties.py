"""How ties are grouped, also where being a tie does not carry over."""

from __future__ import annotations

import numpy as np
import pytest

from fairpull.compare.purpose.lines import widest_met
from fairpull.compare.purpose.shaft import ShaftCurve, covered, middles, torque_at, untested
from fairpull.compare.purpose.tally import Tally
from fairpull.compare.purpose.ties import overlaps, pair_up, tie_groups


def tallies(unit: str = "W", **means: float) -> dict[str, Tally]:
    """Independent scores with a standard error of 1."""
    drawn = {name: np.random.default_rng(n).standard_normal(4000) for n, name in enumerate(means)}
    return {name: Tally(mean, mean + drawn[name], unit, "") for name, mean in means.items()}


def test_a_tie_does_not_carry_over() -> None:
    """Differences of two scores have a standard error of 1.41, so 2.77 is the reach of a tie."""
    differences = pair_up(tallies(a=104.0, b=102.0, c=100.0), 0.0)
    assert [(one.build, one.other, one.tie) for one in differences] == [
        ("a", "b", True),
        ("a", "c", False),
        ("b", "c", True),
    ]
    groups = tie_groups(("a", "b", "c"), differences)
    assert groups == (("a", "b"), ("c",))
    assert overlaps(groups, differences) == (("b", "c"),)


def test_a_group_is_led_by_its_best() -> None:
    differences = pair_up(tallies(a=110.0, b=109.0, c=100.0, d=99.0), 0.0)
    groups = tie_groups(("a", "b", "c", "d"), differences)
    assert groups == (("a", "b"), ("c", "d"))
    assert overlaps(groups, differences) == ()


def test_too_close_to_matter_is_a_tie() -> None:
    assert not pair_up(tallies(a=1100.0, b=1090.0), 0.001)[0].tie
    assert pair_up(tallies(a=1100.0, b=1090.0), 0.02)[0].tie


def test_margins_are_held_against_available_power() -> None:
    """Margins of 50 % and 20 %: 1.5 over 1.2 of the needed power, 25 % more."""
    still = {name: Tally(value, value + np.zeros(100), "1", "") for name, value in (("a", 0.5), ("b", 0.2))}
    (pair,) = pair_up(still, 0.01)
    assert pair.value.value == pytest.approx(0.3)
    assert pair.share.value == pytest.approx(0.25)


def test_incomplete_scores_are_not_paired() -> None:
    some = tallies(a=110.0, b=109.0) | {"c": Tally(float("nan"), None, "W", "")}
    assert [(one.build, one.other) for one in pair_up(some, 0.0)] == [("a", "b")]


def ramp() -> ShaftCurve:
    rpm = np.array([1000.0, 1100.0, 1200.0, 1500.0, 1600.0])
    return ShaftCurve("a", rpm, 0.1 * rpm, 0.1 * np.tile(rpm, (3, 1)))


def test_between_nodes_and_nowhere_else() -> None:
    torque, draws = torque_at(ramp(), np.array([1050.0, 1600.0]))
    assert torque.tolist() == pytest.approx([105.0, 160.0])
    assert draws.shape == (3, 2)
    at = np.array([999.0, 1000.0, 1150.0, 1200.0, 1350.0, 1500.0, 1600.0, 1601.0])
    assert covered(ramp(), at).tolist() == [False, True, True, True, False, True, True, False]
    assert untested(ramp(), 900.0, 1700.0) == ((900.0, 1000.0), (1200.0, 1500.0), (1600.0, 1700.0))
    assert untested(ramp(), 1000.0, 1200.0) == ()
    assert untested(ramp(), 1350.0, 1350.0) == ((1350.0, 1350.0),)


def test_middles_fill_a_stretch() -> None:
    found = middles(1600.0, 1650.0)
    assert found.tolist() == pytest.approx([1608.3333, 1625.0, 1641.6667])
    assert middles(1000.0, 1010.0).tolist() == [1005.0]


def test_the_widest_stretch_that_is_met() -> None:
    rpm = np.array([0.0, 1.0, 2.0, 3.0, 4.0, 5.0])
    assert widest_met(rpm, np.array([1.0, -1.0, -1.0, 1.0, 1.0, -1.0])) == (2.5, 4.5)
    assert widest_met(rpm, np.array([1.0, 1.0, 1.0, 1.0, 1.0, 1.0])) == (0.0, 5.0)
    assert widest_met(rpm, np.array([np.nan, 1.0, 1.0, np.nan, -1.0, -1.0])) == (1.0, 2.0)
    assert all(np.isnan(widest_met(rpm, -np.ones(6))))
