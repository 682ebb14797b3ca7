"""Units nobody wrote down: guessed from what a full-load pull can be, and only where one unit alone fits."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from fairpull.terms import units
from fairpull.terms.arrays import FloatArray
from fairpull.terms.units import Unit

TEMPERATURES = ("°C", "°F", "K")
PRESSURES = ("kPa", "hPa", "bar", "psi", "inHg", "mmHg", "Pa", "MPa")
SMALL_PRESSURES = ("kPa", "mbar", "psi", "inHg", "mmHg", "inH2O", "Pa")
AIR_FLOWS = ("kg/h", "g/s", "kg/s", "lb/h", "lb/min")
FUEL_FLOWS = ("kg/h", "g/s", "kg/s", "lb/h", "g/min")
VOLUME_FLOWS = ("L/h", "L/min", "gal/h", "mL/s", "mL/min")
TORQUES = ("N m", "lb-ft", "kgf m", "lb-in")
POWERS = ("kW", "hp", "PS", "W")

# What a channel usually reads during a pull, in the house unit, and the units it is usually written in.
LIKELY: dict[str, tuple[float, float, tuple[str, ...]]] = {
    "rpm": (300, 15000, ("rpm", "rad/s", "rev/s", "krpm")),
    "torque": (5, 3000, TORQUES),
    "power": (1e3, 1.5e6, POWERS),
    "manifold_pressure": (2e4, 4e5, PRESSURES),
    "boost": (-8e4, 3e5, PRESSURES),
    "barometer": (6.5e4, 1.08e5, PRESSURES),
    "inlet_temperature": (273, 325, TEMPERATURES),
    "dew_point": (253, 303, TEMPERATURES),
    "wet_bulb": (268, 305, TEMPERATURES),
    "vapour_pressure": (100, 6000, SMALL_PRESSURES),
    "fuel_temperature": (273, 330, TEMPERATURES),
    "air_mass_flow": (3e-3, 3, AIR_FLOWS),
    "air_volume_flow": (3e-3, 3, ("cfm", "m3/h", "L/s", "m3/min")),
    "fuel_mass_flow": (2e-4, 0.2, FUEL_FLOWS),
    "fuel_volume_flow": (3e-7, 3e-4, VOLUME_FLOWS),
    "fuel_density": (640, 900, ("kg/m3", "kg/L", "lb/gal")),
    "spark_advance": (-0.2, 0.9, ("°", "rad")),
    "exhaust_temperature": (500, 1350, TEMPERATURES),
    "exhaust_pressure": (7e4, 5e5, PRESSURES),
    "oil_pressure": (1e5, 9e5, PRESSURES),
    "oil_temperature": (310, 420, TEMPERATURES),
    "coolant_in": (300, 385, TEMPERATURES),
    "coolant_out": (310, 390, TEMPERATURES),
    "fuel_pressure": (1.5e4, 2.5e7, PRESSURES),
    "crankcase_pressure": (-1e4, 1e4, SMALL_PRESSURES),
    "blow_by": (1e-5, 5e-3, ("L/min", "cfm", "m3/h")),
    "charge_temperature_before_cooler": (290, 520, TEMPERATURES),
    "charge_temperature_after_cooler": (275, 400, TEMPERATURES),
    "boost_before_cooler": (-2e4, 4e5, PRESSURES),
    "boost_after_cooler": (-2e4, 4e5, PRESSURES),
    "turbine_rpm": (1500, 350000, ("rpm", "krpm")),
    "blower_rpm": (300, 110000, ("rpm", "krpm")),
    "cam_phase": (-1.2, 1.2, ("°", "rad")),
    "brake_outlet_temperature": (278, 365, TEMPERATURES),
    "bmep": (2e5, 4e6, ("bar", "kPa", "psi", "MPa")),
}
SAMPLE = 500


@dataclass(frozen=True, slots=True)
class Guess:
    """A guessed unit, or the units among which the values cannot decide.

    Attributes:
        unit: the unit, or None.
        reason: why, or why not.
    """

    unit: Unit | None
    reason: str


def sample(values: FloatArray) -> FloatArray:
    """Some of the finite values, evenly taken, for judging a long column.

    Args:
        values: shape (n,).

    Returns:
        At most about SAMPLE values.
    """
    taken = values[:: max(1, len(values) // SAMPLE)]
    return taken[np.isfinite(taken)]


def middle(values: FloatArray) -> float:
    """Median of a short column; many times faster than the library's, which looks for NaN and axes first.

    Args:
        values: finite, shape (n,).

    Returns:
        The median, NaN for no values.
    """
    count = len(values)
    if not count:
        return float("nan")
    ordered = np.sort(values)
    return float(0.5 * (ordered[(count - 1) // 2] + ordered[count // 2]))


def guess_unit(channel: str, house_unit: str, values: FloatArray) -> Guess:
    """Guess the unit of a column that has none.

    Args:
        channel: glossary name.
        house_unit: its house unit.
        values: the column as it stood, shape (n,).

    Returns:
        The unit where exactly one fits what is usual in a pull, else the reason.
    """
    taken = sample(values)
    if len(taken) == 0:
        return Guess(None, "the column is empty")
    low, high = (float(value) for value in np.percentile(taken, (5, 95)))
    if house_unit == "1":
        return _guess_fraction(channel, float(np.max(taken)))
    if channel == "time":
        return _guess_time(taken)
    if channel not in LIKELY:
        return Guess(None, f"write its unit, the house holds it in {house_unit}")
    fitting = [unit for unit in _candidates(channel) if _fits(channel, unit, low, high)]
    if len({round(np.log(unit.scale), 2) + unit.offset for unit in fitting}) == 1:
        low_house, high_house = LIKELY[channel][:2]
        shown = f"{low:.4g} to {high:.4g} fits {fitting[0].symbol} alone of the usual units"
        return Guess(fitting[0], f"{shown} ({low_house:g} to {high_house:g} {house_unit} is usual)")
    names = " or ".join(unit.symbol for unit in fitting) or "none of the usual units"
    return Guess(None, f"{low:.4g} to {high:.4g} could be {names}")


def _candidates(channel: str) -> list[Unit]:
    found = (units.lookup(symbol) for symbol in LIKELY[channel][2])
    return [unit for unit in found if unit is not None]


def _fits(channel: str, unit: Unit, low: float, high: float) -> bool:
    least, most, _ = LIKELY[channel]
    return least <= low * unit.scale + unit.offset and high * unit.scale + unit.offset <= most


def _guess_fraction(channel: str, most: float) -> Guess:
    one, percent, parts = units.TABLE["1"], units.TABLE["%"], units.TABLE["ppm"]
    if channel in ("lambda", "air_fuel_ratio", "knock"):
        return Guess(one, "has no unit")
    if channel == "carbon_monoxide":
        return Guess(parts, f"up to {most:.4g}: only ppm is possible") if most > 10 else Guess(None, "ppm or per cent?")
    if most > 1.5:
        return Guess(percent, f"up to {most:.4g}: only per cent is possible")
    return Guess(one, f"up to {most:.4g}: a fraction")


def _guess_time(taken: FloatArray) -> Guess:
    steps = np.diff(taken)
    steps = steps[steps > 0]
    first = float(taken[0])
    for unit, size in (("s", 1.0), ("ms", 1e-3), ("us", 1e-6), ("ns", 1e-9)):
        if 3e8 < first * size < 4.5e9:
            return Guess(units.TABLE[unit], f"{first:.0f} {unit} since 1970")
    span = float(taken[-1] - taken[0])
    whole = bool(np.all(taken == np.round(taken)))
    if len(steps) and whole and span > 4000 and float(np.median(steps)) >= 4:
        return Guess(units.TABLE["ms"], f"whole numbers up to {span:.0f}: milliseconds")
    return Guess(units.TABLE["s"], "a clock without unit is taken as seconds")


def torque_power_units(ratio: float, torque: str, power: str) -> list[tuple[Unit, Unit]]:
    """The pairs of units for which torque times speed is power.

    Args:
        ratio: median of torque x rpm / power, as the columns stood.
        torque, power: unit spellings that are already known, or "".

    Returns:
        All pairs that agree within 0.7 %; empty where none does.
    """
    found = []
    for torque_symbol in (torque,) if torque else TORQUES:
        for power_symbol in (power,) if power else POWERS:
            torque_unit, power_unit = units.lookup(torque_symbol), units.lookup(power_symbol)
            if torque_unit is None or power_unit is None:
                continue
            expected = power_unit.scale / torque_unit.scale * 30 / np.pi
            if abs(ratio / expected - 1) < 0.007:
                found.append((torque_unit, power_unit))
    return found


def torque_speed_over_power(torque: FloatArray, rpm: FloatArray, power: FloatArray) -> float:
    """Median of torque x rpm / power over the rows that carry load.

    Args:
        torque, rpm, power: columns in any units, shape (n,).

    Returns:
        The median, NaN when no row can be used.
    """
    step = max(1, len(torque) // SAMPLE)
    torque, rpm, power = torque[::step], rpm[::step], power[::step]
    good = np.isfinite(torque) & np.isfinite(rpm) & np.isfinite(power)
    if not np.any(good):
        return float("nan")
    loaded = good & (np.abs(power) > 0.2 * np.max(np.abs(power[good]))) & (rpm > 0)
    return float(np.median(torque[loaded] * rpm[loaded] / power[loaded])) if np.any(loaded) else float("nan")
