"""Units as data: symbol, house unit, scale, offset, the same in pint's words, and how the trade spells it.

``house value = value x scale + offset``. A test proves every row against pint. Spellings are matched without
regard to case, spaces, dots, dashes and stars, so only truly different ones are listed.
"""

# ruff: noqa: E501

from __future__ import annotations

from math import pi

INCH = 0.0254
FOOT = 0.3048
POUND = 0.45359237
GRAVITY = 9.80665
POUND_FORCE = POUND * GRAVITY
PSI = POUND_FORCE / INCH**2
MERCURY = 133.322387415  # Pa per mm, conventional, 0 degC
WATER = 9.80665  # Pa per mm, conventional, 4 degC
GALLON = 231 * INCH**3
HORSEPOWER = 550 * FOOT * POUND_FORCE
METRIC_HORSEPOWER = 75 * GRAVITY
FAHRENHEIT = 5 / 9

# symbol, house unit, scale, offset, pint expression, further spellings
Row = tuple[str, str, float, float, str, str]

ROWS: tuple[Row, ...] = (
    ("s", "s", 1, 0, "second", "sec, secs, second, seconds, sekunden"),
    ("ms", "s", 1e-3, 0, "millisecond", "msec, millisecond, milliseconds"),
    ("us", "s", 1e-6, 0, "microsecond", "µs, usec, microseconds"),
    ("ns", "s", 1e-9, 0, "nanosecond", "nanoseconds"),
    ("min", "s", 60, 0, "minute", "minute, minutes"),
    ("h", "s", 3600, 0, "hour", "hr, hour, hours"),
    ("rpm", "rpm", 1, 0, "rpm", "1/min, r/min, rev/min, revs/min, min-1, u/min, tr/min, revolutions/minute, rpms"),
    ("krpm", "rpm", 1000, 0, "kilorpm", "rpm x1000, rpmx1000, x1000rpm, 1000rpm, 1000/min"),
    ("rad/s", "rpm", 30 / pi, 0, "radian/second", "rads, rad s-1, rad/sec, radians/s"),
    ("rev/s", "rpm", 60, 0, "revolution/second", "r/s, rps, 1/s, hz, revs/s"),
    ("N m", "N m", 1, 0, "newton*meter", "newton metre, newton meter, newtonmetres, newtonmeters, mN newton"),
    ("kN m", "N m", 1000, 0, "kilonewton*meter", ""),
    ("daN m", "N m", 10, 0, "decanewton*meter", ""),
    (
        "lb-ft",
        "N m",
        FOOT * POUND_FORCE,
        0,
        "force_pound*foot",
        "lbf ft, ft lb, ft lbf, lbs ft, ft lbs, foot pounds, foot pound, pound feet, pound foot, pounds feet, lb/ft, ft/lb,"
        "ft/lbs, lbs/ft, lb foot, lbft tq",
    ),
    ("lb-in", "N m", INCH * POUND_FORCE, 0, "force_pound*inch", "lbf in, in lb, in lbf, in lbs, inch pounds, pound inch"),
    ("kgf m", "N m", GRAVITY, 0, "force_kilogram*meter", "kg m, m kg, mkgf, mkp, kpm, kgm torque"),
    ("W", "W", 1, 0, "watt", "watt, watts"),
    ("kW", "W", 1e3, 0, "kilowatt", "kilowatt, kilowatts"),
    ("MW", "W", 1e6, 0, "megawatt", "megawatt"),
    ("hp", "W", HORSEPOWER, 0, "horsepower", "bhp, horsepower, shp, hp(i), hp imperial, hp mech, uk hp, us hp"),
    ("PS", "W", METRIC_HORSEPOWER, 0, "metric_horsepower", "cv, metric hp, hp metric, hp(m), pferdestärke, din ps, pk"),
    ("1", "1", 1, 0, "dimensionless", "-, --, ratio, fraction, frac, :1, x:1, lambda, λ, lam, afr, none, unitless, kg/kg, n/a"),
    ("%", "1", 0.01, 0, "percent", "pct, percent, per cent, % rh, %rh, prozent, vol%, % vol"),
    ("ppm", "1", 1e-6, 0, "ppm", "ppmv, ppm vol"),
    ("Pa", "Pa", 1, 0, "pascal", "pascal, pascals, n/m2"),
    ("hPa", "Pa", 1e2, 0, "hectopascal", ""),
    ("kPa", "Pa", 1e3, 0, "kilopascal", "kilopascal"),
    ("MPa", "Pa", 1e6, 0, "megapascal", ""),
    ("bar", "Pa", 1e5, 0, "bar", "bars"),
    ("mbar", "Pa", 1e2, 0, "millibar", "mb, millibar, millibars"),
    ("psi", "Pa", PSI, 0, "psi", "lbf/in2, lb/in2, lb/sq in, lbs/sq in, pounds/sq in"),
    ("inHg", "Pa", MERCURY * 25.4, 0, "inch_Hg", "hg, in of hg, inches hg, inch hg, inches of mercury, ins hg, hg in, \"hg"),
    ("mmHg", "Pa", MERCURY, 0, "millimeter_Hg", "mm of hg, hg mm"),
    ("torr", "Pa", 101325 / 760, 0, "torr", ""),
    ("inH2O", "Pa", WATER * 25.4, 0, "inch_H2O", "in h20, inches h2o, in wc, inwg, inches of water, \"h2o, \"wc, in of water"),
    ("mmH2O", "Pa", WATER, 0, "millimeter_H2O", "mm h20, mmwc, mm of water"),
    ("atm", "Pa", 101325, 0, "atmosphere", "atmosphere"),
    ("kgf/cm2", "Pa", GRAVITY * 1e4, 0, "force_kilogram/centimeter**2", "kg/cm2, at, kp/cm2"),
    ("K", "K", 1, 0, "kelvin", "kelvin, deg k"),
    ("°C", "K", 1, 273.15, "degree_Celsius", "deg c, c, celsius, degrees c, grad c, centigrade, degree celsius, degs c, ºc, ˚c"),
    ("°F", "K", FAHRENHEIT, 459.67 * FAHRENHEIT, "degree_Fahrenheit", "deg f, f, fahrenheit, degrees f, degree fahrenheit, degs f, ºf, ˚f"),
    ("°R", "K", FAHRENHEIT, 0, "degree_Rankine", "deg r, rankine"),
    ("rad", "rad", 1, 0, "radian", "radian, radians"),
    ("°", "rad", pi / 180, 0, "degree", "deg, degree, degrees, deg ca, ca, deg crank, crank deg, deg btdc, btdc, degrees btdc, deg bt, cad"),
    ("kg/s", "kg/s", 1, 0, "kilogram/second", "kg s-1, kg/sec"),
    ("g/s", "kg/s", 1e-3, 0, "gram/second", "g s-1, g/sec, gps, grams/s, grams/sec, gm/s"),
    ("kg/min", "kg/s", 1 / 60, 0, "kilogram/minute", ""),
    ("kg/h", "kg/s", 1 / 3600, 0, "kilogram/hour", "kg/hr, kgph, kg/hour, kgh"),
    ("g/min", "kg/s", 1e-3 / 60, 0, "gram/minute", ""),
    ("g/h", "kg/s", 1e-3 / 3600, 0, "gram/hour", "g/hr"),
    ("lb/h", "kg/s", POUND / 3600, 0, "pound/hour", "lb/hr, lbs/h, lbs/hr, pph, lbm/h, lbm/hr, lbhr, lbh, pounds/hour, pounds/h, lb/hour"),
    ("lb/min", "kg/s", POUND / 60, 0, "pound/minute", "lbs/min, lbm/min, ppm mass"),
    ("m3/s", "m3/s", 1, 0, "meter**3/second", ""),
    ("m3/min", "m3/s", 1 / 60, 0, "meter**3/minute", "cmm"),
    ("m3/h", "m3/s", 1 / 3600, 0, "meter**3/hour", "m3/hr, cmh"),
    ("L/s", "m3/s", 1e-3, 0, "liter/second", "litre/s, liter/s, l/sec"),
    ("L/min", "m3/s", 1e-3 / 60, 0, "liter/minute", "lpm, litre/min, liter/min, litres/min, liters/min"),
    ("L/h", "m3/s", 1e-3 / 3600, 0, "liter/hour", "l/hr, lph, litre/h, liter/h, litres/hour, liters/hour"),
    ("mL/min", "m3/s", 1e-6 / 60, 0, "milliliter/minute", "cc/min, cm3/min, ccm, ml/minute"),
    ("mL/s", "m3/s", 1e-6, 0, "milliliter/second", "cc/s, cm3/s, cc/sec"),
    ("cfm", "m3/s", FOOT**3 / 60, 0, "foot**3/minute", "ft3/min, cubic feet/min, cu ft/min, cuft/min"),
    ("ft3/h", "m3/s", FOOT**3 / 3600, 0, "foot**3/hour", "cfh, ft3/hr, cu ft/h"),
    ("gal/h", "m3/s", GALLON / 3600, 0, "gallon/hour", "gph, gal/hr, us gal/h, us gal/hr, gallons/hour"),
    ("gal/min", "m3/s", GALLON / 60, 0, "gallon/minute", "gpm, us gal/min"),
    ("kg/m3", "kg/m3", 1, 0, "kilogram/meter**3", "kg m-3, kgm-3"),
    ("kg/L", "kg/m3", 1e3, 0, "kilogram/liter", "kg/litre, kg/liter, kg/dm3"),
    ("g/cm3", "kg/m3", 1e3, 0, "gram/centimeter**3", "g/cc, g/ml, gm/cc"),
    ("g/L", "kg/m3", 1, 0, "gram/liter", ""),
    ("lb/gal", "kg/m3", POUND / GALLON, 0, "pound/gallon", "lbs/gal, lb/us gal"),
    ("lb/ft3", "kg/m3", POUND / FOOT**3, 0, "pound/foot**3", "lb/cu ft, lbs/ft3, lbm/ft3"),
    ("kg/J", "kg/J", 1, 0, "kilogram/joule", ""),
    ("g/kWh", "kg/J", 1e-3 / 3.6e6, 0, "gram/(kilowatt*hour)", "gkwh, g/kw h, g/kwhr, g/(kwh), g/(kw h)"),
    ("lb/hp h", "kg/J", POUND / (HORSEPOWER * 3600), 0, "pound/(horsepower*hour)", "lb/hphr, lb/hp hr, lb/hr/hp, lb/h/hp, lbs/hphr, lb/bhp hr"),
    ("J/kg", "J/kg", 1, 0, "joule/kilogram", ""),
    ("kJ/kg", "J/kg", 1e3, 0, "kilojoule/kilogram", ""),
    ("MJ/kg", "J/kg", 1e6, 0, "megajoule/kilogram", ""),
    ("Btu/lb", "J/kg", 1055.05585262 / POUND, 0, "Btu_it/pound", "btu/lbm"),
    ("m", "m", 1, 0, "meter", "metre, meter, metres, meters"),
    ("mm", "m", 1e-3, 0, "millimeter", "millimetre, millimeter"),
    ("cm", "m", 1e-2, 0, "centimeter", "centimetre, centimeter"),
    ("km", "m", 1e3, 0, "kilometer", ""),
    ("in", "m", INCH, 0, "inch", "inch, inches, \""),
    ("ft", "m", FOOT, 0, "foot", "foot, feet"),
    ("m2", "m2", 1, 0, "meter**2", "sq m"),
    ("cm2", "m2", 1e-4, 0, "centimeter**2", "sq cm"),
    ("mm2", "m2", 1e-6, 0, "millimeter**2", "sq mm"),
    ("in2", "m2", INCH**2, 0, "inch**2", "sq in"),
    ("m3", "m3", 1, 0, "meter**3", "cubic metres"),
    ("L", "m3", 1e-3, 0, "liter", "litre, liter, litres, liters, dm3"),
    ("cm3", "m3", 1e-6, 0, "centimeter**3", "cc, ccs, ml"),
    ("in3", "m3", INCH**3, 0, "inch**3", "ci, cid, cu in, cubic inches, cui"),
    ("kg", "kg", 1, 0, "kilogram", "kilogram, kilograms, kilos"),
    ("g", "kg", 1e-3, 0, "gram", "gram, grams"),
    ("lb", "kg", POUND, 0, "pound", "lbs, lbm, pounds"),
    ("oz", "kg", POUND / 16, 0, "ounce", "ounces"),
    ("N", "N", 1, 0, "newton", "newton, newtons"),
    ("lbf", "N", POUND_FORCE, 0, "force_pound", "pounds force"),
    ("kgf", "N", GRAVITY, 0, "force_kilogram", "kp"),
    ("kg m2", "kg m2", 1, 0, "kilogram*meter**2", ""),
    ("lb in2", "kg m2", POUND * INCH**2, 0, "pound*inch**2", "lbm in2, lb sq in"),
    ("lb ft2", "kg m2", POUND * FOOT**2, 0, "pound*foot**2", "lbm ft2"),
    ("slug ft2", "kg m2", FOOT * POUND_FORCE, 0, "slug*foot**2", "lbf ft s2, lb ft s2"),
    ("rpm/s", "rpm/s", 1, 0, "rpm/second", "rpm/sec, 1/min/s"),
    ("rad/s2", "rpm/s", 30 / pi, 0, "radian/second**2", ""),
    ("m/s", "m/s", 1, 0, "meter/second", "m s-1, m/sec"),
    ("ft/min", "m/s", FOOT / 60, 0, "foot/minute", "fpm"),
    ("ft/s", "m/s", FOOT, 0, "foot/second", "fps, ft/sec"),
    ("km/h", "m/s", 1 / 3.6, 0, "kilometer/hour", "kph, kmh"),
    ("mph", "m/s", 1609.344 / 3600, 0, "mile/hour", "mi/h"),
    ("J", "J", 1, 0, "joule", "joule, joules"),
    ("kWh", "J", 3.6e6, 0, "kilowatt*hour", ""),
    ("V", "V", 1, 0, "volt", "volt, volts, vdc"),
    ("mV", "V", 1e-3, 0, "millivolt", "millivolts"),
    ("A", "A", 1, 0, "ampere", "amp, amps"),
    ("mA", "A", 1e-3, 0, "milliampere", ""),
)  # fmt: skip

# Words after a pressure unit that say what it is measured against.
ABSOLUTE_WORDS = ("abs", "absolute", "a")
GAUGE_WORDS = ("gauge", "gage", "g", "rel", "relative", "overpressure")
VACUUM_WORDS = ("vac", "vacuum")

# The house unit in pint's words, for what the table does not hold.
HOUSE_IN_PINT: dict[str, str] = {row[1]: row[4] for row in ROWS if row[0] == row[1]}

# What a person reads in, by quantity (the house unit) and, where the trade differs, by channel.
METRIC: dict[str, str] = {
    "s": "s", "rpm": "rpm", "N m": "N m", "W": "kW", "1": "1", "Pa": "kPa", "K": "°C", "rad": "°", "kg/s": "kg/h",
    "m3/s": "L/h", "kg/m3": "kg/m3", "kg/J": "g/kWh", "m": "mm", "m3": "L", "m/s": "m/s", "kg m2": "kg m2",
    "J/kg": "MJ/kg", "rpm/s": "rpm/s", "kg": "kg", "N": "N", "V": "V", "A": "A", "J": "J", "m2": "cm2",
    "air_volume_flow": "m3/h", "blow_by": "L/min", "bmep": "bar", "altitude": "m",
}  # fmt: skip
US: dict[str, str] = {
    **METRIC,
    "N m": "lb-ft", "W": "hp", "Pa": "psi", "K": "°F", "kg/s": "lb/h", "m3/s": "gal/h", "kg/J": "lb/hp h", "m": "in",
    "m3": "in3", "m/s": "ft/min", "kg/m3": "lb/ft3", "kg": "lb", "N": "lbf", "J/kg": "Btu/lb", "m2": "in2",
    "air_volume_flow": "cfm", "blow_by": "cfm", "bmep": "psi", "altitude": "ft",
    "barometer": "inHg", "vapour_pressure": "inHg", "crankcase_pressure": "inH2O", "manifold_pressure": "inHg",
    "fuel_density": "lb/gal",
}  # fmt: skip
EITHER: dict[str, str] = {
    "throttle": "%", "relative_humidity": "%", "injector_duty": "%", "carbon_monoxide": "ppm",
}  # fmt: skip
QUANTITIES: dict[str, str] = {
    "time": "s", "speed": "rpm", "torque": "N m", "power": "W", "pressure": "Pa", "temperature": "K", "angle": "rad",
    "mass_flow": "kg/s", "volume_flow": "m3/s", "density": "kg/m3", "length": "m", "volume": "m3", "bsfc": "kg/J",
    "bsac": "kg/J", "mean_piston_speed": "m/s", "displacement": "m3", "altitude": "m", "inertia": "kg m2",
    "heating_value": "J/kg", "sweep_rate": "rpm/s", "bore": "m", "stroke": "m", "rod": "m",
}  # fmt: skip
