"""Flow benches and ports: one depression to another, what a flow is good for, how fast the inlet has to breathe."""

from __future__ import annotations

import math

import numpy as np

from fairpull.engine.geometry import mean_piston_speed
from fairpull.terms.arrays import FloatArray, Number
from fairpull.terms.units import to_house

BENCH_DEPRESSION = to_house(28.0, "inH2O", "Pa")  # what the trade quotes head flow at
CARBURETTOR_DEPRESSION = to_house(1.5, "inHg", "Pa")  # rating of carburettors with four barrels
POWER_FOR_FLOW = to_house(0.257, "hp", "W") / to_house(1.0, "cfm", "m3/s")  # of each cylinder, at 28 inH2O
SPEED_FOR_FLOW = 1196.0 * to_house(1.0, "in3", "m3") / to_house(1.0, "cfm", "m3/s")  # rpm x m3 / (m3/s)
BENCH_AIR_DENSITY = 101_325.0 / (287.05 * 293.15)  # kg/m3; dry, 20 degrees C
SOUND_SPEED = math.sqrt(1.4 * 287.05 * 293.15)  # m/s in that air
MACH_LIMIT = 0.5  # inlet Mach index past which breathing falls off; practice: 0.5 to 0.6


def flow_at_pressure_drop(flow: Number, rated: Number, wanted: Number) -> Number:
    """Flow through the same opening at another pressure drop: head on a bench, carburettor, injector.

    Args:
        flow: at the rated drop, scalar or shape (n,); any unit.
        rated: drop at which it was measured, above zero [Pa].
        wanted: the other drop [Pa].

    Returns:
        Flow at that drop, same unit as ``flow``, broadcast shape. It takes for granted that the opening's flow pattern
        does not change; from 3 to 28 inH2O that misleads by 2 to 5 %.

    Source: practice (square-root law of an orifice at constant density).
    """
    return flow * np.sqrt(np.asarray(wanted, dtype=np.float64) / rated)


def flow_at_lift(lift: Number, table_lift: FloatArray, table_flow: FloatArray) -> Number:
    """Flow at a lift, from a flow table.

    Args:
        lift: scalar or shape (n,) [m].
        table_lift: rising, shape (m,) [m].
        table_flow: shape (m,); any unit.

    Returns:
        Flow, straight lines between the points, from zero at zero lift, and held at the last point beyond the table;
        same unit as ``table_flow``, shape of ``lift``.

    Source: practice (linear interpolation, own choice).
    """
    if table_lift[0] > 0.0:
        table_lift, table_flow = np.r_[0.0, table_lift], np.r_[0.0, table_flow]
    return np.asarray(np.interp(lift, table_lift, table_flow), dtype=np.float64)


def flow_table_at(table: FloatArray, rated: float, wanted: float) -> FloatArray:
    """A head's flow table at another depression.

    Args:
        table: lift, intake flow and perhaps exhaust flow, shape (n, 2) or (n, 3) [m, m3/s, m3/s].
        rated: depression of the table, above zero [Pa].
        wanted: the other depression [Pa].

    Returns:
        The table with its flows converted, same shape and units.

    Source: practice (square-root law, see ``flow_at_pressure_drop``).
    """
    return np.column_stack((table[:, :1], flow_at_pressure_drop(table[:, 1:], rated, wanted)))


def flow_per_area(flow: Number, area: Number) -> Number:
    """Flow over the port's smallest area: a mean speed; 137 to 146 cfm for each in2 at 28 inH2O is the most seen.

    Args:
        flow: scalar or shape (n,) [m3/s].
        area: above zero [m2].

    Returns:
        Flow over area [m/s], broadcast shape.

    Source: practice (definition).
    """
    return flow / area


def exhaust_share(exhaust: Number, intake: Number) -> Number:
    """Exhaust flow over intake flow at the same lift and depression.

    Args:
        exhaust: scalar or shape (n,) [m3/s].
        intake: above zero [m3/s].

    Returns:
        Share [1], broadcast shape; 0.70 to 0.80 is usual, 0.75 to 0.90 for boosted engines.

    Source: practice (definition).
    """
    return exhaust / intake


def power_ceiling(flow: Number, cylinders: Number = 1) -> Number:
    """Power that the trade's rule allows an intake flow: 0.257 hp for each cfm at 28 inH2O and cylinder.

    Args:
        flow: intake flow of one cylinder at 28 inH2O, scalar or shape (n,) [m3/s].
        cylinders: how many [1].

    Returns:
        Power [W], broadcast shape. Mild engines reach 60 to 75 % of it, hot ones 75 to 90 %, race engines 95 to 105 %.

    Source: head-flow-rule.
    """
    return POWER_FOR_FLOW * flow * cylinders


def rpm_of_peak_power(flow: Number, cylinder: Number) -> Number:
    """Speed of peak power that the trade's rule gives an intake flow: 1196 x cfm at 28 inH2O over in3 of one cylinder.

    Args:
        flow: intake flow of one cylinder at 28 inH2O, scalar or shape (n,) [m3/s].
        cylinder: swept volume of one cylinder, above zero [m3].

    Returns:
        Shaft speed [rpm], broadcast shape.

    Source: practice (rule from memory).
    """
    return SPEED_FOR_FLOW * flow / cylinder


def bench_speed(depression: Number, density: Number = BENCH_AIR_DENSITY) -> Number:
    """Speed that a bench's depression gives air without losses, at constant density.

    Args:
        depression: scalar or shape (n,) [Pa].
        density: of the air [kg/m3].

    Returns:
        Speed [m/s], broadcast shape; at 28 inH2O the compressible answer is 3.8 % lower.

    Source: practice (Bernoulli's equation).
    """
    return np.sqrt(2.0 * np.asarray(depression, dtype=np.float64) / density)


def flow_coefficient(flow: Number, area: Number, depression: Number) -> Number:
    """Flow over what the area would pass without losses at the same depression.

    Args:
        flow: scalar or shape (n,) [m3/s].
        area: of reference, such as that of the valve's head, above zero [m2].
        depression: of the bench [Pa].

    Returns:
        Coefficient [1], broadcast shape.

    Source: heywood (section 6.3; constant density).
    """
    return flow / (area * bench_speed(depression))


def mean_flow(table_lift: FloatArray, table_flow: FloatArray, lift: float) -> float:
    """Flow averaged over a valve event whose lift is half a cosine wave.

    Args:
        table_lift: rising, shape (m,) [m].
        table_flow: shape (m,); any unit.
        lift: full lift [m].

    Returns:
        Mean flow, same unit as ``table_flow``.

    Source: own choice of the lift curve; a lift table would give it exactly.
    """
    phase = (np.arange(720) + 0.5) / 720.0
    lifts = lift * 0.5 * (1.0 - np.cos(2.0 * math.pi * phase))
    return float(np.mean(flow_at_lift(lifts, table_lift, table_flow)))


def inlet_mach_index(
    bore: Number,
    stroke: Number,
    rpm: Number,
    valve_area: Number,
    coefficient: Number,
    sound_speed: Number = SOUND_SPEED,
) -> Number:
    """Inlet Mach index Z: mean speed the piston asks of the inlet valves' effective area, over the speed of sound.

    Args:
        bore: scalar or shape (n,) [m].
        stroke: [m].
        rpm: [rpm].
        valve_area: area of the heads of one cylinder's intake valves [m2].
        coefficient: mean flow coefficient on that area [1].
        sound_speed: in the inlet [m/s].

    Returns:
        Z [1], broadcast shape; volumetric efficiency falls off above 0.5 to 0.6.

    Source: heywood (section 6.3.2, after Taylor).
    """
    piston = math.pi / 4.0 * bore**2
    return piston * mean_piston_speed(stroke, rpm) / (valve_area * coefficient * sound_speed)
