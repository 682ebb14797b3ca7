"""The spark loop: advance for best torque, the least advance that is nearly as good, and where knock stands."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from fairpull.terms.arrays import FloatArray
from fairpull.terms.comparison import Estimate
from fairpull.terms.findings import Finding, Severity
from fairpull.terms.tuning import Loop, LoopPoints
from fairpull.tune import loops
from fairpull.tune.parabola import Belief, Tops, fit_tops, next_point

DEGREE = math.pi / 180.0
# About 1 % of torque lost at 4 to 5 degrees off, 4 to 5 % at 10 (textbook, from memory): c near 4.8e-4 a degree^2.
BELIEF = Belief(4.8e-4 / DEGREE**2, 0.40, 0.003, 0.45)
STEP = 1.0 * DEGREE
APART = 0.5 * DEGREE  # settings closer than this are one, logged with noise
BACK_OFF = 2.5 * DEGREE  # from the knock limit, trade's 2 to 3 degrees
AHEAD = 4.0 * DEGREE  # furthest step beyond the points that a next point may take
NO_LIMITS = (-math.inf, math.inf)
EMPTY: tuple[FloatArray, FloatArray, FloatArray, FloatArray] = (np.empty(0), np.empty(0), np.empty(0), np.empty(0))


def spark_loop(
    points: LoopPoints,
    *,
    knock_limit: float | None = None,
    limits: tuple[float, float] | None = None,
    belief: Belief = BELIEF,
    seed: int = 0,
) -> Loop:
    """Fit torque against spark advance at one speed.

    Args:
        points: held points or points of several pulls, spark [rad before top centre], torque [N m], shape (n,).
        knock_limit: knock level from which a point counts as knocking, instrument's own scale; None: three times the
            median of the points, where any knock was logged.
        limits: least and most advance that may be run [rad]; None: no further than 4 degrees above and 8 below the
            points.
        belief: about curvature and noise before the points.
        seed: of the draws.

    Returns:
        The loop; without best torque where fewer than two settings were run.

    Source: practice, docs/tuning.md.
    """
    given = loops.usable(points)
    findings = loops.too_few(given, "spark", APART)
    if loops.different(given.setting, APART) < 2:
        why = f"One setting says nothing of a loop: run two more, {_first_steps(given, limits)}."
        return Loop(points.rpm, given, None, None, None, None, None, None, None, why, EMPTY, (), findings)
    tops = fit_tops(given.setting, given.torque, belief, seed)
    knocking = first_knock(given, knock_limit)
    best = _best(tops, given)
    reach = np.sqrt(loops.ONE_PERCENT / tops.curvature)
    limited = None if knocking is None else bool(knocking < float(np.median(tops.place)))
    chosen, cost = _safe(tops, knocking, limited, reach)
    setting, why = _next(tops, given, limits, knocking)
    if limited:
        findings = (*findings, knock_finding("spark", points.rpm, f"{(knocking or 0.0) / DEGREE:.1f} degrees"))
    return Loop(
        rpm=points.rpm,
        points=given,
        best=best,
        modest=chosen,
        best_torque=loops.estimate(tops.height, "N m", "height of the fitted loop"),
        flat=loops.estimate(2.0 * reach, "rad", "width within 1 % of best torque, 2 sqrt(0.01 / c)"),
        knock_limited=limited,
        cost_of_safe=cost,
        next_setting=setting,
        next_why=why,
        fit=loops.fitted(tops, given),
        checks=shape_checks(tops),
        findings=findings,
    )


def _first_steps(given: LoopPoints, limits: tuple[float, float] | None) -> str:
    """Where to go from the only setting, without a word of what lies beyond the limits."""
    least, most = limits or NO_LIMITS
    if not given.setting.size:
        return "3 degrees apart"
    here = float(given.setting.mean())
    if here + 3.0 * DEGREE > most + APART:
        return "3 and 6 degrees less"
    return "3 and 6 degrees more" if here - 3.0 * DEGREE < least - APART else "3 degrees either side"


def _best(tops: Tops, given: LoopPoints) -> Estimate:
    best = loops.estimate(tops.place, "rad", "top of the fitted loop, median and 95 % of the draws")
    side = loops.beyond(tops, given)
    if side > 0:
        return replace(best, value=float(given.setting.max()), at_least=True)
    return best


def first_knock(points: LoopPoints, limit: float | None) -> float | None:
    """Least advance at which knock was logged.

    Args:
        points: usable ones.
        limit: knock level that counts; None: three times the median.

    Returns:
        Advance [rad]; infinite where knock was logged but never came; None where nobody logged it.

    Source: practice.
    """
    known = np.isfinite(points.knock)
    if not known.any():
        return None
    level = 3.0 * float(np.median(points.knock[known])) if limit is None else limit
    loud = points.setting[known & (points.knock > max(level, 1e-12))]
    return float(loud.min()) if loud.size else math.inf


def _safe(tops: Tops, knocking: float | None, limited: bool | None, reach: FloatArray) -> tuple[Estimate, Estimate]:
    """Least advance within 1 %, or the knock limit less a margin, and what it costs."""
    how = "top less sqrt(0.01 / c): least advance within 1 % of best torque"
    settings = tops.place - reach
    if limited and knocking is not None:
        how = "knock-limited: 2.5 degrees less than where knock was heard"
        settings = np.minimum(settings, knocking - BACK_OFF)
    chosen = loops.estimate(settings, "rad", how)
    cost = tops.curvature * (chosen.value - tops.place) ** 2
    return chosen, loops.estimate(cost, "1", "torque given away at that setting, c (x - x0)^2")


def _next(
    tops: Tops, given: LoopPoints, limits: tuple[float, float] | None, knocking: float | None
) -> tuple[float | None, str]:
    least, most = limits or NO_LIMITS
    left = loops.regret(tops)
    if left < loops.WORTH:
        return None, f"Nothing left to learn: not knowing the top better costs {100 * left:.2f} % of torque at most."
    ceiling = min(most, float(given.setting.max()) + AHEAD, math.inf if knocking is None else knocking - BACK_OFF)
    floor = max(least, float(given.setting.min()) - 2.0 * AHEAD)
    candidates = np.arange(math.ceil(floor / STEP), math.floor(ceiling / STEP) + 1, dtype=np.float64) * STEP
    if candidates.size == 0:
        return None, "No setting is left within the limits and clear of knock."
    setting, gain = next_point(tops, candidates)
    text = (
        f"{setting / DEGREE:.0f} degrees: one point there takes away about {100 * gain:.0f} % of what is not known "
        "about the top. Listen for knock on the way up, and go no further once it is heard."
    )
    return setting, text


def shape_checks(tops: Tops) -> tuple[str, ...]:
    """The loop's shape against the trade's rules.

    Args:
        tops: draws.

    Returns:
        Sentences with their sources.

    Source: practice; heywood from memory.
    """
    said = []
    for off, low, high in ((4.5, 0.005, 0.02), (10.0, 0.025, 0.075)):
        loss = tops.curvature * (off * DEGREE) ** 2
        bottom, middle, top = np.quantile(loss, (0.025, 0.5, 0.975))
        fits = "agrees with" if top >= low and bottom <= high else "does NOT agree with"
        rule = "about 1 %" if off < 5 else "4 to 5 %"
        said.append(
            f"{off:g} degrees off the top cost {100 * middle:.1f} % ({100 * bottom:.1f} to {100 * top:.1f}); this "
            f"{fits} the rule of {rule} [heywood, from memory]"
        )
    return tuple(said)


REMEDIES = {
    "spark": "Stay 2 to 3 degrees below it; better fuel, cooler charge, richer mixture move it. Never lean on a knock.",
    "mixture": "Stay on the rich side of it; less advance, better fuel, cooler charge move it. Never lean on a knock.",
}


def knock_finding(what: str, rpm: float, setting: str) -> Finding:
    """What has to be known where knock came before best torque.

    Args:
        what: "spark" or "mixture".
        rpm: of the loop.
        setting: at which knock was heard, in words.

    Returns:
        The finding.
    """
    text = f"Knock came at {setting}, before best torque."
    return Finding("knock-limited", Severity.WARNING, f"{what} loop at {rpm:.0f} rpm", text, REMEDIES[what])
