"""Which rows a table shows, and reading values off a grid."""

from __future__ import annotations

import numpy as np
import pytest

from fairpull.show.facts import grid


@pytest.mark.parametrize(
    ("low", "high", "step"), [(1700.0, 4600.0, 200.0), (1500.0, 7500.0, 500.0), (5.0, 16.0, 1.0), (2000.0, 2100.0, 5.0)]
)
def test_round_steps(low: float, high: float, step: float) -> None:
    assert grid.nice_step(low, high) == step


def test_rows_are_round_places_and_both_ends() -> None:
    axis = np.arange(1725.0, 4601.0, 25.0)
    shown = axis[grid.rows_of(axis)]
    assert shown[0] == 1725.0
    assert shown[-1] == 4600.0
    assert shown[1:3].tolist() == [1800.0, 2000.0]
    assert len(shown) <= grid.MOST_ROWS + 2


def test_nothing_gives_no_rows() -> None:
    assert grid.rows_of(np.zeros(0)).tolist() == []


def test_outside_the_tested_range_there_is_no_value() -> None:
    axis = np.array([2000.0, 2025.0, 2050.0])
    read = grid.at(axis, np.array([1.0, 2.0, 3.0]), np.array([1900.0, 2025.0, 2060.0, 2100.0]))
    assert np.isnan(read).tolist() == [True, False, False, True]
    assert read[1] == 2.0
