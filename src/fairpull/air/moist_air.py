"""Density of moist air, and the altitude in the standard atmosphere that has the same density."""

from __future__ import annotations

from fairpull.air.atmosphere import altitude_of_density
from fairpull.terms.arrays import Number

GAS_CONSTANT_DRY = 287.042  # [J/(kg K)], ashrae-2017 chapter 1 equation 1
GAS_CONSTANT_VAPOUR = 461.524  # [J/(kg K)], ashrae-2017 chapter 1 equation 2


def density(pressure: Number, temperature: Number, vapour_pressure: Number = 0.0) -> Number:
    """Density of moist air as a mixture of two ideal gases.

    Args:
        pressure: total absolute pressure, scalar or shape (n,) [Pa].
        temperature: scalar or shape (n,) [K].
        vapour_pressure: scalar or shape (n,) [Pa].

    Returns:
        Density [kg/m3], broadcast shape.

    Valid range: 233 K to 353 K, 50 to 110 kPa: there within 5e-4 of the real gas (cipm-2007).

    Source: ashrae-2017, chapter 1, equations 1 and 2 with Dalton's law.
    """
    dry = (pressure - vapour_pressure) / GAS_CONSTANT_DRY
    return (dry + vapour_pressure / GAS_CONSTANT_VAPOUR) / temperature


def density_altitude(pressure: Number, temperature: Number, vapour_pressure: Number = 0.0) -> Number:
    """Geopotential altitude at which the standard atmosphere is as thin as this air.

    Args:
        pressure: total absolute pressure, scalar or shape (n,) [Pa].
        temperature: scalar or shape (n,) [K].
        vapour_pressure: scalar or shape (n,) [Pa].

    Returns:
        Density altitude [m], broadcast shape; negative in air denser than 1.225 kg/m3.

    Valid range: -2 km to 11 km.

    Source: iso-2533 solved for altitude, with the moist density above.
    """
    return altitude_of_density(density(pressure, temperature, vapour_pressure))
