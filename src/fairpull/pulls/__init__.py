"""A recording becomes clean pulls and curves; brake calibration and rotating inertia."""

from __future__ import annotations

from fairpull.pulls.curve import curve
from fairpull.pulls.find import find
from fairpull.pulls.lag import Lag, estimate_lag, shift_channel
from fairpull.pulls.options import PullOptions
from fairpull.pulls.weather import air_of, conditions_of

__all__ = [
    "Lag",
    "PullOptions",
    "air_of",
    "conditions_of",
    "curve",
    "estimate_lag",
    "find",
    "shift_channel",
]
