"""How many digits a number has earned, and how it is written.

The rounding of an uncertain number follows its half-width: two digits of the half-width where its leading digits
are small (100 to 354), one where they are larger, and the value to the same place (common practice; the usual rule
of data tables in physics).
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from statistics import median

MOST_DECIMALS = 6
DASH = "-"  # what stands where there is no number


def decimals_for(half_width: float, *, default: int = 1) -> int:
    """Decimals that an uncertainty of this half-width earns; negative means tens, hundreds.

    Args:
        half_width: half of the 95 % interval, in the unit shown. Zero, negative or not finite: nothing is known.
        default: answer where nothing is known.

    Returns:
        Number of decimals, at most ``MOST_DECIMALS``.

    Sources: practice.
    """
    if not math.isfinite(half_width) or half_width <= 0:
        return default
    exponent = math.floor(math.log10(half_width))
    leading = half_width / 10.0**exponent
    kept = 2 if leading < 3.55 or leading >= 9.5 else 1
    if leading >= 9.5:
        exponent += 1
    return min(kept - 1 - exponent, MOST_DECIMALS)


def significant_decimals(value: float, figures: int = 4) -> int:
    """Decimals that show this many significant figures of a value whose uncertainty is unknown; never below 0."""
    if not math.isfinite(value) or value == 0:
        return 0
    return min(max(figures - 1 - math.floor(math.log10(abs(value))), 0), MOST_DECIMALS)


def column_decimals(half_widths: Iterable[float], *, default: int = 1) -> int:
    """One number of decimals for a whole column, from its median half-width.

    Args:
        half_widths: half-widths of the column's entries; those that are not finite and positive do not count.
        default: answer where none counts.
    """
    known = [width for width in half_widths if math.isfinite(width) and width > 0]
    return decimals_for(median(known), default=default) if known else default


def interval_decimals(low: float, high: float, *, default: int = 1) -> int:
    """Decimals for an interval, one more where an end would be written as zero although it is not.

    Whether an interval touches zero is what a verdict hangs on; rounding must not hide it.
    """
    decimals = decimals_for((high - low) / 2.0, default=default)
    for end in (low, high):
        if math.isfinite(end) and end != 0.0 and round(end, decimals) == 0.0:
            return min(decimals + 1, MOST_DECIMALS)
    return decimals


def number(value: float | None, decimals: int = 1, *, signed: bool = False) -> str:
    """A number with thousands commas, rounded half to even; a dash where there is none.

    Args:
        value: the number, in the unit shown; None, NaN and infinity give a dash.
        decimals: as from ``decimals_for``; negative rounds to tens, hundreds.
        signed: write the plus sign too.
    """
    if value is None or not math.isfinite(value):
        return DASH
    rounded = round(value, decimals)
    if rounded == 0.0:
        return f"{0.0:.{max(decimals, 0)}f}"
    return f"{rounded:{'+' if signed else ''},.{max(decimals, 0)}f}"


def interval(low: float, high: float, decimals: int = 1, *, signed: bool = False) -> str:
    """``low to high`` to the same place; a dash where both are unknown."""
    if not math.isfinite(low) and not math.isfinite(high):
        return DASH
    return f"{number(low, decimals, signed=signed)} to {number(high, decimals, signed=signed)}"


def bare(value: float, most: int = 3) -> str:
    """A number without an interval, no more than ``most`` decimals, trailing zeros dropped: 0.01 -> ``0.01``."""
    text = number(value, most)
    return text.rstrip("0").rstrip(".") if "." in text else text
