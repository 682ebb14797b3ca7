"""How far the mixture stands from the references, or from what the fuel and the induction ask for."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from fairpull.health.along import earlier, longest, lower, middle, settled, shown
from fairpull.health.view import View
from fairpull.terms.arrays import BoolArray, FloatArray, IntArray
from fairpull.terms.engine import Engine

# Best-power windows of lambda at full load by stoichiometric ratio of the fuel: (from ratio, natural, boosted).
WINDOWS = (
    (12.0, (0.84, 0.90), (0.76, 0.84)),  # petrol
    (8.5, (0.80, 0.88), (0.76, 0.84)),  # ethanol and its blends
    (0.0, (0.70, 0.85), (0.68, 0.82)),  # methanol
)
LEAN_LIMIT = 0.02  # beyond the window: what a limits card allows (0.92 for a window to 0.90)
FULL_BOOST = (
    48e3  # Pa, 7 psi: from here on the boosted window holds, below it its lean edge slides from the natural one
)
WINDOW_ALONE = {1: 0.04, -1: 0.06}  # beyond the window, no reference at hand: tuners differ, most to the rich side
SHARE = 0.35  # of the settled nodes: a drift over less than that is not a drift of the mixture
AGREES = 0.4  # of the sensor's drift that the flows must show as well
FALSE_LEAN = "a misfire or an exhaust leak ahead of the sensor reads lean as well: "


@dataclass(frozen=True, slots=True)
class Drift:
    """A mixture off its place.

    Attributes:
        low, high: rpm range.
        size: lambda off the references or beyond the window, signed, lean above zero.
        value: typical lambda there.
        limit: lean limit of the fuel and the induction there.
        text: what was seen.
        confirmed: flows and sensor were both there and agree.
    """

    low: float
    high: float
    size: float
    value: float
    limit: float
    text: str
    confirmed: bool


def window(engine: Engine | None, boost: FloatArray | None, nodes: int) -> tuple[FloatArray, FloatArray]:
    """Window of lambda for best power along the pull.

    Args:
        engine: with fuel and induction; None: petrol, both inductions' windows joined.
        boost: gauge pressure along rpm, shape (g,) [Pa]; None: not known.
        nodes: g.

    Returns:
        Richest and leanest lambda, each shape (g,).

    Source: practice (best power by fuel; boosted engines richer, the lean edge sliding with boost up to 7 psi).
    """
    ratio = engine.fuel.stoichiometric if engine is not None and engine.fuel is not None else 14.6
    natural, boosted = next((row[1], row[2]) for row in WINDOWS if ratio >= row[0])
    if engine is None:
        share_rich, share_lean = np.ones(nodes), np.zeros(nodes)
    elif engine.induction == "natural":
        share_rich = share_lean = np.zeros(nodes)
    elif boost is None:
        share_rich, share_lean = np.ones(nodes), np.zeros(nodes)
    else:
        share_rich, share_lean = np.ones(nodes), np.clip(np.nan_to_num(boost) / FULL_BOOST, 0.0, 1.0)
    rich = natural[0] + share_rich * (boosted[0] - natural[0])
    lean = natural[1] + share_lean * (boosted[1] - natural[1])
    return np.asarray(rich), np.asarray(lean)


def drift(view: View, direction: int) -> Drift | None:
    """The mixture's drift to one side: against the references, else beyond the window.

    Args:
        view: the pull; a sensor or both flows are there.
        direction: +1 lean, -1 rich.

    Returns:
        The drift, or None where there is none that flows and sensor agree on.

    Source: practice (0.03 of lambda voids a pull; best torque is within 0.03 of its top).
    """
    channel = "lambda_sensor" if view.has("lambda_sensor") else "lambda_flow"
    values = view.on_grid(channel)
    if values is None:
        return None
    rich, lean = window(view.engine, view.on_grid("boost"), view.rpm.size)
    against = view.difference(channel)
    if against is not None:
        away, need = against.values, view.limits.lambda_drift
    else:
        away, need = values - lean if direction > 0 else values - rich, WINDOW_ALONE[direction]
    found = _stretch(view, away, need, direction)
    if found is None or not _seen_by_flows(view, channel, found, middle(away, found), direction, against is None):
        return None
    size, value = middle(away, found), middle(values, found)
    limit = middle(lean, found) + LEAN_LIMIT
    at = view.rpm[found]
    word = "Lambda" if channel == "lambda_sensor" else "Lambda from the flows"
    if against is not None:
        held = f"{size:+.3f} against {earlier(against.n)}"
    else:
        edge = middle(lean if direction > 0 else rich, found)
        held = f"{abs(size):.3f} {'leaner' if direction > 0 else 'richer'} than the window's edge of {edge:.2f}"
    confirmed = channel == "lambda_sensor" and view.has("lambda_flow")
    agreed = ", and the flows agree" if confirmed else ""
    text = f"{word} {value:.3f} from {at[0]:,.0f} to {at[-1]:,.0f} rpm, {held}{agreed}"
    return Drift(float(at[0]), float(at[-1]), size, value, limit, text + _pressure(view), confirmed)


def _stretch(view: View, away: FloatArray, need: float, direction: int) -> BoolArray | None:
    """Nodes of the drift, fuel pressure held: the whole range where its middle is off, else the half that is."""
    looked = settled(view) & np.isfinite(away) & _supplied(view)
    nodes = np.flatnonzero(looked)
    if nodes.size < 4:
        return None
    half = nodes.size // 2
    for part in (nodes, nodes[:half], nodes[half:]):
        if np.median(direction * away[part]) > need:
            return _grown(away, looked, part, 0.5 * need, direction)
    run = longest(np.asarray((direction * away > need) & looked))
    if run is None or run[1] - run[0] + 1 < SHARE * nodes.size:
        return None
    return _grown(away, looked, np.arange(run[0], run[1] + 1), 0.5 * need, direction)


def _grown(away: FloatArray, looked: BoolArray, part: IntArray, level: float, direction: int) -> BoolArray:
    """A stretch grown or cut at both ends to where the drift falls below a level."""
    inside = np.asarray((direction * away > level) & looked)
    core = part[inside[part]]
    low, high = int(core[0]), int(core[-1])
    while low > 0 and inside[low - 1]:
        low -= 1
    while high < inside.size - 1 and inside[high + 1]:
        high += 1
    nodes = np.zeros(inside.size, dtype=np.bool_)
    nodes[low : high + 1] = True
    return nodes


def _supplied(view: View) -> BoolArray:
    """Nodes where fuel pressure, if logged, held: lean under a failing supply is not a drift of the mixture."""
    pressure = view.on_grid("fuel_pressure")
    if pressure is None:
        return np.ones(view.rpm.size, dtype=np.bool_)
    held = middle(pressure, lower(view, 0.4))
    return np.asarray(~(pressure < 0.96 * held))


def _seen_by_flows(view: View, channel: str, nodes: BoolArray, size: float, direction: int, alone: bool) -> bool:
    """Whether lambda from the flows moved with the sensor; True where there are no flows to ask."""
    flow = view.on_grid("lambda_flow")
    if channel == "lambda_flow" or flow is None:
        return True
    against = view.difference("lambda_flow")
    if against is not None and not alone:
        return direction * middle(against.values, nodes) > AGREES * abs(size)
    sensor = view.on_grid("lambda_sensor")
    if sensor is None:
        return True
    return direction * (middle(flow, nodes) - middle(sensor, nodes)) > -view.limits.lambda_agreement


def _pressure(view: View) -> str:
    pressure = view.on_grid("fuel_pressure")
    if pressure is None:
        return ""
    return f"; fuel pressure held at {shown(middle(pressure, settled(view)), 'psi', 'Pa', 1)}"
