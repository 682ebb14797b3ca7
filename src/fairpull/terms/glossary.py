"""The glossary: every channel the house knows, as data.

Values inside are SI, fractions as fractions. One exception, written down: shaft speeds are held in rpm (1/min), because
grids, limits and readers are in rpm; such a value is always called ``rpm`` or ends in ``_rpm``.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Channel:
    """One measurable quantity.

    Attributes:
        name: house name, also the key in ``Recording.channels``.
        unit: house unit, SI (see terms/units.py).
        low, high: plausible range on an engine brake, in the house unit.
        spellings: common column names of the trade, lower case, words separated by single spaces.
        better: "higher", "lower" or "" when neither is better as such.
        error: "relative" or "absolute": how its measuring error is usually quoted.
        about: what it is, one phrase.
        numbered: True when there may be one per cylinder or bank; then ``name_1``, ``name_2`` ... are its channels.
    """

    name: str
    unit: str
    low: float
    high: float
    spellings: tuple[str, ...]
    better: str
    error: str
    about: str
    numbered: bool = False


def _channel(
    name: str,
    unit: str,
    low: float,
    high: float,
    spellings: str,
    about: str,
    *,
    better: str = "",
    error: str = "relative",
    numbered: bool = False,
) -> Channel:
    words = tuple(word.strip() for word in spellings.split(",") if word.strip())
    return Channel(name, unit, low, high, words, better, error, about, numbered)


CHANNELS: tuple[Channel, ...] = (
    _channel(
        "time",
        "s",
        0,
        36000,
        "time, t, elapsed, elapsed time, clock, timestamp, time stamp",
        "clock",
        error="absolute",
    ),
    _channel(
        "rpm",
        "rpm",
        100,
        20000,
        "rpm, speed, engine speed, n, revs, shaft speed, crank speed",
        "crankshaft speed",
    ),
    _channel(
        "torque",
        "N m",
        -200,
        5000,
        "torque, tq, trq, brake torque, load torque",
        "brake torque, observed",
        better="higher",
    ),
    _channel("power", "W", -5e5, 2e6, "power, hp, bhp, kw, brake power", "brake power, observed", better="higher"),
    _channel(
        "throttle",
        "1",
        -0.02,
        1.05,
        "throttle, tps, throttle position, pedal",
        "throttle opening, fraction",
        error="absolute",
    ),
    _channel(
        "manifold_pressure",
        "Pa",
        1e4,
        6e5,
        "map, manifold pressure, manifold",
        "manifold pressure, absolute",
        error="absolute",
    ),
    _channel("boost", "Pa", -1e5, 5e5, "boost, boost pressure", "manifold pressure, gauge", error="absolute"),
    _channel(
        "barometer",
        "Pa",
        5e4,
        1.1e5,
        "barometer, baro, ambient pressure, station pressure",
        "station pressure, absolute",
        error="absolute",
    ),
    _channel(
        "inlet_temperature",
        "K",
        233,
        353,
        "inlet air, inlet air temp, air temp, intake air temperature, iat",
        "air at the inlet",
        error="absolute",
    ),
    _channel(
        "relative_humidity",
        "1",
        0,
        1.02,
        "humidity, rh, rel hum, relative humidity",
        "relative humidity, fraction",
        error="absolute",
    ),
    _channel("dew_point", "K", 223, 313, "dew point, dewpoint", "dew point", error="absolute"),
    _channel("wet_bulb", "K", 233, 323, "wet bulb, wet bulb temp", "wet-bulb temperature", error="absolute"),
    _channel(
        "vapour_pressure",
        "Pa",
        0,
        8000,
        "vapour pressure, vapor pressure, vap press",
        "water-vapour pressure",
        error="absolute",
    ),
    _channel("air_mass_flow", "kg/s", 0, 5, "air flow, air mass flow, airflow, maf", "air flow by mass"),
    _channel("air_volume_flow", "m3/s", 0, 5, "air cfm, air volume flow", "air flow by volume"),
    _channel(
        "fuel_mass_flow",
        "kg/s",
        0,
        0.5,
        "fuel flow, fuel",
        "fuel flow by mass, all meters added",
        better="lower",
    ),
    _channel("fuel_volume_flow", "m3/s", 0, 1e-3, "fuel volume flow", "fuel flow by volume"),
    _channel("fuel_density", "kg/m3", 600, 1000, "fuel density", "fuel density"),
    _channel("lambda", "1", 0.5, 2.5, "lambda, lam", "air over stoichiometric air", error="absolute", numbered=True),
    _channel(
        "air_fuel_ratio",
        "1",
        3,
        40,
        "afr, air fuel ratio, air fuel, a/f",
        "air over fuel by mass",
        error="absolute",
        numbered=True,
    ),
    _channel(
        "spark_advance",
        "rad",
        -0.6,
        1.2,
        "spark, timing, advance, spark advance, ignition advance",
        "ignition before top centre",
        error="absolute",
    ),
    _channel(
        "knock",
        "1",
        0,
        1e4,
        "knock, knock level",
        "knock level, instrument's own scale",
        better="lower",
        error="absolute",
    ),
    _channel(
        "exhaust_temperature",
        "K",
        250,
        1500,
        "egt, exhaust temp, exhaust gas temp",
        "exhaust gas by cylinder",
        error="absolute",
        numbered=True,
    ),
    _channel(
        "exhaust_pressure",
        "Pa",
        5e4,
        6e5,
        "back pressure, exhaust pressure",
        "exhaust back-pressure, absolute",
        better="lower",
        error="absolute",
    ),
    _channel("oil_pressure", "Pa", -2e4, 1.5e6, "oil press, oil pressure", "oil pressure, gauge", error="absolute"),
    _channel("oil_temperature", "K", 250, 430, "oil temp, oil temperature", "oil temperature", error="absolute"),
    _channel("coolant_in", "K", 250, 400, "water in, coolant in", "coolant into the engine", error="absolute"),
    _channel(
        "coolant_out",
        "K",
        250,
        400,
        "water out, coolant out, water temp, coolant temp",
        "coolant out of the engine",
        error="absolute",
    ),
    _channel("fuel_pressure", "Pa", 0, 3e7, "fuel press, fuel pressure", "fuel pressure, gauge", error="absolute"),
    _channel(
        "crankcase_pressure",
        "Pa",
        -2e4,
        2e4,
        "crankcase, crankcase pressure",
        "crankcase pressure, gauge",
        error="absolute",
    ),
    _channel("blow_by", "m3/s", 0, 0.02, "blow by, blowby", "blow-by flow", better="lower"),
    _channel(
        "charge_temperature_before_cooler",
        "K",
        233,
        550,
        "charge temp before cooler, blower out temp",
        "charge out of the compressor",
        error="absolute",
    ),
    _channel(
        "charge_temperature_after_cooler",
        "K",
        233,
        450,
        "charge temp, charge temp after cooler, manifold air temp",
        "charge into the manifold",
        error="absolute",
    ),
    _channel(
        "boost_before_cooler",
        "Pa",
        -5e4,
        6e5,
        "boost before cooler",
        "boost out of the compressor, gauge",
        error="absolute",
    ),
    _channel(
        "boost_after_cooler",
        "Pa",
        -5e4,
        6e5,
        "boost after cooler",
        "boost into the manifold, gauge",
        error="absolute",
    ),
    _channel(
        "turbine_rpm",
        "rpm",
        0,
        400000,
        "turbo speed, turbine speed, compressor speed",
        "compressor or turbine speed",
    ),
    _channel("blower_rpm", "rpm", 0, 120000, "blower speed, blower rpm, belt speed", "blower speed at its drive"),
    _channel("cam_phase", "rad", -1.5, 1.5, "cam phase, vvt", "cam phasing", error="absolute"),
    _channel(
        "injector_duty",
        "1",
        0,
        1.05,
        "duty, injector duty, inj duty",
        "injector duty, fraction",
        error="absolute",
    ),
    _channel(
        "brake_outlet_temperature",
        "K",
        260,
        380,
        "brake water out, brake temp, absorber temp",
        "brake water outlet",
        error="absolute",
    ),
    _channel(
        "carbon_monoxide",
        "1",
        0,
        0.2,
        "co, co ppm, carbon monoxide",
        "carbon monoxide in the cell, mole fraction",
        better="lower",
        error="absolute",
    ),
    _channel("bmep", "Pa", -5e5, 5e6, "bmep, max bmep", "brake mean effective pressure", better="higher"),
)

BY_NAME: dict[str, Channel] = {channel.name: channel for channel in CHANNELS}
