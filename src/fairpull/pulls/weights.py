"""Dead weights on a calibration arm: local gravity and the torque they make."""

from __future__ import annotations

import numpy as np

from fairpull.terms.arrays import Number

STANDARD_GRAVITY = 9.80665  # m/s2, exact (sp811)
_EQUATOR = 9.7803267715  # m/s2
_SERIES = (5.2790414e-3, 2.32718e-5, 1.262e-7, 7e-10)


def local_gravity(latitude: Number) -> Number:
    """Acceleration of gravity at sea level from latitude.

    Args:
        latitude: scalar or shape (n,) [rad], north or south, -pi/2 to pi/2.

    Returns:
        Gravity like ``latitude`` [m/s2].

    Valid range:
        Sea level; 300 m of elevation lower it by about 0.01 %.

    Source:
        40cfr1065, 1065.630, equation 1065.630-1.
    """
    s2 = np.square(np.sin(np.asarray(latitude, dtype=np.float64)))
    a, b, c, d = _SERIES
    gravity = _EQUATOR * (1.0 + s2 * (a + s2 * (b + s2 * (c + s2 * d))))
    return float(gravity) if np.ndim(latitude) == 0 else gravity


def weight_torque(
    mass: Number, arm: Number, gravity: Number = STANDARD_GRAVITY, tilt: Number = 0.0, buoyancy: Number = 0.0
) -> Number:
    """Torque of a mass hung on a horizontal arm.

    Args:
        mass: scalar or shape (n,) [kg].
        arm: length from the brake's centre line, scalar or shape (n,) [m].
        gravity: local gravity [m/s2].
        tilt: angle of the arm off level [rad].
        buoyancy: air density over the weight's density [1]; 0.00015 for steel.

    Returns:
        Torque [N m], broadcast over the inputs.

    Valid range:
        Weight far denser than air; tilt below 0.2 rad.

    Source:
        40cfr1065, 1065.310(d) (force = mass * local gravity); tilt and buoyancy: plain statics.
    """
    torque = np.asarray(mass, dtype=np.float64) * gravity * arm * np.cos(tilt) * (1.0 - np.asarray(buoyancy))
    return float(torque) if np.ndim(torque) == 0 else torque
