"""A recording becomes clean pulls and curves; brake calibration, lag between channels, rotating inertia.

What every comparison needs is loaded at once; calibration and the estimators of inertia and lag when asked for.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from fairpull.pulls.curve import curve
from fairpull.pulls.find import find
from fairpull.pulls.options import PullOptions
from fairpull.pulls.weather import air_of, conditions_of

if TYPE_CHECKING:
    from fairpull.pulls.calibration import calibrate, calibrate_rows, calibrate_weights, true_torque
    from fairpull.pulls.inertia import inertia_torque
    from fairpull.pulls.inertia_estimates import Inertia, inertia_from_coast_down, inertia_from_sweep_rates
    from fairpull.pulls.lag import Lag, estimate_lag, shift_channel
    from fairpull.pulls.weights import local_gravity, weight_torque

__all__ = [
    "Inertia",
    "Lag",
    "PullOptions",
    "air_of",
    "calibrate",
    "calibrate_rows",
    "calibrate_weights",
    "conditions_of",
    "curve",
    "estimate_lag",
    "find",
    "inertia_from_coast_down",
    "inertia_from_sweep_rates",
    "inertia_torque",
    "local_gravity",
    "shift_channel",
    "true_torque",
    "weight_torque",
]


def __getattr__(name: str) -> Any:
    """Hand on what is loaded late."""
    if name not in __all__:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    from fairpull.pulls import calibration, inertia, inertia_estimates, lag, weights

    return next(
        getattr(room, name) for room in (calibration, inertia_estimates, inertia, lag, weights) if hasattr(room, name)
    )
