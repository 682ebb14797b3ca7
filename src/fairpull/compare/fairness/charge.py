"""What a compressor does to the charge: pressure ratio, outlet temperature, density ratio, drive power."""

from __future__ import annotations

from fairpull.terms.arrays import Number

GAMMA = 1.4  # ratio of specific heats of dry air; 0.2857 is the exponent that follows, the trade also writes 0.283
CP_AIR = 1005.0  # specific heat of air at constant pressure [J/(kg K)]


def pressure_ratio(boost: Number, barometer: Number, inlet_loss: Number = 0.0) -> Number:
    """Absolute pressure after the compressor over that before it.

    Args:
        boost: gauge, against the barometer, scalar or shape (n,) [Pa].
        barometer: true station pressure, scalar or shape (n,) [Pa].
        inlet_loss: pressure lost in filter and ducts before the compressor [Pa].

    Returns:
        Pressure ratio [1], broadcast shape.

    Source: practice (definition).
    """
    return (barometer + boost) / (barometer - inlet_loss)


def compressor_outlet_temperature(inlet: Number, ratio: Number, efficiency: Number, gamma: float = GAMMA) -> Number:
    """Temperature of the charge out of a compressor.

    Args:
        inlet: temperature into the compressor, scalar or shape (n,) [K].
        ratio: pressure ratio, scalar or shape (n,) [1].
        efficiency: isentropic (adiabatic) efficiency, above zero, fraction [1].
        gamma: ratio of specific heats [1].

    Returns:
        Temperature [K], broadcast shape.

    Valid range: no heat lost to the walls; an ideal gas of constant specific heat.

    Source: heywood, chapter 6 (isentropic efficiency of a compressor).
    """
    return inlet * (1.0 + (ratio ** ((gamma - 1.0) / gamma) - 1.0) / efficiency)


def compressor_efficiency(inlet: Number, outlet: Number, ratio: Number, gamma: float = GAMMA) -> Number:
    """Isentropic efficiency of a compressor from measured temperatures; heat soak makes it look worse.

    Args:
        inlet: temperature into the compressor, scalar or shape (n,) [K].
        outlet: temperature out of it, above ``inlet`` [K].
        ratio: pressure ratio, scalar or shape (n,) [1].
        gamma: ratio of specific heats [1].

    Returns:
        Efficiency, fraction [1], broadcast shape.

    Source: heywood, chapter 6 (isentropic efficiency of a compressor).
    """
    return inlet * (ratio ** ((gamma - 1.0) / gamma) - 1.0) / (outlet - inlet)


def density_ratio(ratio: Number, inlet: Number, charge: Number) -> Number:
    """Density of the charge in the manifold over density of the air before the compressor.

    Args:
        ratio: pressure ratio, scalar or shape (n,) [1].
        inlet: temperature before the compressor, scalar or shape (n,) [K].
        charge: temperature in the manifold, after any cooler [K].

    Returns:
        Density ratio [1], broadcast shape.

    Source: definition (ideal gas).
    """
    return ratio * inlet / charge


def drive_power(air_mass_flow: Number, inlet: Number, outlet: Number, mechanical: Number = 1.0) -> Number:
    """Power that drives a compressor.

    Args:
        air_mass_flow: through the compressor, scalar or shape (n,) [kg/s].
        inlet: temperature into the compressor [K].
        outlet: temperature out of it [K].
        mechanical: efficiency of belt, gears and bearings, above zero, fraction [1].

    Returns:
        Power [W], broadcast shape.

    Source: heywood, chapter 6 (steady-flow energy equation); specific heat of air 1005 J/(kg K).
    """
    return air_mass_flow * CP_AIR * (outlet - inlet) / mechanical
