"""How much a thing that differs is likely to be worth on torque: one rule a function, each with its honest range.

Every rule gives (value, low, high): fractions of torque, other build against reference. Most are common practice
without a source; where even the sign is open the range spans zero.
"""

from __future__ import annotations

import math

from fairpull import engine

Reach = tuple[float, float, float]

PSI = 6894.757293168361
TEN_DEGF = 10.0 / 1.8  # [K]
DAY = 8.0  # hours of a day on the brake [h]
RUN_IN = 10.0  # hours until rings and bearings have settled [h]


def _spread(*values: float) -> tuple[float, float]:
    return min(values), max(values)


def pressure_effect(reference: float, other: float) -> Reach:
    """Air pressure where nothing is corrected.

    Args:
        reference: dry or total pressure at the reference [Pa].
        other: at the other build [Pa].

    Returns:
        (value, low, high), fractions of torque.

    Source: practice (4.1 % for each inHg; exponents 1 to 1.25, as between sae-j607 and sae-j1349).
    """
    ratio = other / reference
    return (ratio**1.2 - 1.0, *_spread(ratio - 1.0, ratio**1.25 - 1.0))


def temperature_effect(reference: float, other: float) -> Reach:
    """Inlet temperature where nothing is corrected.

    Args:
        reference: [K].
        other: [K].

    Returns:
        (value, low, high), fractions of torque; warmer air gives less.

    Source: practice (1 % for each 10 degF; exponents 0.5 to 0.7, as between sae-j607 and iso-1585).
    """
    ratio = reference / other
    return (ratio**0.6 - 1.0, *_spread(ratio**0.5 - 1.0, ratio**0.7 - 1.0))


def vapour_effect(pressure: float, reference: float, other: float) -> Reach:
    """Water vapour where nothing is corrected: it takes the place of air.

    Args:
        pressure: total air pressure [Pa].
        reference: vapour pressure [Pa].
        other: vapour pressure [Pa].

    Returns:
        (value, low, high), fractions of torque.

    Source: practice (dry pressure counts, as in sae-j1349).
    """
    return pressure_effect(pressure - reference, pressure - other)


def correction_effect(reference: float, other: float) -> Reach:
    """What is left in corrected torque when two factors differ: no formula is better than a fifth of what it moves.

    Args:
        reference: correction factor [1].
        other: correction factor [1].

    Returns:
        (0, low, high), fractions of torque.

    Source: practice; the exponents of pressure (1 to 1.2) and temperature (0.5 to 0.6) in sae-j607, sae-j1349 and
    iso-1585 differ by a fifth.
    """
    left = 0.2 * abs(other / reference - 1.0)
    return 0.0, -left, left


def heat_soak_effect(difference: float) -> Reach:
    """What hotter inlet air leaves in corrected torque: the factor knows the air, not the hot walls, oil and fuel.

    Args:
        difference: inlet temperature of the other less that of the reference [K].

    Returns:
        (value, low, high), fractions of torque: from nothing to 1 % for each 10 degF.

    Source: practice (1 to 4 % lost to heat soak after correction).
    """
    most = -0.01 * difference / TEN_DEGF
    return (0.3 * most, *_spread(0.0, most))


def oil_effect(difference: float) -> Reach:
    """Hotter oil is thinner, which frees torque; it also comes with hot walls, which cost some.

    Args:
        difference: oil temperature of the other less that of the reference [K].

    Returns:
        (value, low, high), fractions of torque: 0.05 % for each kelvin, from -0.1 to +0.15 %.

    Source: practice; own choice of range (oil thins by about 3 % for each kelvin, oil friction is a tenth of torque).
    """
    return (0.0005 * difference, *_spread(-0.001 * difference, 0.0015 * difference))


def coolant_effect(difference: float) -> Reach:
    """Hotter walls heat the charge; they also free the pistons.

    Args:
        difference: coolant temperature of the other less that of the reference [K].

    Returns:
        (value, low, high), fractions of torque: -0.05 % for each kelvin, from -0.1 to +0.05 %.

    Source: practice; own choice of range.
    """
    return (-0.0005 * difference, *_spread(-0.001 * difference, 0.0005 * difference))


def charge_temperature_effect(reference: float, other: float) -> Reach:
    """Charge temperature at equal boost: density goes with its inverse.

    Args:
        reference: [K].
        other: [K].

    Returns:
        (value, low, high), fractions of torque: from the root of the density ratio to 1.2 times what it says.

    Source: practice (torque goes with density ratio).
    """
    ratio = reference / other
    return (ratio - 1.0, *_spread(math.sqrt(ratio) - 1.0, 1.2 * (ratio - 1.0)))


def boost_effect(density: float) -> Reach:
    """More boost is denser charge.

    Args:
        density: density ratio of the other over that of the reference [1].

    Returns:
        (value, low, high), fractions of torque: 1.1, from 0.75 (drive power, knock) to 1.5 (friction is paid once)
        times the gain in density.

    Source: practice (torque goes with density ratio, friction and drive apart; 4 to 8 % for a psi).
    """
    gain = density - 1.0
    return (1.1 * gain, *_spread(0.75 * gain, 1.5 * gain))


def boost_pressure_effect(pressure: float) -> Reach:
    """More boost where no charge temperature is known: heat takes a part of what pressure gives.

    Args:
        pressure: absolute manifold pressure of the other over that of the reference [1].

    Returns:
        (value, low, high), fractions of torque: 0.85, from 0.6 to 1.15 times the gain in pressure.

    Source: practice (75 to 95 % of the pressure ratio is usual).
    """
    gain = pressure - 1.0
    return (0.85 * gain, *_spread(0.6 * gain, 1.15 * gain))


def hidden_torque_effect(reference: float, other: float, torque: float) -> Reach:
    """Torque that rotating parts took up and that was not given back.

    Args:
        reference: hidden torque of the reference [N m].
        other: hidden torque of the other [N m].
        torque: mean torque of the reference [N m].

    Returns:
        (value, low, high), fractions of torque; 10 % either way, as far as inertia is known.

    Source: definition, I dw/dt; practice for its uncertainty.
    """
    value = (reference - other) / torque
    return (value, *_spread(0.9 * value, 1.1 * value))


def hidden_torque(inertia: float, rate: float) -> float:
    """Torque that goes into speeding up rotating parts.

    Args:
        inertia: [kg m2].
        rate: sweep rate [rpm/s].

    Returns:
        Torque [N m].

    Source: definition, I dw/dt.
    """
    return float(engine.inertia_torque(inertia, rate))


def unknown_inertia_effect(reference: float, other: float, torque: float) -> Reach:
    """Sweep rates that differ where no inertia is known: engine and brake of a shop have 0.15 to 0.4 kg m2.

    Args:
        reference: sweep rate [rpm/s].
        other: sweep rate [rpm/s].
        torque: mean torque of the reference [N m].

    Returns:
        (value, low, high), fractions of torque.

    Source: definition, I dw/dt; practice for the inertia.
    """
    values = [hidden_torque(inertia, reference - other) / torque for inertia in (0.25, 0.15, 0.4)]
    return (values[0], *_spread(*values[1:]))


def corrected_rate_effect(reference: float, other: float, torque: float) -> Reach:
    """Sweep rates that differ where inertia was given back: what is left is the error of the inertia, a tenth.

    Args:
        reference: hidden torque of the reference [N m].
        other: hidden torque of the other [N m].
        torque: mean torque of the reference [N m].

    Returns:
        (0, low, high), fractions of torque.

    Source: definition, I dw/dt; practice for its uncertainty.
    """
    left = abs(reference - other) / torque * 0.1
    return 0.0, -left, left


def running_in_effect(reference: float, other: float) -> Reach:
    """Hours on the engine: rings seat and friction falls through the first hours.

    Args:
        reference: hours of the reference [h].
        other: hours of the other [h].

    Returns:
        (value, low, high), fractions of torque: up to 1.5 % while one of them was running in, 0.5 % either way later.

    Source: practice (0.3 to 1.5 % over a first day).
    """
    gained = min(other, RUN_IN) - min(reference, RUN_IN)
    if gained == 0.0:
        return 0.0, -0.005, 0.005
    most = 0.015 * gained / RUN_IN
    return (most / 3.0, *_spread(0.0, most))


def order_effect(gap: float | None) -> Reach:
    """Builds that ran one after the other without a return: drift looks like the change.

    Args:
        gap: time between the middles of the two [h]; None where there is no clock.

    Returns:
        (0, low, high), fractions of torque: 1.5 % over a day, never less than 0.3 %.

    Source: practice (slow drift of 0.3 to 1.5 % over a day).
    """
    share = 1.0 if gap is None else min(abs(gap) / DAY, 1.0)
    most = max(0.015 * share, 0.003)
    return 0.0, -most, most


def day_effect() -> Reach:
    """Builds that never ran on one day.

    Returns:
        (0, low, high), fractions of torque.

    Source: practice (1 to 1.5 % from day to day).
    """
    return 0.0, -0.015, 0.015


def calibration_effect() -> Reach:
    """Brakes, or one brake under two calibrations.

    Returns:
        (0, low, high), fractions of torque.

    Source: practice (span repeats within 1 %).
    """
    return 0.0, -0.01, 0.01


def zero_effect(reference: float, other: float, torque: float) -> Reach:
    """What the brake read with nothing on it: a constant torque at every speed.

    Args:
        reference: zero reading [N m].
        other: zero reading [N m].
        torque: mean torque of the reference [N m].

    Returns:
        (value, low, high), fractions of torque; the reading is good to half a newton metre.

    Source: definition; practice for the reading.
    """
    value = (other - reference) / torque
    return value, value - 0.5 / torque, value + 0.5 / torque


def accessory_effect(reference: tuple[float, float, float], other: tuple[float, float, float], power: float) -> Reach:
    """Power that accessories took.

    Args:
        reference: power taken (value, low, high) [W].
        other: power taken (value, low, high) [W].
        power: mean brake power of the reference [W].

    Returns:
        (value, low, high), fractions of torque.

    Source: definition.
    """
    return (
        (reference[0] - other[0]) / power,
        (reference[1] - other[2]) / power,
        (reference[2] - other[1]) / power,
    )


def fuel_effect(reference: tuple[float, float], other: tuple[float, float]) -> Reach:
    """Fuels that differ, at equal lambda: energy that a kilogram of air can burn, and what alcohol cools and resists.

    Args:
        reference: heating value [J/kg] and stoichiometric air-fuel ratio [1].
        other: the same of the other, [J/kg] and [1].

    Returns:
        (value, low, high), fractions of torque; alcohol as far as the air-fuel ratio shows it: 3 %, from 0 to 9 %, for
        the step from petrol (14.6) to E85 (9.8); 1 % either way for batch and octane.

    Source: heywood, chapter 3 (definition); practice for alcohol and batch.
    """
    energy = (other[0] / other[1]) / (reference[0] / reference[1]) - 1.0
    alcohol = (reference[1] - other[1]) / (14.6 - 9.8)
    low, high = _spread(0.0, 0.09 * alcohol)
    return energy + 0.03 * alcohol, energy + low - 0.01, energy + high + 0.01


def mixture_effect(difference: float) -> Reach:
    """Mixture that moved: best torque is flat, 0.03 of lambda costs less than 1 %.

    Args:
        difference: lambda of the other less that of the reference [1].

    Returns:
        (0, low, high), fractions of torque: no more than a parabola with 1 % at 0.03, and 3 %.

    Source: practice (within 0.03 of best lambda torque falls by less than 1 %).
    """
    most = min(0.01 * (difference / 0.03) ** 2, 0.03)
    return 0.0, -most, most


def spark_effect(difference: float) -> Reach:
    """Spark that moved: 1 % of torque at 4 to 5 degrees from best, 4 to 5 % at 10.

    Args:
        difference: advance of the other less that of the reference [rad].

    Returns:
        (0, low, high), fractions of torque; one of the two is taken to be near its best.

    Source: practice (torque against advance is a parabola).
    """
    most = min(0.01 * (math.degrees(difference) / 4.5) ** 2, 0.05)
    return 0.0, -most, most
