"""What a duty of any kind yields for one build, before builds are held against each other."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from fairpull.compare.bands import interval
from fairpull.terms.arrays import FloatArray
from fairpull.terms.comparison import Estimate

NAN = float("nan")


@dataclass(frozen=True, slots=True)
class Tally:
    """One build on one duty.

    Attributes:
        value: in ``unit``, NaN where incomplete.
        draws: shape (s,), same unit; None where incomplete.
        unit: "W", "N m" or "1".
        how: how the number is made.
        parts: band, point or gear -> estimate.
        untested: what the pulls did not cover, readable.
        met: spans of output speed over which a load line's demand is met [rpm]; None for other kinds.
    """

    value: float
    draws: FloatArray | None
    unit: str
    how: str
    parts: Mapping[str, Estimate] = field(default_factory=dict)
    untested: tuple[str, ...] = ()
    met: tuple[float, float] | None = None

    @property
    def base(self) -> float:
        """What is added to a score before ratios are taken: a margin of 0 is all the power that is needed."""
        return 1.0 if self.unit == "1" else 0.0

    def estimate(self) -> Estimate:
        """The score with its interval."""
        if self.draws is None:
            return Estimate(NAN, NAN, NAN, self.unit, f"not given, since part of the duty was not tested; {self.how}")
        return interval(self.draws, self.unit, self.how, self.value)


def stretch(low: float, high: float) -> str:
    """A stretch of speed in words.

    Args:
        low, high: ends [rpm]; one speed where they are equal.

    Returns:
        Such as "1,600 to 2,200 rpm".
    """
    return f"{low:,.0f} rpm" if low == high else f"{low:,.0f} to {high:,.0f} rpm"


def missing(what: str, gaps: Sequence[tuple[float, float]]) -> tuple[str, ...]:
    """Untested stretches in words.

    Args:
        what: the part of the duty.
        gaps: (low, high) of each stretch [rpm].

    Returns:
        One text each.
    """
    return tuple(f"{what}: {stretch(*gap)}" for gap in gaps)
