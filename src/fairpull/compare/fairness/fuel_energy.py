"""Per fuel energy: brake work over what the fuel brought, so that unlike fuels can stand side by side."""

from __future__ import annotations

import numpy as np

from fairpull import engine
from fairpull.compare.fairness.missing import cannot
from fairpull.compare.fairness.sides import (
    Side,
    Sides,
    channel_at,
    nodes,
    observed_torque,
    plain_ratio,
    plain_words,
    ratio_band,
)
from fairpull.compare.fairness.wording import mean_over, more_or_less
from fairpull.terms.arrays import FloatArray
from fairpull.terms.ledger import FairLook

NAME = "per fuel energy"
ASSUMPTION = (
    "Lower heating values as on the sheets; observed power over observed fuel flow, nothing corrected; each build at "
    "its own mixture and spark"
)


def applies(sides: Sides) -> bool:
    """Did at least one build log its fuel flow?

    Args:
        sides: the builds.

    Returns:
        True where the view has a meaning.
    """
    return any(
        np.isfinite(channel_at(side, ("fuel_mass_flow", "fuel_volume_flow"), side.group.rpm)).any()
        for side in (sides.reference, sides.other)
    )


def per_fuel_energy(sides: Sides) -> FairLook:
    """Compare brake thermal efficiency: torque for each watt of fuel.

    Args:
        sides: the builds.

    Returns:
        The view along engine speed.

    Raises:
        NotComparable: a build without fuel flow or without the heating value of its fuel.

    Source: practice (thermal efficiency for unlike fuels).
    """
    rpm = nodes(sides)
    mine, theirs = _efficiency(sides.reference, rpm), _efficiency(sides.other, rpm)
    plain, plain_low, plain_high = plain_ratio(sides, rpm)
    ratio = theirs / mine - 1.0
    low = (1.0 + ratio) * (1.0 + plain_low) / (1.0 + plain) - 1.0
    high = (1.0 + ratio) * (1.0 + plain_high) / (1.0 + plain) - 1.0
    mean = mean_over(ratio, low, high)
    names = (sides.reference.name, sides.other.name)
    if mean is None:
        raise cannot(", ".join(names), "fuel flow at no common speed", "log it over the whole pull in both")
    known = np.isfinite(plain) & np.isfinite(ratio)
    fuels = dict.fromkeys(_told(side) for side in (sides.reference, sides.other))
    return FairLook(
        NAME,
        f"{ASSUMPTION} ({'; '.join(fuels)}).",
        "rpm",
        "thermal efficiency",
        "1",
        rpm,
        mine,
        theirs,
        ratio,
        low,
        high,
        plain,
        mean,
        f"For each unit of fuel energy {more_or_less(names, mean, 'work')}, averaged over rpm; beside it stands "
        f"{plain_words(sides, plain, known).rstrip(',')} in torque.",
        "practice",
        f"{ratio_band(sides)}; the scatter of the fuel meter is not in it",
    )


def _told(side: Side) -> str:
    assert side.facts.build is not None
    assert side.facts.build.engine.fuel is not None
    fuel = side.facts.build.engine.fuel
    return f"{fuel.name} {fuel.heating_value / 1e6:.1f} MJ/kg"


def _efficiency(side: Side, rpm: FloatArray) -> FloatArray:
    """Brake thermal efficiency along rpm, shape (g,)."""
    build = side.facts.build
    fuel = build.engine.fuel if build is not None else None
    if fuel is None or not np.isfinite(fuel.heating_value):
        remedy = "write the fuel with its heating value on the engine's or build's sheet"
        raise cannot(side.name, "the heating value of its fuel is not known", remedy)
    flow = channel_at(side, ("fuel_mass_flow",), rpm)
    if not np.isfinite(flow).any():
        density = channel_at(side, ("fuel_density",), rpm)
        density = np.where(np.isfinite(density), density, fuel.density)
        flow = channel_at(side, ("fuel_volume_flow",), rpm) * density
    if not np.isfinite(flow).any():
        raise cannot(side.name, "no fuel flow was logged", "log fuel flow in both builds")
    burning = np.where(flow > 0.0, flow, np.nan)
    power = engine.power_from_torque(observed_torque(side, rpm), rpm)
    specific = engine.bsfc(burning, np.where(power > 0.0, power, np.nan))
    return np.asarray(engine.thermal_efficiency(specific, fuel.heating_value), dtype=np.float64)
