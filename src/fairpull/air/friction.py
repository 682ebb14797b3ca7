"""Friction torque by size and piston speed, for the old "standard day" correction with friction."""

from __future__ import annotations

import numpy as np

from fairpull.terms.arrays import Number

# Printed in lb-ft per cubic inch against ft/min; here SI: mean piston speed [m/s], friction torque per
# volume [Pa].
_FOOT_PER_MINUTE = 0.3048 / 60.0
_POUND_FOOT_PER_CUBIC_INCH = 1.3558179483314004 / 16.387064e-6
_SPEEDS = np.arange(0.0, 7001.0, 500.0) * _FOOT_PER_MINUTE
_FRICTION = (
    np.array(
        [
            0.088,
            0.105,
            0.120,
            0.145,
            0.170,
            0.203,
            0.233,
            0.265,
            0.308,
            0.368,
            0.433,
            0.503,
            0.573,
            0.650,
            0.725,
        ]
    )
    * _POUND_FOOT_PER_CUBIC_INCH
)


def friction_torque(displacement: Number, mean_piston_speed: Number) -> Number:
    """Friction torque from displacement and mean piston speed, straight lines between printed points.

    Args:
        displacement: of the whole engine, scalar or shape (n,) [m3].
        mean_piston_speed: scalar or shape (n,) [m/s].

    Returns:
        Friction torque [N m], broadcast shape; NaN beyond the printed range.

    Valid range: 0 to 35.56 m/s (7000 ft/min).

    Source: friction-table, second-hand: one public post of 1995, engines of that time.
    """
    per_volume = np.interp(mean_piston_speed, _SPEEDS, _FRICTION, left=np.nan, right=np.nan)
    torque: Number = displacement * per_volume
    return torque
