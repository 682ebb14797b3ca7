"""No more digits than the uncertainty earns."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fairpull.show import digits


@pytest.mark.parametrize(
    ("half_width", "decimals"),
    [
        (1.3, 1),
        (0.62, 1),
        (0.31, 2),
        (3.54, 1),
        (3.56, 0),
        (9.4, 0),
        (9.6, 0),
        (14.0, 0),
        (62.0, -1),
        (130.0, -1),
        (0.0062, 3),
    ],
)
def test_two_digits_of_small_leading_figures_one_of_large(half_width: float, decimals: int) -> None:
    assert digits.decimals_for(half_width) == decimals


def test_unknown_uncertainty_earns_the_default() -> None:
    assert digits.decimals_for(math.nan, default=2) == 2
    assert digits.decimals_for(0.0, default=3) == 3
    assert digits.column_decimals([math.nan, 0.0], default=4) == 4


@given(st.floats(1e-4, 1e6))
def test_what_is_kept_is_never_coarser_than_half_of_the_uncertainty(half_width: float) -> None:
    step = 10.0 ** -digits.decimals_for(half_width)
    assert 0.5 * step <= half_width * 0.51 or digits.decimals_for(half_width) == digits.MOST_DECIMALS
    assert step >= half_width / 36.0


def test_an_end_near_zero_is_not_written_as_zero() -> None:
    decimals = digits.interval_decimals(0.04, 2.4)
    assert digits.interval(0.04, 2.4, decimals, signed=True) == "+0.04 to +2.40"


@pytest.mark.parametrize(
    ("value", "decimals", "signed", "text"),
    [
        (1234.56, 1, False, "1,234.6"),
        (2305.0, -1, False, "2,300"),
        (-0.04, 1, True, "0.0"),
        (7.46, 1, True, "+7.5"),
        (math.nan, 1, False, "-"),
        (math.inf, 1, False, "-"),
    ],
)
def test_numbers_are_written(value: float, decimals: int, signed: bool, text: str) -> None:
    assert digits.number(value, decimals, signed=signed) == text


def test_nothing_is_a_dash_and_bare_numbers_drop_zeros() -> None:
    assert digits.number(None) == digits.DASH
    assert digits.interval(math.nan, math.nan) == digits.DASH
    assert digits.bare(1.0) == "1"
    assert digits.bare(0.5) == "0.5"


@pytest.mark.parametrize(("value", "decimals"), [(12.0, 2), (4620.0, 0), (0.0123, 5), (221.3, 1), (0.0, 0)])
def test_four_figures_where_nothing_is_known_of_the_uncertainty(value: float, decimals: int) -> None:
    assert digits.significant_decimals(value) == decimals
