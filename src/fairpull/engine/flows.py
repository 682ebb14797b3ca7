"""Air and fuel: breathing, mixture, consumption, efficiency."""

from __future__ import annotations

from fairpull.terms.arrays import Number


def cycles_per_second(rpm: Number, strokes: int = 4) -> Number:
    """Working cycles of one cylinder in a second.

    Args:
        rpm: scalar or shape (n,) [rpm].
        strokes: for each cycle, 4 or 2.

    Returns:
        Cycles [1/s], same shape.

    Source: practice (definition).
    """
    return rpm / 60.0 * 2.0 / strokes


def swept_flow(displacement: Number, rpm: Number, strokes: int = 4) -> Number:
    """Volume swept in a second: what the engine would breathe at a volumetric efficiency of 1.

    Args:
        displacement: of the whole engine, scalar or shape (n,) [m3].
        rpm: scalar or shape (n,) [rpm].
        strokes: for each cycle, 4 or 2.

    Returns:
        Flow [m3/s], broadcast shape.

    Source: practice (definition).
    """
    return displacement * cycles_per_second(rpm, strokes)


def volumetric_efficiency(
    air_mass_flow: Number, displacement: Number, rpm: Number, reference_density: Number, strokes: int = 4
) -> Number:
    """Air taken in over air that would fill the swept volume at a reference density.

    Args:
        air_mass_flow: scalar or shape (n,) [kg/s].
        displacement: of the whole engine, scalar or shape (n,) [m3].
        rpm: above zero, scalar or shape (n,) [rpm].
        reference_density: that of the room, or of the manifold; the caller says which [kg/m3].
        strokes: for each cycle, 4 or 2.

    Returns:
        Volumetric efficiency, fraction [1], broadcast shape.

    Source: practice (definition).
    """
    return air_mass_flow / (reference_density * swept_flow(displacement, rpm, strokes))


def specific_consumption(mass_flow: Number, power: Number) -> Number:
    """Mass flow for each unit of brake power.

    Args:
        mass_flow: of fuel or air, scalar or shape (n,) [kg/s].
        power: observed brake power, above zero, scalar or shape (n,) [W].

    Returns:
        Specific consumption [kg/J], broadcast shape.

    Source: practice (definition).
    """
    return mass_flow / power


def bsfc(fuel_mass_flow: Number, power: Number) -> Number:
    """Brake specific fuel consumption, from observed power: flows are never corrected for air.

    Args:
        fuel_mass_flow: scalar or shape (n,) [kg/s].
        power: observed brake power, scalar or shape (n,) [W].

    Returns:
        BSFC [kg/J], broadcast shape.

    Source: practice (definition).
    """
    return specific_consumption(fuel_mass_flow, power)


def bsac(air_mass_flow: Number, power: Number) -> Number:
    """Brake specific air consumption, from observed power: flows are never corrected for air.

    Args:
        air_mass_flow: scalar or shape (n,) [kg/s].
        power: observed brake power, scalar or shape (n,) [W].

    Returns:
        BSAC [kg/J], broadcast shape.

    Source: practice (definition).
    """
    return specific_consumption(air_mass_flow, power)


def air_fuel_ratio_from_flows(air_mass_flow: Number, fuel_mass_flow: Number) -> Number:
    """Air over fuel by mass.

    Args:
        air_mass_flow: scalar or shape (n,) [kg/s].
        fuel_mass_flow: above zero, scalar or shape (n,) [kg/s].

    Returns:
        Air-fuel ratio [1], broadcast shape.

    Source: practice (definition).
    """
    return air_mass_flow / fuel_mass_flow


def lambda_from_air_fuel_ratio(air_fuel_ratio: Number, stoichiometric: Number) -> Number:
    """Air over stoichiometric air, from an air-fuel ratio.

    Args:
        air_fuel_ratio: by mass, scalar or shape (n,) [1].
        stoichiometric: air-fuel ratio of the fuel, by mass [1].

    Returns:
        Lambda [1], broadcast shape.

    Source: practice (definition).
    """
    return air_fuel_ratio / stoichiometric


def lambda_from_flows(air_mass_flow: Number, fuel_mass_flow: Number, stoichiometric: Number) -> Number:
    """Air over stoichiometric air, from the two flow meters.

    Args:
        air_mass_flow: scalar or shape (n,) [kg/s].
        fuel_mass_flow: above zero, scalar or shape (n,) [kg/s].
        stoichiometric: air-fuel ratio of the fuel, by mass [1].

    Returns:
        Lambda [1], broadcast shape.

    Source: practice (definition).
    """
    return lambda_from_air_fuel_ratio(air_fuel_ratio_from_flows(air_mass_flow, fuel_mass_flow), stoichiometric)


def lambda_from_equivalence_ratio(equivalence_ratio: Number) -> Number:
    """Lambda from the fuel-air equivalence ratio, its reciprocal; the same function goes back.

    Args:
        equivalence_ratio: above zero, scalar or shape (n,) [1].

    Returns:
        Lambda [1], same shape.

    Source: practice (definition).
    """
    return 1.0 / equivalence_ratio


def thermal_efficiency(specific_fuel: Number, heating_value: Number) -> Number:
    """Brake work over the fuel's lower heating value.

    Args:
        specific_fuel: BSFC, above zero, scalar or shape (n,) [kg/J].
        heating_value: lower heating value of the fuel [J/kg].

    Returns:
        Brake thermal efficiency, fraction [1], broadcast shape.

    Source: practice (definition).
    """
    return 1.0 / (specific_fuel * heating_value)


def fuel_per_cycle(fuel_mass_flow: Number, displacement: Number, rpm: Number, strokes: int = 4) -> Number:
    """Fuel for each cycle and swept volume: what the compression-ignition corrections ask for.

    Args:
        fuel_mass_flow: scalar or shape (n,) [kg/s].
        displacement: of the whole engine, scalar or shape (n,) [m3].
        rpm: above zero, scalar or shape (n,) [rpm].
        strokes: for each cycle, 4 or 2.

    Returns:
        Fuel [kg/m3], broadcast shape; 1 mg/(l cycle) is 0.001 kg/m3.

    Source: un-r85 annex 5 (120000 g/s over litres and rpm, for four strokes).
    """
    return fuel_mass_flow / swept_flow(displacement, rpm, strokes)


def power_of_injectors(flow: Number, count: Number, duty: Number, specific_fuel: Number) -> Number:
    """Power that the injectors can feed.

    Args:
        flow: of one injector, wide open, scalar or shape (n,) [kg/s].
        count: how many [1].
        duty: share of the time they are open, fraction [1].
        specific_fuel: brake specific fuel consumption, above zero [kg/J].

    Returns:
        Power [W], broadcast shape.

    Source: practice (definition of specific consumption).
    """
    return flow * count * duty / specific_fuel
