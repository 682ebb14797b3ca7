"""Fuel starvation: the supply gives out towards the top of a pull.

Looked for: fuel pressure that falls by more than 0.5 psi (carburettor) or 5 % (injection) and stays down; with it the
mixture leaves its line and goes lean to the end, fuel flow flattens while air flow goes on, and torque sags last. BSFC
falls first, because the same air burns less fuel: that is told as a sign of starvation, never as economy. Without a
fuel-pressure channel a mixture that leaves its own line by more than 0.03 (references) or 0.05 (alone) and climbs to
the end stands for it; without a mixture, fuel flow that falls behind torque against the references.

Thresholds: 0.5 psi and 5 % of fuel pressure, 0.03 of lambda: practice (what voids a pull). A pressure that held within
two fifths of that rules starvation out: the mixture is then somebody else's. The speed from which it shows is where
lambda leaves its line by 0.01 (or four standard errors).

Confirmed by: the pressure trace at the rail or carburettor, a new filter, a timed flow test. The whole pull is void.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from fairpull.health.along import (
    LOWER,
    last_value,
    lower,
    middle,
    own_line,
    settled,
    shown,
    spread_on_grid,
    to_the_end,
)
from fairpull.health.view import View
from fairpull.terms.arrays import FloatArray
from fairpull.terms.findings import Severity
from fairpull.terms.health import Sign, Unseen

KINDS = ("fuel-starvation",)
NEEDS = ("fuel pressure", "or lambda", "or air and fuel flow", "or fuel flow with references")
CARBURETTOR = 1.03e5  # Pa gauge, 15 psi: below it a carburettor is fed
HELD = 0.4  # of what is allowed: less than that is a pressure that held
LEAN_ALONE = 0.05  # lambda above its own line, no reference at hand: schedules may bend by 0.03
LEAVES = 0.01  # lambda: the sensor's accuracy
SENSOR = 0.015  # lambda, by which sound pulls of a build may differ
CLIMBS = 1.5  # the end over the mean of the first half of the stretch; a straight climb gives 4
BEHIND = 0.04  # fuel flow behind torque against the references
CONFIRM = (
    "Read fuel pressure through a pull, change the filter and do a timed flow test; "
    "look at plugs and leakdown before the next pull."
)


class _Late(NamedTuple):
    """Something that leaves its line late: how far along rpm, shape (g,), and where it begins (node)."""

    away: FloatArray
    begins: int
    channel: str


def look(view: View) -> Sign | Unseen | None:
    """Look for fuel starvation.

    Args:
        view: the pull.

    Returns:
        A fault from where the mixture (or the pressure) leaves its line to the end; what is missing; or None.

    Source: practice.
    """
    loss, allowed = _pressure(view)
    lean = _mixture(view)
    if loss is not None:
        begins = to_the_end(loss > allowed, np.isfinite(loss))
        early = to_the_end(loss > HELD * allowed, np.isfinite(loss))
        if begins is None and (early is None or lean is None):
            return None
        return _sign(view, loss, to_the_end(loss > 0.3 * allowed, np.isfinite(loss)), lean)
    if lean is not None:
        return _sign(view, None, None, lean) if _sagging(view) and _flows_agree(view, lean) else None
    if view.has("lambda_sensor") or view.has("lambda_flow"):
        return None
    behind = _fuel_behind(view)
    if behind is None:
        text = "no fuel pressure, no lambda and no flows to tell the mixture by, and no references with fuel flow"
        return Unseen(KINDS[0], ("fuel_pressure", "lambda", "air_mass_flow", "fuel_mass_flow"), text)
    return _sign(view, None, None, behind) if behind.begins >= 0 else None


def _pressure(view: View) -> tuple[FloatArray | None, float]:
    """Fuel pressure lost since the lower third of the range [Pa], and what is allowed."""
    own = _loss(view)
    if own is None:
        return None, 0.0
    values, held = own
    limits = view.limits
    allowed = limits.fuel_pressure_drop_carburettor if held < CARBURETTOR else limits.fuel_pressure_drop * held
    others = [found[0] for reference in view.references if (found := _loss(reference)) is not None]
    if others:  # a droop that every pull of this build shows is the pump's and regulator's own
        usual = np.nan_to_num(np.median(others, axis=0))
        values = np.minimum(values, values - usual)
    return values, max(allowed, 4.0 * spread_on_grid(view, "fuel_pressure"))


def _loss(view: View) -> tuple[FloatArray, float] | None:
    pressure = view.on_grid("fuel_pressure")
    if pressure is None:
        return None
    held = middle(pressure, lower(view, 0.4))
    if not np.isfinite(held):
        return None
    loss = held - pressure
    boost = view.on_grid("boost")
    if boost is not None and held >= CARBURETTOR:  # a regulator may follow the manifold: pressure over it counts
        over = pressure - boost
        loss = np.fmin(loss, middle(over, lower(view, 0.4)) - over)
    return loss, held


def _mixture(view: View) -> _Late | None:
    """A mixture that goes lean late and stays so to the end."""
    for channel in ("lambda_sensor", "lambda_flow"):
        values = view.on_grid(channel)
        if values is None:
            continue
        against = view.difference(channel)
        if against is not None:
            # Above its own lower part and above the references: a rich lower half is no lean top.
            away = np.fmin(against.values - middle(against.values, lower(view)), against.values + SENSOR)
            enough = view.limits.lambda_drift
        else:
            away, enough = values - own_line(view.rpm, values, lower(view, 0.6)), LEAN_ALONE
        away = np.where(settled(view), away, np.nan)
        present = np.isfinite(away)
        if to_the_end(away > enough, present, 2) is None:
            continue
        begins = to_the_end(away > max(LEAVES, 4.0 * spread_on_grid(view, channel)), present, 2)
        if (
            begins is not None
            and _climbs(away[begins:])
            and view.rpm[begins] > view.rpm[0] + 0.2 * LOWER * (view.rpm[-1] - view.rpm[0])
        ):
            return _Late(away, begins, channel)
    return None


def _climbs(away: FloatArray) -> bool:
    """Whether it goes on climbing: a step that then stays is a mixture set so, a failing supply goes on failing."""
    held = away[np.isfinite(away)]
    half = held[: max(1, held.size // 2)]
    return bool(held.size and float(np.mean(held[-2:])) > CLIMBS * float(np.mean(half)))


def _flows_agree(view: View, lean: _Late) -> bool:
    """Where flows and sensor both exist, both must go lean: a misfire makes the sensor alone read lean."""
    if lean.channel == "lambda_flow" or not view.has("lambda_flow"):
        return True
    flow = view.on_grid("lambda_flow")
    if flow is None:
        return True
    rise = flow - own_line(view.rpm, flow, lower(view, 0.6))
    return float(np.nanmax(rise[lean.begins :])) > 0.3 * float(np.nanmax(lean.away[lean.begins :]))


def _sagging(view: View) -> bool:
    """Torque does not rise above the references where fuel is short."""
    ratio = view.ratio("torque")
    if ratio is None:
        return True
    top = ratio.values[np.isfinite(ratio.values)][-3:]
    return bool(top.size == 0 or float(np.mean(top)) < 1.0 + 2.0 * ratio.scatter)


def _fuel_behind(view: View) -> _Late | None:
    """Fuel flow over torque against the references; None where there is nothing to hold it against."""
    fuel, torque = view.ratio("fuel_each_rev"), view.ratio("torque")
    if fuel is None or torque is None:
        return None
    with np.errstate(invalid="ignore", divide="ignore"):
        behind = torque.values / fuel.values
    away = np.where(settled(view), behind - middle(behind, lower(view)), np.nan)
    present = np.isfinite(away)
    if to_the_end(away > BEHIND, present) is None:
        return _Late(away, -1, "fuel_mass_flow")
    begins = to_the_end(away > 0.01, present)
    return _Late(away, -1 if begins is None else begins, "fuel_mass_flow")


def _sign(view: View, loss: FloatArray | None, falls: int | None, lean: _Late | None) -> Sign:
    begins = lean.begins if lean is not None else falls if falls is not None else 0
    low, high = float(view.rpm[begins]), float(view.rpm[-1])
    parts = []
    if loss is not None:
        parts += _told_pressure(view, falls)
    if lean is not None and lean.channel != "fuel_mass_flow":
        parts += _told_mixture(view, lean)
    parts += _told_flows(view, begins)
    text = "; ".join(parts)
    size, unit = (float(np.nanmax(loss)), "Pa") if loss is not None else (_rise(lean), "1")
    return Sign(KINDS[0], Severity.FAULT, low, high, size, unit, f"{text[:1].upper()}{text[1:]}.", CONFIRM)


def _rise(lean: _Late | None) -> float:
    return 0.0 if lean is None else float(np.nanmax(lean.away))


def _told_pressure(view: View, falls: int | None) -> list[str]:
    pressure = view.on_grid("fuel_pressure")
    if pressure is None:
        return []
    since = f", from {view.rpm[falls]:,.0f} rpm up" if falls is not None else ""
    before, top = middle(pressure, lower(view, 0.4)), last_value(pressure)
    return [f"fuel pressure fell from {shown(before, 'psi', 'Pa', 1)} to {shown(top, 'psi', 'Pa', 1)}{since}"]


def _told_mixture(view: View, lean: _Late) -> list[str]:
    values = view.on_grid(lean.channel)
    if values is None:
        return []
    word = "lambda" if lean.channel == "lambda_sensor" else "lambda from the flows"
    where = f"{word} left its line at {view.rpm[lean.begins]:,.0f} rpm"
    return [f"{where} and went from {values[lean.begins]:.2f} to {last_value(values):.2f}"]


def _told_flows(view: View, begins: int) -> list[str]:
    parts: list[str] = []
    for word, channel, places in (("fuel flow", "fuel_mass_flow", 1), ("air flow", "air_mass_flow", 0)):
        values = view.on_grid(channel)
        if values is not None and np.isfinite(values[begins:]).any():
            flow = values[begins:]
            first, end = float(flow[np.isfinite(flow)][0]), last_value(flow)
            parts.append(f"{word} went {shown(first, 'lb/h', 'kg/s', places)} -> {shown(end, 'lb/h', 'kg/s', places)}")
    bsfc = view.ratio("bsfc")
    if bsfc is not None and np.isfinite(bsfc.values[begins:]).any():
        best = float(np.nanmin(bsfc.values[begins:])) - 1.0
        if best < -0.005:
            parts.append(f"BSFC looks up to {-best:.1%} better than the references there, which is want of fuel")
    return parts
