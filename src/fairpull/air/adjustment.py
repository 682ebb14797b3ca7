"""Power adjustment of ISO 3046-1 and ISO 15550: from one air to another, in either direction."""

from __future__ import annotations

from dataclasses import dataclass

from fairpull.air.factors import whole_kelvin
from fairpull.air.saturation import saturation_pressure
from fairpull.terms.arrays import Number

REFERENCE_PRESSURE = 100000.0  # [Pa], total
REFERENCE_TEMPERATURE = 298.0  # [K], counted the standards' way
REFERENCE_VAPOUR = float(0.30 * saturation_pressure(298.15))  # [Pa], 30 % relative humidity
DEFAULT_MECHANICAL_EFFICIENCY = 0.80  # from memory: taken where the maker states none


@dataclass(frozen=True, slots=True)
class Exponents:
    """Exponents: humidity (``a``), pressure (``m``), temperature (``n``), charge coolant (``s``)."""

    humidity: float
    pressure: float
    temperature: float
    coolant: float


NATURAL_COMPRESSION = Exponents(1.0, 1.0, 0.75, 0.0)
TURBO_COMPRESSION = Exponents(0.0, 0.7, 1.2, 1.0)


def indicated_ratio(
    pressure_ratio: Number, temperature_ratio: Number, coolant_ratio: Number, exponents: Exponents
) -> Number:
    """Ratio of indicated powers ``k``.

    Args:
        pressure_ratio: pressure in the air asked for over pressure in the air known, each less ``a`` times
            its vapour pressure, scalar or shape (n,) [1].
        temperature_ratio: temperature in the air known over that in the air asked for [1].
        coolant_ratio: the same for the charge coolant [1]; 1 without a charge cooler.
        exponents: of the kind of engine.

    Returns:
        ``k`` [1], broadcast shape.

    Source: iso-3046, formula for k; second-hand (textbook, chapter 27).
    """
    ratio: Number = (
        pressure_ratio**exponents.pressure * temperature_ratio**exponents.temperature * coolant_ratio**exponents.coolant
    )
    return ratio


def power_adjustment(indicated: Number, mechanical_efficiency: Number) -> Number:
    """Power adjustment factor ``alpha``: brake power asked for over brake power known.

    Args:
        indicated: ``k``, scalar or shape (n,) [1].
        mechanical_efficiency: in the air known, scalar or shape (n,) [1].

    Returns:
        ``alpha`` [1], broadcast shape.

    Valid range: mechanical efficiency above 0, at most 1.

    Source: iso-3046, formula for alpha; second-hand (textbook, chapter 27).
    """
    return indicated - 0.7 * (1.0 - indicated) * (1.0 / mechanical_efficiency - 1.0)


def fuel_adjustment(indicated: Number, power: Number) -> Number:
    """Fuel consumption adjustment factor ``beta``: specific fuel consumption asked for over the one known.

    Args:
        indicated: ``k``, scalar or shape (n,) [1].
        power: ``alpha``, scalar or shape (n,) [1].

    Returns:
        ``beta`` [1], broadcast shape.

    Source: iso-3046, formula for beta; second-hand (textbook, chapter 27).
    """
    return indicated / power


def adjustment_to_site(
    pressure: Number,
    temperature: Number,
    vapour_pressure: Number,
    *,
    exponents: Exponents,
    mechanical_efficiency: float,
    coolant_temperature: float | None = None,
) -> Number:
    """Power in the given air over power in the ISO reference air, ``alpha``.

    Args:
        pressure: total absolute pressure, scalar or shape (n,) [Pa].
        temperature: scalar or shape (n,) [K].
        vapour_pressure: scalar or shape (n,) [Pa].
        exponents: of the kind of engine.
        mechanical_efficiency: in the reference air [1].
        coolant_temperature: of the charge coolant [K]; None: as in the reference.

    Returns:
        ``alpha`` [1], broadcast shape; divide by it to go from the given air to the reference air.

    Source: iso-3046; reference air 100 kPa, 298 K, 30 % relative humidity, charge coolant 298 K.
    """
    known = REFERENCE_PRESSURE - exponents.humidity * REFERENCE_VAPOUR
    asked = pressure - exponents.humidity * vapour_pressure
    coolant = 1.0 if coolant_temperature is None else REFERENCE_TEMPERATURE / whole_kelvin(coolant_temperature)
    indicated = indicated_ratio(asked / known, REFERENCE_TEMPERATURE / whole_kelvin(temperature), coolant, exponents)
    return power_adjustment(indicated, mechanical_efficiency)
