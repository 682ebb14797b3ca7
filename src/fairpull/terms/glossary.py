"""The glossary: every channel the house knows, as data.

Values inside are SI, fractions as fractions. One exception, written down: shaft speeds are held in rpm (1/min),
because grids, limits and readers are in rpm; such a value is always called ``rpm`` or ends in ``_rpm``.
"""

# ruff: noqa: E501

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
        numbered: True when there may be one per cylinder or bank; then ``name_1``, ``name_2`` ... are its
            channels.
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


# fmt: off
CHANNELS: tuple[Channel, ...] = (
    _channel("time", "s", 0, 36000, "time, t, elapsed, elapsed time, clock, timestamp, time stamp, time of day, run time, seconds, sec, log time, test time, date time, datetime, zeit, uhrzeit, temps", "clock", error="absolute"),
    _channel("rpm", "rpm", 100, 20000, "rpm, speed, engine speed, n, revs, shaft speed, crank speed, crankshaft speed, engine rpm, brake speed, rotational speed, rev, motor speed, ne, neng, n eng, n engine, drehzahl, motordrehzahl, régime, regime", "crankshaft speed"),
    _channel("torque", "N m", -200, 5000, "torque, tq, trq, brake torque, load torque, engine torque, shaft torque, torque observed, observed torque, md, drehmoment, moment, couple", "brake torque, observed", better="higher"),
    _channel("power", "W", -5e5, 2e6, "power, hp, bhp, kw, brake power, engine power, shaft power, observed power, power observed, horsepower, brake horsepower, full load power, leistung, puissance, ps", "brake power, observed", better="higher"),
    _channel("throttle", "1", -0.02, 1.05, "throttle, tps, throttle position, pedal, throttle angle, throttle opening, pedal position, drosselklappe", "throttle opening, fraction", error="absolute"),
    _channel("manifold_pressure", "Pa", 1e4, 6e5, "map, manifold pressure, manifold, manifold abs pressure, manifold absolute pressure, intake manifold pressure, man press, manifold press, intake pressure, saugrohrdruck, ladedruck absolut", "manifold pressure, absolute", error="absolute"),
    _channel("boost", "Pa", -1e5, 5e5, "boost, boost pressure, boost gauge, manifold gauge pressure, ladedruck", "manifold pressure, gauge", error="absolute"),
    _channel("barometer", "Pa", 5e4, 1.1e5, "barometer, baro, ambient pressure, station pressure, barometric pressure, baro press, baro pressure, atmospheric pressure, atm pressure, air pressure, room pressure, cell pressure, p amb, pamb, luftdruck", "station pressure, absolute", error="absolute"),
    _channel("inlet_temperature", "K", 233, 353, "inlet air, inlet air temp, air temp, intake air temperature, iat, inlet temp, inlet temperature, inlet air temperature, air inlet temp, intake air temp, intake temp, air temperature, ambient temp, ambient temperature, room temp, cell temp, cell temperature, t amb, tamb, t air, carb air temp, ansauglufttemperatur, lufttemperatur", "air at the inlet", error="absolute"),
    _channel("relative_humidity", "1", 0, 1.02, "humidity, rh, rel hum, relative humidity, rel humidity, hum, air humidity, luftfeuchte, luftfeuchtigkeit", "relative humidity, fraction", error="absolute"),
    _channel("dew_point", "K", 223, 313, "dew point, dewpoint, dew point temp, dew point temperature, dew temp, taupunkt", "dew point", error="absolute"),
    _channel("wet_bulb", "K", 233, 323, "wet bulb, wet bulb temp, wet bulb temperature, wetbulb", "wet-bulb temperature", error="absolute"),
    _channel("vapour_pressure", "Pa", 0, 8000, "vapour pressure, vapor pressure, vap press, vapour press, vapor press, water vapour pressure, water vapor pressure, dampfdruck", "water-vapour pressure", error="absolute"),
    _channel("air_mass_flow", "kg/s", 0, 5, "air flow, air mass flow, airflow, maf, mass air flow, air mass, air lb hr, intake air flow, luftmasse, luftmassenstrom", "air flow by mass"),
    _channel("air_volume_flow", "m3/s", 0, 5, "air cfm, air volume flow, air volume, air turbine, cfm", "air flow by volume"),
    _channel("fuel_mass_flow", "kg/s", 0, 0.5, "fuel flow, fuel, fuel mass flow, fuel rate, fuel consumption, fuel mass, fuel meter, fuel lb hr, kraftstoff, kraftstoffmassenstrom", "fuel flow by mass, all meters added", better="lower"),
    _channel("fuel_volume_flow", "m3/s", 0, 1e-3, "fuel volume flow, fuel volume, fuel gph", "fuel flow by volume"),
    _channel("fuel_density", "kg/m3", 600, 1000, "fuel density, fuel dens, density fuel, fuel specific gravity", "fuel density"),
    _channel("fuel_temperature", "K", 240, 360, "fuel temp, fuel temperature", "fuel temperature at the meter", error="absolute"),
    _channel("lambda", "1", 0.5, 2.5, "lambda, lam, λ, lambda sensor, wideband lambda", "air over stoichiometric air", error="absolute", numbered=True),
    _channel("air_fuel_ratio", "1", 3, 40, "afr, air fuel ratio, air fuel, a/f, a f ratio, wideband, wideband afr, wideband o2, af", "air over fuel by mass", error="absolute", numbered=True),
    _channel("spark_advance", "rad", -0.6, 1.2, "spark, timing, advance, spark advance, ignition advance, ign adv, ign advance, ignition timing, ignition angle, spark angle, spark timing, total timing, ign timing, ign angle, zündwinkel", "ignition before top centre", error="absolute"),
    _channel("knock", "1", 0, 1e4, "knock, knock level, knock intensity, knock signal", "knock level, instrument's own scale", better="lower", error="absolute", numbered=True),
    _channel("exhaust_temperature", "K", 250, 1500, "egt, exhaust temp, exhaust gas temp, exhaust temperature, exhaust gas temperature, exh temp, exh, abgastemperatur", "exhaust gas by cylinder", error="absolute", numbered=True),
    _channel("exhaust_pressure", "Pa", 5e4, 6e5, "back pressure, exhaust pressure, exhaust back pressure, exh press, exh pressure, backpressure, exhaust backpressure, collector pressure, ebp", "exhaust back-pressure, absolute", better="lower", error="absolute"),
    _channel("oil_pressure", "Pa", -2e4, 1.5e6, "oil press, oil pressure, oil p, öldruck", "oil pressure, gauge", error="absolute"),
    _channel("oil_temperature", "K", 250, 430, "oil temp, oil temperature, oil t, sump temp, oil in temp, öltemperatur", "oil temperature", error="absolute"),
    _channel("coolant_in", "K", 250, 400, "water in, coolant in, coolant in temp, water in temp, coolant inlet temp, water inlet temp, coolant inlet", "coolant into the engine", error="absolute"),
    _channel("coolant_out", "K", 250, 400, "water out, coolant out, water temp, coolant temp, coolant temperature, water temperature, coolant out temp, water out temp, coolant outlet temp, ect, clt, coolant, engine coolant temp, kühlwassertemperatur", "coolant out of the engine", error="absolute"),
    _channel("fuel_pressure", "Pa", 0, 3e7, "fuel press, fuel pressure, rail pressure, fuel p, fuel rail pressure", "fuel pressure, gauge", error="absolute"),
    _channel("crankcase_pressure", "Pa", -2e4, 2e4, "crankcase, crankcase pressure, crankcase press, crank case pressure, pan vacuum", "crankcase pressure, gauge", error="absolute"),
    _channel("blow_by", "m3/s", 0, 0.02, "blow by, blowby, blow by flow", "blow-by flow", better="lower"),
    _channel("charge_temperature_before_cooler", "K", 233, 550, "charge temp before cooler, blower out temp, compressor out temp, charge temperature before cooler, cooler in temp, intercooler in temp, blower discharge temp, compressor outlet temp", "charge out of the compressor", error="absolute"),
    _channel("charge_temperature_after_cooler", "K", 233, 450, "charge temp, charge temp after cooler, manifold air temp, charge temperature, charge temperature after cooler, cooler out temp, intercooler out temp, charge air temp, manifold temp, mat, act", "charge into the manifold", error="absolute"),
    _channel("boost_before_cooler", "Pa", -5e4, 6e5, "boost before cooler, boost pre cooler, compressor out pressure, cooler in pressure, blower out pressure", "boost out of the compressor, gauge", error="absolute"),
    _channel("boost_after_cooler", "Pa", -5e4, 6e5, "boost after cooler, boost post cooler, cooler out pressure", "boost into the manifold, gauge", error="absolute"),
    _channel("turbine_rpm", "rpm", 0, 400000, "turbo speed, turbine speed, compressor speed, turbo rpm, turbine rpm, turbocharger speed, shaft speed turbo", "compressor or turbine speed"),
    _channel("blower_rpm", "rpm", 0, 120000, "blower speed, blower rpm, belt speed, blower belt speed, supercharger speed, supercharger rpm", "blower speed at its drive"),
    _channel("cam_phase", "rad", -1.5, 1.5, "cam phase, vvt, cam phasing, cam angle, cam advance, intake cam phase, cam timing", "cam phasing", error="absolute", numbered=True),
    _channel("injector_duty", "1", 0, 1.05, "duty, injector duty, inj duty, duty cycle, injector duty cycle, idc", "injector duty, fraction", error="absolute"),
    _channel("brake_outlet_temperature", "K", 260, 380, "brake water out, brake temp, absorber temp, brake outlet temp, absorber water out, brake water temp, brake outlet temperature, brake water outlet temp", "brake water outlet", error="absolute"),
    _channel("carbon_monoxide", "1", 0, 0.2, "co, co ppm, carbon monoxide, cell co, co cell, room co", "carbon monoxide in the cell, mole fraction", better="lower", error="absolute"),
    _channel("bmep", "Pa", -5e5, 5e6, "bmep, max bmep, brake mean effective pressure, mean effective pressure, full load bmep, pme", "brake mean effective pressure", better="higher"),
)
# fmt: on

BY_NAME: dict[str, Channel] = {channel.name: channel for channel in CHANNELS}
