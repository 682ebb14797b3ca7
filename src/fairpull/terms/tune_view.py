"""Loops and running in, with what a picture of them needs besides."""

from __future__ import annotations

from dataclasses import dataclass

from fairpull.terms.tuning import RunningIn, TuneResult


@dataclass(frozen=True, slots=True)
class TuneView:
    """Loops, and the limits card that was in force.

    Attributes:
        result: the loops.
        of: how the setting is told: "spark", "lambda" or "jet".
        span: least and most setting that may be run [rad, or -]; None where nobody named any.
        knock_limit: knock level that counts, as named; None for three times a loop's median.
    """

    result: TuneResult
    of: str
    span: tuple[float, float] | None
    knock_limit: float | None = None


@dataclass(frozen=True, slots=True)
class RunningInView:
    """An engine's trend, and the build that each pull ran with, in the order of the pulls."""

    result: RunningIn
    builds: tuple[str, ...]
