"""Boost of a build along rpm: how much, against which barometer, and how dense it made the charge."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from fairpull.compare.fairness.charge import compressor_outlet_temperature, density_ratio, pressure_ratio
from fairpull.compare.fairness.missing import cannot
from fairpull.compare.fairness.sides import Side, channel_at
from fairpull.terms.arrays import FloatArray

GAUGE = ("boost", "boost_after_cooler", "boost_before_cooler")
BOOSTED = 3000.0  # mean boost above this is a compressor's, not a gauge's zero [Pa]
MEASURED = "measured charge temperature"


@dataclass(frozen=True, slots=True)
class Charge:
    """Charge of a build along rpm, every array of shape (g,).

    boost: gauge [Pa]; pressure_ratio, density_ratio [1]; how: where the charge temperature came from, "" without a
    compressor.
    """

    boost: FloatArray
    pressure_ratio: FloatArray
    density_ratio: FloatArray
    how: str


def is_boosted(side: Side) -> bool:
    """Did a compressor feed this build? Its sheet says so, or its boost does.

    Args:
        side: the build.

    Returns:
        True for a boosted build.

    Source: own definition.
    """
    build = side.facts.build
    if build is not None and build.engine.induction != "natural":
        return True
    boost = channel_at(side, GAUGE, side.group.rpm)
    return bool(np.isfinite(boost).any()) and float(np.nanmean(boost)) > BOOSTED


def barometer_at(side: Side, rpm: FloatArray) -> FloatArray:
    """Station pressure of a build's pulls.

    Args:
        side: the build.
        rpm: shape (g,).

    Returns:
        Pressure [Pa], shape (g,); NaN where unknown.

    Source: definition.
    """
    known = [curve.air.pressure for curve in side.group.curves if curve.air is not None]
    if known:
        return np.full(len(rpm), float(np.mean(known)))
    return channel_at(side, ("barometer",), rpm)


def inlet_temperature_at(side: Side, rpm: FloatArray) -> FloatArray:
    """Temperature of the air before the compressor.

    Args:
        side: the build.
        rpm: shape (g,).

    Returns:
        Temperature [K], shape (g,); NaN where unknown.

    Source: definition.
    """
    logged = channel_at(side, ("inlet_temperature",), rpm)
    known = [curve.air.temperature for curve in side.group.curves if curve.air is not None]
    return np.where(np.isfinite(logged), logged, float(np.mean(known)) if known else np.nan)


def boost_at(side: Side, rpm: FloatArray) -> FloatArray:
    """Boost of a build.

    Args:
        side: the build.
        rpm: shape (g,).

    Returns:
        Gauge pressure in the manifold [Pa], shape (g,); 0 for a naturally aspirated build.

    Raises:
        NotComparable: a boosted build that logged no boost.

    Source: definition.
    """
    if not is_boosted(side):
        return np.zeros(len(rpm))
    gauge = channel_at(side, GAUGE, rpm)
    absolute = channel_at(side, ("manifold_pressure",), rpm) - barometer_at(side, rpm)
    boost: FloatArray = np.where(np.isfinite(gauge), gauge, absolute)
    if not np.isfinite(boost).any():
        remedy = "log boost, or manifold pressure with the barometer"
        raise cannot(side.name, "boosted, and no boost was logged", remedy)
    return boost


def inlet_loss_of(side: Side) -> float:
    """Pressure lost before the compressor, from its sheet.

    Args:
        side: the build.

    Returns:
        Loss [Pa]; 0 where the compressor's sheet has no ``inlet_loss``.
    """
    return _declared(side, "inlet_loss") or 0.0


def charge_at(side: Side, rpm: FloatArray) -> Charge:
    """Pressure ratio and density ratio of a build.

    Args:
        side: the build.
        rpm: shape (g,).

    Returns:
        The charge; ratios are 1 for a naturally aspirated build, which breathes the room's air.

    Raises:
        NotComparable: no boost, barometer, inlet temperature or charge temperature, and no declared efficiency that
            would stand in for the last.

    Source: heywood, chapter 6 (isentropic efficiency), where no charge temperature was logged.
    """
    if not is_boosted(side):
        ones = np.ones(len(rpm))
        return Charge(np.zeros(len(rpm)), ones, ones, "")
    boost = boost_at(side, rpm)
    ratio = np.asarray(pressure_ratio(boost, barometer_at(side, rpm), inlet_loss_of(side)), dtype=np.float64)
    if not np.isfinite(ratio).any():
        remedy = "log the barometer or give it with --weather"
        raise cannot(side.name, "no station pressure beside the boost", remedy)
    inlet = inlet_temperature_at(side, rpm)
    charge, how = _charge_temperature(side, rpm, inlet, ratio)
    density = np.asarray(density_ratio(ratio, inlet, charge), dtype=np.float64)
    if not np.isfinite(density).any():
        remedy = "log the inlet air, or give it with --weather"
        raise cannot(side.name, "no inlet temperature beside the charge's", remedy)
    return Charge(boost, ratio, density, how)


def _charge_temperature(side: Side, rpm: FloatArray, inlet: FloatArray, ratio: FloatArray) -> tuple[FloatArray, str]:
    into_manifold = channel_at(side, ("charge_temperature_after_cooler",), rpm)
    if np.isfinite(into_manifold).any():
        return into_manifold, MEASURED
    cooled = side.facts.build is not None and "cooler" in side.facts.build.parts
    if not cooled:
        out = channel_at(side, ("charge_temperature_before_cooler",), rpm)
        if np.isfinite(out).any():
            return out, f"{MEASURED}, out of the compressor (no cooler on the sheet)"
        efficiency = efficiency_at(side, ratio)
        if efficiency is not None:
            computed = compressor_outlet_temperature(inlet, ratio, efficiency)
            low, high = float(np.nanmin(efficiency)), float(np.nanmax(efficiency))
            told = f"{low:.0%}" if high - low < 0.005 else f"{low:.0%} to {high:.0%}"
            return np.asarray(computed, dtype=np.float64), (
                f"charge temperature computed from the declared compressor efficiency of {told} [heywood]"
            )
    seen = "no charge temperature was logged" + (", and a cooler hides it from the compressor relation" * cooled)
    remedy = "log the charge into the manifold" + ("" if cooled else ", or declare the compressor's efficiency")
    raise cannot(side.name, seen, remedy)


def efficiency_at(side: Side, ratio: FloatArray) -> FloatArray | None:
    """Isentropic efficiency of a compressor as its sheet declares it: one figure, or points read by pressure ratio.

    Args:
        side: the build.
        ratio: pressure ratio, shape (g,) [1].

    Returns:
        Efficiency, fractions of shape (g,); the outermost points stand for what lies beyond them. None where none is
        declared.

    Source: own definition.
    """
    single = _declared(side, "efficiency")
    if single:
        return np.full(len(ratio), single)
    build = side.facts.build
    part = build.parts.get("compressor") if build is not None else None
    points = part.data.get("points") if part is not None else None
    rows = [(row[1], row[2]) for row in points or () if len(row) > 2 and row[2] > 0.0]
    if not rows:
        return None
    at = sorted({one for one, _ in rows})
    means = [float(np.mean([value for one, value in rows if one == place])) for place in at]
    return np.asarray(np.interp(ratio, at, means), dtype=np.float64)


def _declared(side: Side, name: str) -> float | None:
    """A number of the compressor's sheet."""
    build = side.facts.build
    part = build.parts.get("compressor") if build is not None else None
    value = part.data.get(name) if part is not None else None
    return float(value) if isinstance(value, int | float) and not isinstance(value, bool) else None
