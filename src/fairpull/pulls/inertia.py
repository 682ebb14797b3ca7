"""Torque hidden in rotating parts while the speed changes."""

from __future__ import annotations

import numpy as np

from fairpull.pulls.speed import RPM_TO_RAD
from fairpull.terms.arrays import Number


def inertia_torque(inertia: Number, rate: Number) -> Number:
    """Torque that the rotating parts take up while they are sped up.

    Args:
        inertia: moment of inertia at the crankshaft, scalar or shape (n,) [kg m2].
        rate: rate of change of speed, scalar or shape (n,) [rpm/s].

    Returns:
        ``I * dw/dt``, broadcast [N m]; negative when the speed falls.

    Valid range:
        Parts that turn with the crankshaft as one rigid body.

    Source:
        Newton's second law for rotation; practice (trade: inertia correction of a sweep).
    """
    torque = np.asarray(inertia, dtype=np.float64) * np.asarray(rate, dtype=np.float64) * RPM_TO_RAD
    return float(torque) if np.ndim(torque) == 0 else torque
