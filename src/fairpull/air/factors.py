"""Factors that several correction standards share, each one formula.

The standards count absolute temperature as degrees C plus 273, not 273.15; ``whole_kelvin`` keeps their
habit, so that printed factors are met to the last digit (the habit moves a factor by about 5e-6).
"""

from __future__ import annotations

import numpy as np

from fairpull.air.standard import Case
from fairpull.terms.arrays import Number

REFERENCE_DRY_PRESSURE = 99000.0  # [Pa]
REFERENCE_TEMPERATURE = 298.0  # [K], counted the standards' way


def whole_kelvin(temperature: Number) -> Number:
    """Absolute temperature as the standards count it.

    Args:
        temperature: scalar or shape (n,) [K].

    Returns:
        Degrees C plus 273 [K], same shape.

    Source: practice (the integers 273 and 298 stand in every one of the formulas).
    """
    return temperature - 0.15


def root_factor(pressure: Number, temperature: Number, reference_pressure: float, reference: float) -> Number:
    """Charge mass of a throttled engine: inverse to pressure, square root of temperature.

    Args:
        pressure: scalar or shape (n,) [Pa], dry or total as the standard wants it.
        temperature: scalar or shape (n,) [K].
        reference_pressure: of the reference air [Pa], dry or total alike.
        reference: temperature of the reference air, counted the standards' way [K].

    Returns:
        Factor [1], broadcast shape.

    Source: eec-80-1269, din-70020; it is also the "D" inside sae-j1349.
    """
    factor: Number = reference_pressure / pressure * np.sqrt(whole_kelvin(temperature) / reference)
    return factor


def spark_factor(
    dry_pressure: Number,
    temperature: Number,
    reference_dry: Number = REFERENCE_DRY_PRESSURE,
    reference: Number = REFERENCE_TEMPERATURE,
) -> Number:
    """Factor for spark-ignition engines of the ISO 1585 family, ``aa``.

    Args:
        dry_pressure: scalar or shape (n,) [Pa].
        temperature: scalar or shape (n,) [K].
        reference_dry: dry pressure of the reference air [Pa].
        reference: temperature of the reference air, counted the standards' way [K].

    Returns:
        Factor [1], broadcast shape.

    Valid range: where the factor lies within 0.93 to 1.07 (from memory).

    Source: iso-1585, un-r85 annex 5, iso-15550; exponents second-hand.
    """
    factor: Number = (reference_dry / dry_pressure) ** 1.2 * (whole_kelvin(temperature) / reference) ** 0.6
    return factor


def atmospheric_factor(
    dry_pressure: Number,
    temperature: Number,
    *,
    turbo: bool,
    reference_dry: Number = REFERENCE_DRY_PRESSURE,
    reference: Number = REFERENCE_TEMPERATURE,
) -> Number:
    """Atmospheric factor ``fa`` of compression-ignition engines.

    Args:
        dry_pressure: scalar or shape (n,) [Pa].
        temperature: scalar or shape (n,) [K].
        turbo: True for exhaust-driven, False for natural induction and for a mechanically driven compressor.
        reference_dry: dry pressure of the reference air [Pa].
        reference: temperature of the reference air, counted the standards' way [K].

    Returns:
        Factor [1], broadcast shape.

    Source: un-r85 annex 5, iso-1585, iso-15550; second-hand.
    """
    pressure = reference_dry / dry_pressure
    warmth = whole_kelvin(temperature) / reference
    factor: Number = pressure**0.7 * warmth**1.5 if turbo else pressure * warmth**0.7
    return factor


def engine_factor(fuel: Number, *, low: float = 0.040, floor: float = 0.3) -> Number:
    """Engine factor ``fm`` of compression-ignition engines.

    Args:
        fuel: fuel for each cycle and swept volume, divided by the pressure ratio (``qc``), scalar or shape
            (n,) [kg/m3]; 1 mg/(l cycle) is 0.001 kg/m3.
        low: below it the factor is constant [kg/m3].
        floor: that constant [1].

    Returns:
        Exponent [1], same shape; 1.2 above 0.065 kg/m3.

    Source: un-r85 annex 5, paragraph 5.4.2.2 (0.040 and 0.3); sae-j1349 and jis-d1001 use 0.0372 and 0.2.
    """
    amount = np.asarray(fuel, dtype=np.float64)
    line = 36.0 * amount - 1.14
    return np.where(amount < low, floor, np.where(amount > 0.065, 1.2, line))[()]


def compression_factor(atmospheric: Number, engine: Number) -> Number:
    """Factor for compression-ignition engines, ``ad``: atmospheric factor to the power of engine factor.

    Args:
        atmospheric: ``fa``, scalar or shape (n,) [1].
        engine: ``fm``, scalar or shape (n,) [1].

    Returns:
        Factor [1], broadcast shape.

    Valid range: where the factor lies within 0.9 to 1.1 (second-hand).

    Source: un-r85 annex 5, iso-1585, iso-15550; second-hand.
    """
    factor: Number = atmospheric**engine
    return factor


def road_factor(
    case: Case, *, reference_dry: Number = REFERENCE_DRY_PRESSURE, low: float = 0.040, floor: float = 0.3
) -> Number:
    """Factor of the ISO 1585 family for either ignition.

    Args:
        case: the air, and for compression ignition the fuel; arrays of shape (n,) allowed.
        reference_dry: dry pressure of the reference air [Pa].
        low, floor: lower end of the engine factor's line, see ``engine_factor``.

    Returns:
        Factor [1], broadcast shape; NaN for compression ignition where the fuel is unknown.

    Source: iso-1585, un-r85 annex 5, jis-d1001, iso-15550; second-hand.
    """
    if case.ignition == "spark":
        return spark_factor(case.dry_pressure, case.temperature, reference_dry)
    turbo = case.induction in ("turbo", "turbo-held")
    atmospheric = atmospheric_factor(case.dry_pressure, case.temperature, turbo=turbo, reference_dry=reference_dry)
    return compression_factor(atmospheric, engine_factor(case.corrected_fuel, low=low, floor=floor))


def friction_kept(observed: Number, friction: Number, factor: Number) -> Number:
    """Correct what the gas did (brake plus friction) and leave friction as it is.

    Args:
        observed: brake power or torque, scalar or shape (n,) [W or N m].
        friction: friction power or torque, same unit, scalar or shape (n,).
        factor: on indicated power [1], scalar or shape (n,).

    Returns:
        Corrected brake power or torque, same unit, broadcast shape.

    Source: sae-j1349 (friction measured), sae-j607 (friction from a table); second-hand.
    """
    return (observed + friction) * factor - friction
