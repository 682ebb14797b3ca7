"""Unit traps: what was stated or assumed is held against what an engine on a brake can read."""

from __future__ import annotations

from math import exp

import numpy as np

from fairpull.logs import guess
from fairpull.logs.conditions import Handed
from fairpull.logs.guess import LIKELY
from fairpull.logs.recognise import Understood
from fairpull.terms import units
from fairpull.terms.arrays import FloatArray
from fairpull.terms.errors import Fault
from fairpull.terms.findings import Finding, Severity
from fairpull.terms.glossary import BY_NAME
from fairpull.terms.units import Unit

GAUGE = frozenset(
    (
        "boost", "oil_pressure", "fuel_pressure", "crankcase_pressure", "boost_before_cooler", "boost_after_cooler",
    )
)  # fmt: skip
ABSOLUTE = frozenset(("manifold_pressure", "exhaust_pressure"))
WEATHER = frozenset(("barometer", "inlet_temperature", "relative_humidity", "dew_point", "wet_bulb", "vapour_pressure"))
FRACTIONS = frozenset(("throttle", "relative_humidity", "injector_duty"))
NO_PRESSURE = 3e4  # [Pa] absolute; no manifold or exhaust of an engine at full load is below
SLOW_PULL = 800.0  # [1/min]; a pull that ends below is remarkable
NEAR_ZERO = 1e4  # [Pa]
SEA_LEVEL = 101325.0
SCALE_HEIGHT = 8434.0  # [m], isothermal air at 15 degC: a coarse bound is enough here
WEATHER_SPREAD = 4500.0  # [Pa] by which weather moves the station pressure


def check(found: Understood, handed: Handed, where: str) -> None:
    """Hold every channel against what can be; faults, findings and asides are added in place.

    Args:
        found: channels in house units, with claims and units.
        handed: what was said by hand: barometer, altitude.
        where: file name.
    """
    doubted = {key for key in list(found.channels) if _fraction(found, key, where)}
    barometer = _barometer(found, handed, where)
    for key in list(found.channels):
        _reference(found, key, barometer, where)
    if any(fault.code == "gauge-as-absolute" for fault in found.faults):
        doubted |= {"barometer", *ABSOLUTE}
    for key in list(found.channels):
        if key not in doubted:
            _range(found, key, where)
    _power_against_torque(found, where)
    _signs(found, where)


def _base(key: str) -> str:
    return key if key in BY_NAME else key.rpartition("_")[0]


def _middle(values: FloatArray) -> float:
    return guess.middle(guess.sample(values))


def _warn(found: Understood, code: str, where: str, text: str, remedy: str) -> None:
    found.findings.append(Finding(code, Severity.WARNING, where, text, remedy))


def _put_aside(found: Understood, key: str, reason: str) -> None:
    found.channels.pop(key, None)
    for claim in found.claims:
        if claim.key == key:
            claim.aside(f"{key}, but {reason}")


def _column(found: Understood, key: str) -> str:
    claim = found.of_channel(key)
    return claim.column if claim else key


def _fraction(found: Understood, key: str, where: str) -> bool:
    """Fractions against per cent: 0.45 under "%", 45 under no unit or "fraction". True when refused."""
    if key not in FRACTIONS or key not in found.units:
        return False
    taken = guess.sample(found.channels[key])
    if len(taken) == 0:
        return False
    most = float(np.max(taken))
    column = _column(found, key)
    if found.units[key].symbol == "%" and 0 < most <= 0.0105:
        text = f"{column} is said to be in per cent but never exceeds {100 * most:.3g} %; it looks like a fraction"
        code = "humidity-as-fraction" if key == "relative_humidity" else "percent-as-fraction"
        _warn(found, code, where, text, f"say the unit of {column}: 1 for a fraction")
        _put_aside(found, key, "a fraction is written as per cent")
    elif found.units[key].symbol == "1" and most > 1.5:
        seen = f"{column} reads {most:.4g} where a fraction is stated"
        code = "humidity-as-percent" if key == "relative_humidity" else "fraction-as-percent"
        found.faults.append(Fault(code, where, seen, f"say the unit of {column}: %"))
        return True
    return False


def _barometer(found: Understood, handed: Handed, where: str) -> FloatArray | float | None:
    """The station pressure, logged or given, after the sea-level trap."""
    logged = found.channels.get("barometer")
    value = _middle(logged) if logged is not None else handed.given.pressure
    if value is None or not np.isfinite(value):
        return None
    if logged is not None and abs(value) < NEAR_ZERO and float(np.min(guess.sample(logged))) <= 0:
        seen = f"{_column(found, 'barometer')} reads {value / 1e3:.3g} kPa; a barometer is absolute, about 100 kPa"
        found.faults.append(Fault("gauge-as-absolute", where, seen, "log the absolute station pressure"))
        return handed.given.pressure
    if found.units.get("barometer") and found.units["barometer"].reference == "gauge":
        text = f"{_column(found, 'barometer')} is stated as gauge pressure; a barometer is absolute; left aside"
        _warn(found, "barometer-as-gauge", where, text, "log the absolute station pressure")
        _put_aside(found, "barometer", "it is stated as gauge pressure")
        return handed.given.pressure
    if handed.altitude is not None:
        expected = SEA_LEVEL * exp(-handed.altitude / SCALE_HEIGHT)
        if value - expected > WEATHER_SPREAD:
            stands = f"about {expected / 100:.0f} hPa is usual"
            seen = f"barometer {value / 100:.0f} hPa at {handed.altitude:.0f} m, where {stands}"
            remedy = "give the station (absolute) pressure, not the sea-level figure of a forecast"
            found.findings.append(Finding("barometer-sea-level", Severity.FAULT, where, seen, remedy))
    return logged if logged is not None else handed.given.pressure


def _reference(found: Understood, key: str, barometer: FloatArray | float | None, where: str) -> None:
    """Gauge against absolute pressure: convert what says so, catch what cannot be what it says."""
    base = _base(key)
    unit = found.units.get(key)
    if unit is None or base not in GAUGE | ABSOLUTE:
        return
    middle = _middle(found.channels[key])
    if base in ABSOLUTE:
        _to_absolute(found, key, unit, middle, barometer, where)
    elif unit.reference == "absolute":
        _to_gauge(found, key, barometer, where)
    elif base.startswith("boost") and np.nanmin(guess.sample(found.channels[key])) > 7e4:
        column = _column(found, key)
        text = f"{column} never falls below {np.nanmin(found.channels[key]) / 1e3:.0f} kPa; boost is gauge pressure"
        _warn(found, "absolute-as-gauge", where, f"{text}, this looks absolute; left aside", _say_reference(column))
        _put_aside(found, key, "an absolute pressure stands where gauge is meant")


def _say_reference(column: str) -> str:
    return f"say the unit of {column} with abs or gauge, e.g. kPa abs, psi gauge"


def _to_absolute(
    found: Understood, key: str, unit: Unit, middle: float, barometer: FloatArray | float | None, where: str
) -> None:
    column = _column(found, key)
    gauge = unit.reference == "gauge"
    impossible = middle < NO_PRESSURE
    if unit.reference == "absolute" and impossible:
        seen = f"{column} is stated as absolute but reads {middle / 1e3:.1f} kPa; it looks like gauge pressure"
        found.faults.append(Fault("gauge-as-absolute", where, seen, _say_reference(column)))
        return
    if not gauge and not impossible:
        return
    if barometer is None:
        text = f"{column} is gauge pressure ({middle / 1e3:.1f} kPa) and no barometer is known; left aside"
        _warn(found, "barometer-needed", where, text, "give the station pressure by option or in conditions.toml")
        _put_aside(found, key, "it is gauge pressure and no barometer is known")
        return
    found.channels[key] = found.channels[key] + barometer
    found.choices[key] = f"{column} is gauge pressure; the barometer was added"
    if not gauge:
        text = f"{column} reads {middle / 1e3:.1f} kPa, too low for an absolute pressure; the barometer was added"
        _warn(found, "gauge-assumed", where, text, _say_reference(column))


def _to_gauge(found: Understood, key: str, barometer: FloatArray | float | None, where: str) -> None:
    column = _column(found, key)
    if barometer is None:
        text = f"{column} is absolute pressure and no barometer is known; left aside"
        _warn(found, "barometer-needed", where, text, "give the station pressure by option or in conditions.toml")
        _put_aside(found, key, "it is absolute pressure and no barometer is known")
        return
    found.channels[key] = found.channels[key] - barometer
    found.choices[key] = f"{column} is absolute pressure; the barometer was taken off"


def _range(found: Understood, key: str, where: str) -> None:
    """Values outside what is plausible, and temperatures and pressures that would be usual in another unit."""
    base = _base(key)
    unit = found.units.get(key)
    if unit is None or base == "time":
        return
    channel = BY_NAME[base]
    middle = _middle(found.channels[key])
    if not np.isfinite(middle):
        return
    if base == "rpm":  # a pull ends at speed; what counts is the top, and a turned sign is another matter
        middle = float(np.max(np.abs(guess.sample(found.channels[key]))))
    raw = (middle - unit.offset) / unit.scale
    others = _usual_in(base, unit, raw)
    hint = f"; in {others[0].symbol} it would be usual" if others else ""
    column = _column(found, key)
    shown = f"{column} reads about {raw:.4g} {unit.symbol}"
    if channel.low <= middle <= channel.high:
        least = SLOW_PULL if base == "rpm" else LIKELY.get(base, (0.0,))[0]
        usual = base not in LIKELY or least <= middle <= LIKELY[base][1]
        if not usual and others and channel.unit in ("K", "rpm"):
            _warn(found, "value-implausible", where, f"{shown}, unusual in a pull{hint}", f"check the unit of {column}")
        return
    low, high = ((limit - unit.offset) / unit.scale for limit in (channel.low, channel.high))
    text = f"{shown}, outside {low:.4g} to {high:.4g} {unit.symbol}{hint}"
    remedy = f"say the right unit of {column}" + (f", e.g. {others[0].symbol}" if others else ", or leave it aside")
    if base == "rpm" or _impossible(base, middle) or (base in ("torque", "power", "bmep") and middle > 0):
        found.faults.append(Fault("value-implausible", where, text, remedy))
    elif base not in ("torque", "power", "bmep"):
        _warn(found, "value-implausible", where, f"{text}; left aside", remedy)
        _put_aside(found, key, f"{raw:.4g} {unit.symbol} cannot be")


def _impossible(base: str, middle: float) -> bool:
    """Weather that is no weather at all: the correction would be nonsense, so it is refused, not left aside."""
    channel = BY_NAME[base]
    return base in WEATHER and not 0.75 * channel.low <= middle <= 1.33 * channel.high


def _usual_in(base: str, unit: Unit, raw: float) -> list[Unit]:
    if base not in LIKELY:
        return []
    low, high, symbols = LIKELY[base]
    candidates = (units.lookup(symbol) for symbol in symbols)
    return [
        other
        for other in candidates
        if other
        and (other.scale, other.offset) != (unit.scale, unit.offset)
        and low <= raw * other.scale + other.offset <= high
    ]


def _power_against_torque(found: Understood, where: str) -> None:
    """Torque times speed must be power: the one test that tells lb-ft from N m."""
    channels = found.channels
    if not {"torque", "power", "rpm"} <= set(channels) or not {"torque", "power"} <= set(found.units):
        return
    torque_unit, power_unit = found.units["torque"], found.units["power"]
    raw = guess.torque_speed_over_power(channels["torque"], channels["rpm"], channels["power"])
    if not np.isfinite(raw):
        return
    ratio = raw * np.pi / 30
    if abs(ratio - 1) < 0.007:
        return
    factor = raw * power_unit.scale / torque_unit.scale
    seen = f"torque x speed is {ratio:.3f} of the logged power"
    pairs = guess.torque_power_units(factor, "", "")
    if pairs and abs(ratio - 1) > 0.12:
        fits = " or ".join(f"{torque.symbol} with {power.symbol}" for torque, power in pairs)
        stated = f"{torque_unit.symbol} with {power_unit.symbol}"
        remedy = f"say the units of torque and power: {fits} would agree"
        text = f"{seen} ({stated}): one of the units is wrong"
        found.findings.append(Finding("torque-power-disagree", Severity.FAULT, where, text, remedy))
        return
    remedy = "check the units and whether one of them is already corrected; torque is used"
    _warn(found, "torque-power-disagree", where, seen, remedy)


def _signs(found: Understood, where: str) -> None:
    """A brake that counts torque or speed the other way round."""
    for key in ("torque", "power"):
        values = found.channels.get(key)
        if values is None or key not in found.units:
            continue
        taken = guess.sample(values)
        if len(taken) and float(np.mean(taken < 0)) > 0.9:
            column = _column(found, key)
            seen = f"{column} is negative nearly everywhere (median {_middle(values):.4g} {BY_NAME[key].unit})"
            remedy = f"if the sign is only turned, give its unit with a minus: -{found.units[key].symbol}"
            found.findings.append(Finding("torque-negative", Severity.FAULT, where, seen, remedy))
