"""Intake restriction: at full throttle the manifold lies too far below the barometer, the more the faster it turns.

Looked for on naturally aspirated engines: barometer less manifold pressure at the top of the range beyond 1.6 inHg,
growing about as rpm squared; against references, more than 0.4 inHg beyond theirs, the excess growing so. Up to 1.5
inHg is a street carburettor's own. With a carburettor the mixture goes richer, which is told. Boosted engines carry
their manifold above the barometer: nothing can be seen there.

Thresholds: 1.5 inHg: practice (0.3 to 0.8 race, 1.0 to 1.5 street, more than 2 restrictive), 0.1 inHg for the gauges;
0.4 inHg is four times a manifold gauge's accuracy.

Confirmed by: the pull repeated without filter and ducting, throttle opening measured at the blade.
"""

from __future__ import annotations

import numpy as np

from fairpull.health.along import above_from, earlier, middle, restricts, settled, shown, upper
from fairpull.health.view import View
from fairpull.terms.arrays import FloatArray
from fairpull.terms.findings import Severity
from fairpull.terms.health import Sign, Unseen

KINDS = ("intake-restriction",)
NEEDS = ("manifold pressure", "barometer")
MARGIN = 339.0  # Pa, 0.1 inHg: a manifold gauge's accuracy
EXCESS = 1355.0  # Pa, 0.4 inHg
CONFIRM = "Repeat without filter and ducting; measure throttle opening at the blade and look for a collapsed duct."


def look(view: View) -> Sign | Unseen | None:
    """Look for a restricted intake.

    Args:
        view: the pull.

    Returns:
        A warning over the upper range; what is missing; or None.

    Source: practice.
    """
    if view.engine is not None and view.engine.induction != "natural":
        text = "a boosted manifold lies above the barometer; log pressure ahead of the compressor"
        return Unseen(KINDS[0], ("pressure ahead of the compressor",), text)
    depression = _depression(view)
    if depression is None:
        missing = tuple(name for name in ("manifold_pressure", "barometer") if not view.has(name))
        return Unseen(KINDS[0], missing, "manifold pressure cannot be held against the barometer")
    others = [laid for reference in view.references if (laid := _depression(reference)) is not None]
    found = None
    if others:
        with np.errstate(invalid="ignore"):
            usual = np.asarray(np.mean(others, axis=0))
        found = _judge(view, depression, depression - usual, EXCESS, len(others))
    return found or _judge(view, depression, depression, view.limits.intake_depression + MARGIN, 0)


def _judge(view: View, depression: FloatArray, shape: FloatArray, need: float, count: int) -> Sign | None:
    top, excess = middle(depression, upper(view, 0.15)), middle(shape, upper(view, 0.15))
    if not (excess > need and restricts(view, shape)):
        return None
    low = float(view.rpm[above_from(shape, 0.35 * excess)])
    told = f", {shown(excess, 'inHg', 'Pa', 2)} more than {earlier(count)}" if count else ""
    text = (
        f"Manifold pressure lies {shown(top, 'inHg', 'Pa', 2)} below the barometer at the top{told}, growing about"
        f" as rpm squared{_besides(view)}."
    )
    return Sign(KINDS[0], Severity.WARNING, low, float(view.rpm[-1]), excess, "Pa", text, CONFIRM)


def _depression(view: View) -> FloatArray | None:
    boost = view.on_grid("boost")
    return None if boost is None else np.asarray(-boost)


def _besides(view: View) -> str:
    told = ""
    torque, mixture = view.ratio("torque"), view.difference("lambda_sensor")
    if torque is not None:
        told += f"; torque {middle(torque.values, upper(view, 0.15)) - 1.0:+.1%}"
    if mixture is not None:
        told += f"; lambda {middle(mixture.values, upper(view, 0.15)):+.3f}"
    throttle = view.on_grid("throttle")
    if throttle is not None and middle(throttle, settled(view)) < view.limits.throttle:
        told += f"; throttle {middle(throttle, settled(view)):.0%} open only"
    return told
