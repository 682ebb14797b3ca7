"""Exhaust restriction: back-pressure that grows about with rpm squared and costs power.

Looked for: collector pressure above the barometer more than 0.5 psi beyond the references at the top, the excess
growing about as rpm squared. By itself, whatever the references show: more than 3.1 psi at the top, growing so (from
3 psi a note); turbocharged, turbine-inlet pressure more than 2.2 times boost. Without a back-pressure channel, against
references: a loss of torque that grows about as rpm squared with a loss of air (by meter, or fuel flow times lambda) or
a hotter exhaust, manifold pressure not lower. Told with it: torque and air.

Thresholds: 3 psi: practice (tolerable at peak power is 2 to 3); 0.5 psi is a tenth of a back-pressure gauge's range and
ten times its accuracy; ratio 2: practice (poor).

Confirmed by: opening the exhaust ahead of the suspected part and repeating.
"""

from __future__ import annotations

import numpy as np

from fairpull.health.along import above_from, breathed, degrees, earlier, middle, restricts, shown, upper
from fairpull.health.view import View
from fairpull.terms.arrays import FloatArray
from fairpull.terms.findings import Severity
from fairpull.terms.health import Sign, Unseen

KINDS = ("exhaust-restriction",)
NEEDS = ("exhaust pressure and barometer", "or torque with air flow or exhaust temperature and references")
EXCESS = 3447.0  # Pa, 0.5 psi
MARGIN = 690.0  # Pa, 0.1 psi above the limit before a note becomes a warning
TURBINE = 2.2
LOWER_MANIFOLD = 700.0  # Pa, 0.2 inHg: the loss is then on the intake side
AIR_SHARE = 0.25  # of the torque loss that the air shows; the rest is work to push the exhaust out
HOTTER = 8.0  # K, exhaust
LOSS = 0.03  # of torque at the top, no gauge at hand
CONFIRM = "Open the exhaust ahead of the suspected part and repeat; watch lambda, it leans as the engine breathes."


def look(view: View) -> Sign | Unseen | None:
    """Look for a restricted exhaust.

    Args:
        view: the pull.

    Returns:
        A warning or note over the upper range; what is missing; or None.

    Source: practice.
    """
    gauge = _gauge(view)
    if gauge is None:
        if view.ratio("torque") is None or (breathed(view) is None and np.isnan(_hotter(view))):
            text = "no back-pressure (or no barometer), and no references with air flow or exhaust temperature"
            return Unseen(KINDS[0], ("exhaust_pressure", "barometer", "references"), text)
        return _by_loss(view)
    others = [laid for reference in view.references if (laid := _gauge(reference)) is not None]
    if others:
        with np.errstate(invalid="ignore"):
            found = _against(view, gauge, np.asarray(np.mean(others, axis=0)), len(others))
        if found is not None:
            return found
    return _alone(view, gauge)


def _gauge(view: View) -> FloatArray | None:
    pressure = view.on_grid("exhaust_pressure")
    barometer = view.on_grid("barometer")
    if pressure is None or (barometer is None and view.air is None):
        return None
    if barometer is not None:
        return np.asarray(pressure - barometer)
    return None if view.air is None else np.asarray(pressure - view.air.pressure)


def _against(view: View, gauge: FloatArray, usual: FloatArray, count: int) -> Sign | None:
    over = gauge - usual
    top = middle(over, upper(view, 0.15))
    if not (top > EXCESS and restricts(view, over)):
        return None
    low = _begins(view, over, 0.35 * top)
    text = (
        f"Back-pressure reaches {shown(middle(gauge, upper(view, 0.15)), 'psi', 'Pa')} above the barometer,"
        f" {shown(top, 'psi', 'Pa')} more than {earlier(count)}, growing about as rpm squared{_cost(view)}."
    )
    return Sign(KINDS[0], Severity.WARNING, low, float(view.rpm[-1]), top, "Pa", text, CONFIRM)


def _alone(view: View, gauge: FloatArray) -> Sign | None:
    top = middle(gauge, upper(view, 0.15))
    low = _begins(view, gauge, 0.35 * top)
    if view.engine is not None and view.engine.induction.startswith("turbo"):
        boost = view.on_grid("boost")
        held = float("nan") if boost is None else middle(boost, upper(view, 0.15))
        if not (held > 0.0 and top > TURBINE * held):
            return None
        text = f"Turbine-inlet pressure is {top / held:.1f} times boost at the top, {shown(top, 'psi', 'Pa')} gauge."
        return Sign(KINDS[0], Severity.WARNING, low, float(view.rpm[-1]), top, "Pa", text, CONFIRM)
    limit = view.limits.exhaust_back_pressure
    if not (top > limit and restricts(view, gauge)):
        return None
    severity = Severity.WARNING if top > limit + MARGIN else Severity.NOTE
    text = (
        f"Back-pressure reaches {shown(top, 'psi', 'Pa')} above the barometer at {view.rpm[-1]:,.0f} rpm, growing about"
        f" as rpm squared; {shown(limit, 'psi', 'Pa')} is tolerable."
    )
    return Sign(KINDS[0], severity, low, float(view.rpm[-1]), top, "Pa", text, CONFIRM)


def _by_loss(view: View) -> Sign | None:
    torque, aired = view.ratio("torque"), breathed(view)
    if torque is None:
        return None
    manifold = view.difference("boost")
    if manifold is not None and middle(manifold.values, upper(view)) < -LOWER_MANIFOLD:
        return None
    loss = 1.0 - torque.values
    starved = float("nan") if aired is None else 1.0 - middle(aired, upper(view, 0.15))
    top = middle(loss, upper(view, 0.15))
    grows = restricts(view, loss)
    heat = _hotter(view)
    short = starved > AIR_SHARE * top or (np.isnan(starved) and heat > HOTTER)
    if not (top > max(LOSS, 3.0 * torque.scatter) and short and grows and not heat < 0.4 * HOTTER):
        return None
    told = "" if np.isnan(starved) else f", air {starved:.1%}"
    told += "" if np.isnan(heat) else f", exhaust {degrees(heat):+.0f} degF"
    text = (
        f"Torque loses {top:.1%} at the top against {earlier(torque.n)}, about as rpm squared{told};"
        f" back-pressure was not logged."
    )
    low = _begins(view, loss, 0.35 * top)
    return Sign(KINDS[0], Severity.WARNING, low, float(view.rpm[-1]), top, "1", text, CONFIRM)


def _hotter(view: View) -> float:
    """Exhaust above the references at the top [K]; NaN where it was not logged."""
    names = [f"exhaust_temperature_{n}" for n in view.per_cylinder("exhaust_temperature")] or ["exhaust_temperature"]
    over = [middle(found.values, upper(view)) for name in names if (found := view.difference(name)) is not None]
    return float(np.median(over)) if over else float("nan")


def _begins(view: View, values: FloatArray, level: float) -> float:
    return float(view.rpm[above_from(values, level)])


def _cost(view: View) -> str:
    told = ""
    for word, channel in (("torque", "torque"), ("air", "air_each_rev")):
        ratio = view.ratio(channel)
        if ratio is not None:
            told += f"; {word} {middle(ratio.values, upper(view, 0.15)) - 1.0:+.1%} at the top"
    return told
