"""Water in the air: from what an instrument reads to vapour pressure, and on to the other measures."""

from __future__ import annotations

import numpy as np

from fairpull.air.saturation import TRIPLE_POINT, saturation_pressure, saturation_pressure_86344
from fairpull.terms.arrays import Number

MOLAR_MASS_RATIO = 0.621945  # water over dry air, ashrae-2017 chapter 1 equation 20


def dry_pressure(pressure: Number, vapour_pressure: Number) -> Number:
    """Pressure of the dry part of the air (Dalton's law).

    Args:
        pressure: total absolute pressure, scalar or shape (n,) [Pa].
        vapour_pressure: scalar or shape (n,) [Pa].

    Returns:
        Dry pressure [Pa], broadcast shape.

    Source: ashrae-2017, chapter 1, equation 18.
    """
    return pressure - vapour_pressure


def vapour_pressure_from_relative_humidity(temperature: Number, relative_humidity: Number) -> Number:
    """Vapour pressure of air whose relative humidity was read.

    Args:
        temperature: of the air at the hygrometer, scalar or shape (n,) [K].
        relative_humidity: fraction, scalar or shape (n,) [1].

    Returns:
        Vapour pressure [Pa], broadcast shape.

    Valid range: 233 K to 353 K, 0 to 1.

    Source: ashrae-2017, chapter 1, equation 22.
    """
    return relative_humidity * saturation_pressure(temperature)


def vapour_pressure_from_dew_point(dew_point: Number) -> Number:
    """Vapour pressure of air whose dew point was read.

    Args:
        dew_point: scalar or shape (n,) [K].

    Returns:
        Vapour pressure [Pa], same shape.

    Valid range: 173 K to 473 K; below 273.16 K the reading is taken as a frost point.

    Source: ashrae-2017, chapter 1, equations 5 and 6.
    """
    return saturation_pressure(dew_point)


def vapour_pressure_from_wet_bulb(pressure: Number, temperature: Number, wet_bulb: Number) -> Number:
    """Vapour pressure from a dry-bulb and a (thermodynamic) wet-bulb temperature: the house formula.

    Args:
        pressure: total absolute pressure, scalar or shape (n,) [Pa].
        temperature: dry bulb, scalar or shape (n,) [K].
        wet_bulb: scalar or shape (n,) [K], not above the dry bulb. Below 273.16 K the wick is taken to be
            iced.

    Returns:
        Vapour pressure [Pa], broadcast shape; below zero where the pair is physically impossible.

    Valid range: wet bulb 233 K to 323 K.

    Source: ashrae-2017, chapter 1, equations 33 (water) and 35 (ice).
    """
    dry, wet = np.asarray(temperature) - 273.15, np.asarray(wet_bulb) - 273.15
    saturated = humidity_ratio(pressure, saturation_pressure(wet_bulb))
    water = ((2501.0 - 2.326 * wet) * saturated - 1.006 * (dry - wet)) / (2501.0 + 1.86 * dry - 4.186 * wet)
    ice = ((2830.0 - 0.24 * wet) * saturated - 1.006 * (dry - wet)) / (2830.0 + 1.86 * dry - 2.1 * wet)
    ratio = np.where(np.asarray(wet_bulb) < TRIPLE_POINT, ice, water)
    return (pressure * ratio / (MOLAR_MASS_RATIO + ratio))[()]


def vapour_pressure_from_wet_bulb_ferrel(pressure: Number, temperature: Number, wet_bulb: Number) -> Number:
    """Vapour pressure from a whirled or aspirated psychrometer by Ferrel's equation, as in old records.

    Args:
        pressure: total absolute pressure, scalar or shape (n,) [Pa].
        temperature: dry bulb, scalar or shape (n,) [K].
        wet_bulb: scalar or shape (n,) [K].

    Returns:
        Vapour pressure [Pa], broadcast shape.

    Valid range: wet bulb 273.16 K to 313 K. About 0.6 % of relative humidity below the house formula at
    25/18 degrees C.

    Source: ferrel (from memory), with the saturation formula of 40cfr86, 86.344-79, as that regulation pairs
    them.
    """
    depression = temperature - wet_bulb
    psychrometer = 6.6e-4 * (1.0 + 1.15e-3 * (wet_bulb - 273.15))
    return saturation_pressure_86344(wet_bulb) - psychrometer * pressure * depression


def relative_humidity(temperature: Number, vapour_pressure: Number) -> Number:
    """Relative humidity as a fraction of the saturation pressure.

    Args:
        temperature: scalar or shape (n,) [K].
        vapour_pressure: scalar or shape (n,) [Pa].

    Returns:
        Relative humidity, fraction [1], broadcast shape.

    Source: ashrae-2017, chapter 1, equation 22.
    """
    return vapour_pressure / saturation_pressure(temperature)


def humidity_ratio(pressure: Number, vapour_pressure: Number) -> Number:
    """Mass of water vapour for each mass of dry air.

    Args:
        pressure: total absolute pressure, scalar or shape (n,) [Pa].
        vapour_pressure: below the total pressure, scalar or shape (n,) [Pa].

    Returns:
        Humidity ratio [kg/kg dry air], broadcast shape.

    Source: ashrae-2017, chapter 1, equation 20 (ideal gas: up to 0.5 % below the handbook's real-gas table).
    """
    return MOLAR_MASS_RATIO * vapour_pressure / (pressure - vapour_pressure)


def specific_humidity(pressure: Number, vapour_pressure: Number) -> Number:
    """Mass of water vapour for each mass of moist air.

    Args:
        pressure: total absolute pressure, scalar or shape (n,) [Pa].
        vapour_pressure: scalar or shape (n,) [Pa].

    Returns:
        Specific humidity [kg/kg moist air], broadcast shape.

    Source: ashrae-2017, chapter 1, equation 9.
    """
    ratio = humidity_ratio(pressure, vapour_pressure)
    return ratio / (1.0 + ratio)


def vapour_mole_fraction(pressure: Number, vapour_pressure: Number) -> Number:
    """Share of water in the air by amount of substance (ideal gas).

    Args:
        pressure: total absolute pressure, scalar or shape (n,) [Pa].
        vapour_pressure: scalar or shape (n,) [Pa].

    Returns:
        Mole fraction [mol/mol], broadcast shape.

    Source: 40cfr1065, 1065.645, equations 1065.645-3 and 1065.645-4.
    """
    return vapour_pressure / pressure
