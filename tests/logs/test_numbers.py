"""A row looked at as a whole says the same as its cells looked at one by one."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fairpull.logs.guess import middle
from fairpull.logs.headers import row_kinds
from fairpull.logs.numbers import all_numbers, is_number

CELLS = st.sampled_from(
    ["1", "-2.5", " 3 ", "1e3", "1,5", "nan", "inf", "Infinity", "1_000", "", " ", "x", "1 000", "5%"]
)


@given(st.lists(CELLS, max_size=6))
def test_all_numbers_means_every_cell_is_one(row: list[str]) -> None:
    if all_numbers(row):
        assert all(is_number(cell) for cell in row)
        assert row_kinds(row) == (len(row), 0, len(row))


@pytest.mark.parametrize("row", [["1", "2.5", "-3e4"], [" 7", "8 "], []])
def test_plain_rows_are_known_at_once(row: list[str]) -> None:
    assert all_numbers(row)


@pytest.mark.parametrize("cell", ["nan", "inf", "-Infinity", "1_000", "", "1,5", "09:40"])
def test_one_odd_cell_takes_a_closer_look(cell: str) -> None:
    assert not all_numbers(["1", cell, "2"])


@given(st.lists(st.floats(-1e9, 1e9), min_size=1, max_size=9))
def test_middle_is_the_median(values: list[float]) -> None:
    assert middle(np.array(values)) == float(np.median(values))


def test_no_values_have_no_middle() -> None:
    assert np.isnan(middle(np.array([])))
