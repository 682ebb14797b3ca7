"""Saturation pressure of water vapour, and its inverse, the dew point.

The house formula is the one of the ASHRAE Handbook (Hyland and Wexler). Two formulas of United States
regulations stand beside it, because printed check values exist for them; they agree with the house formula
within 0.07 %.
"""

from __future__ import annotations

import numpy as np

from fairpull.terms.arrays import FloatArray, Number

TRIPLE_POINT = 273.16  # [K]

_ICE = (-5.6745359e3, 6.3925247, -9.677843e-3, 6.2215701e-7, 2.0747825e-9, -9.484024e-13, 4.1635019)
_WATER = (-5.8002206e3, 1.3914993, -4.8640239e-2, 4.1764768e-5, -1.4452093e-8, 0.0, 6.5459673)
_WEXLER_GREENSPAN = (
    -8.49922e3,
    -7.4231865e3,
    96.1635147,
    2.4917646e-2,
    -1.3160119e-5,
    -1.1460454e-8,
    2.1701289e-11,
    -3.610258e-15,
    3.8504519e-18,
    -1.4317e-21,
)
_NEWTON_STEPS = 8  # from the start value below, five reach the last bit


def saturation_pressure(temperature: Number) -> Number:
    """Saturation pressure over water, below the triple point over ice.

    Args:
        temperature: scalar or shape (n,) [K].

    Returns:
        Saturation pressure [Pa], same shape.

    Valid range: 173.15 K to 473.15 K.

    Source: ashrae-2017, chapter 1, equations 5 (ice) and 6 (water).
    """
    return np.exp(_log_saturation(temperature)[0])[()]


def dew_point(vapour_pressure: Number) -> Number:
    """Temperature at which air with this vapour pressure is saturated, by ``saturation_pressure``.

    Args:
        vapour_pressure: scalar or shape (n,) [Pa]; dry air (0) has no dew point.

    Returns:
        Dew point [K], same shape; NaN where the vapour pressure is not above zero. Below the triple point it
        is the frost point.

    Valid range: 0.0015 Pa to 1.5e6 Pa.

    Source: ashrae-2017, chapter 1, equations 5 and 6, inverted by Newton's method to 1e-9 K.
    """
    vapour = np.asarray(vapour_pressure, dtype=np.float64)
    log_pressure = np.log(np.where(vapour > 0.0, vapour, np.nan))
    offset = log_pressure - np.log(611.2)
    temperature = 273.15 + 243.12 * offset / (17.62 - offset)  # Magnus form: start value only
    for _ in range(_NEWTON_STEPS):
        value, slope = _log_saturation(temperature)
        temperature = temperature - (value - log_pressure) / slope
    found: Number = temperature[()]
    return found


def saturation_pressure_1065(temperature: Number) -> Number:
    """Saturation pressure over water by the engine-testing regulation of the United States.

    Args:
        temperature: scalar or shape (n,) [K].

    Returns:
        Saturation pressure [Pa], same shape.

    Valid range: 273.16 K to 373 K (over water).

    Source: 40cfr1065, 1065.645, equation 1065.645-1.
    """
    ratio = temperature / TRIPLE_POINT
    inverse = 1.0 - 1.0 / ratio
    log_kilopascal = (
        10.79574 * inverse
        - 5.028 * np.log10(ratio)
        + 1.50475e-4 * (1.0 - 10.0 ** (-8.2969 * (ratio - 1.0)))
        + 4.2873e-4 * (10.0 ** (4.76955 * inverse) - 1.0)
        - 0.2138602
    )
    pressure: Number = 1000.0 * 10.0**log_kilopascal
    return pressure


def dew_point_1065(vapour_pressure: Number) -> Number:
    """Dew point by the fit of the same regulation; good to 0.012 K against its own pressure formula.

    Args:
        vapour_pressure: scalar or shape (n,) [Pa], above zero.

    Returns:
        Dew point [K], same shape.

    Valid range: 611 Pa to about 1e5 Pa.

    Source: 40cfr1065, 1065.645, equation 1065.645-5 (coefficients second-hand).
    """
    x = np.log(vapour_pressure)
    above = 207.98233 - 20.156028 * x + 0.46778925 * x**2 - 9.2288067e-6 * x**3
    below = 1.0 - 0.13319669 * x + 5.6577518e-3 * x**2 - 7.5172865e-5 * x**3
    temperature: Number = above / below
    return temperature


def saturation_pressure_86344(temperature: Number) -> Number:
    """Saturation pressure over water by the older United States regulation (Wexler and Greenspan).

    Args:
        temperature: scalar or shape (n,) [K].

    Returns:
        Saturation pressure [Pa], same shape.

    Valid range: 273.16 K to 373 K.

    Source: 40cfr86, 86.344-79.
    """
    log_pressure = -12.150799 * np.log(temperature)
    for power, factor in enumerate(_WEXLER_GREENSPAN):
        log_pressure = log_pressure + factor * temperature ** (power - 2.0)
    pressure: Number = np.exp(log_pressure)
    return pressure


def _log_saturation(temperature: Number) -> tuple[FloatArray, FloatArray]:
    """Logarithm of the saturation pressure in Pa, and its slope per kelvin."""
    t = np.asarray(temperature, dtype=np.float64)
    ice = t < TRIPLE_POINT
    c1, c2, c3, c4, c5, c6, c7 = (np.where(ice, a, b) for a, b in zip(_ICE, _WATER, strict=True))
    value = c1 / t + c2 + t * (c3 + t * (c4 + t * (c5 + t * c6))) + c7 * np.log(t)
    slope = -c1 / t**2 + c3 + t * (2.0 * c4 + t * (3.0 * c5 + t * 4.0 * c6)) + c7 / t
    return value, slope
