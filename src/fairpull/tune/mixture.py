"""The mixture loop: lambda (or jet step) of best torque, and what it costs to stay on the rich side of it."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from fairpull.terms.comparison import Estimate
from fairpull.terms.tuning import Loop, LoopPoints
from fairpull.tune import loops
from fairpull.tune.parabola import Belief, Tops, fit_tops, next_point
from fairpull.tune.spark import EMPTY, first_knock, knock_finding

# 0.03 of lambda either side cost less than 1 % (practice), 0.10 about 3 to 5 % (from memory): c near 4.
BELIEF = Belief(4.0, 0.55, 0.003, 0.45)
JET_BELIEF = Belief(4.0 * 0.025**2, 0.75, 0.003, 0.45)
"""One jet number is 0.02 to 0.03 of lambda."""
STEP = {"lambda": 0.01, "jet": 1.0}
APART = {"lambda": 0.005, "jet": 0.5}
"""Settings closer than this are one, logged with noise."""
SAFE_SIDE = {"lambda": -0.02, "jet": 1.0}
"""Finish 2 to 3 % rich of the top, or one jet number richer."""
AHEAD = {"lambda": 0.03, "jet": 2.0}
BEST_PETROL = (0.86, 0.90)
RULE_OFF, RULE_LOSS = 0.03, 0.01
UNITS = {"lambda": "1", "jet": "1"}


def mixture_loop(
    points: LoopPoints,
    *,
    by: str = "lambda",
    limits: tuple[float, float] | None = None,
    fuel: str = "petrol",
    knock_limit: float | None = None,
    belief: Belief | None = None,
    seed: int = 0,
) -> Loop:
    """Fit torque against lambda, or against jet numbers, at one speed.

    Args:
        points: held points or points of several pulls, lambda [-] or jet number [-], torque [N m], shape (n,).
        by: "lambda" or "jet" (a higher number is richer).
        limits: least and most setting that may be run [-]; None: lambda 0.75 to 0.95, or two jets beyond the points.
        fuel: "petrol" checks the optimum against the trade's 0.86 to 0.90; others have no such rule here.
        knock_limit: knock level from which a point counts as knocking, instrument's own scale; None: three times the
            median of the points, where any knock was logged.
        belief: about curvature and noise before the points; None takes the trade's.
        seed: of the draws.

    Returns:
        The loop; ``modest`` is the setting on the rich side of best torque.

    Source: practice, docs/tuning.md.
    """
    given = loops.usable(points)
    findings = loops.too_few(given, "mixture", APART[by])
    if loops.different(given.setting, APART[by]) < 2:
        why = "One setting says nothing of a loop: run two more, richer first."
        return Loop(points.rpm, given, None, None, None, None, None, None, None, why, EMPTY, (), findings)
    tops = fit_tops(given.setting, given.torque, belief or (BELIEF if by == "lambda" else JET_BELIEF), seed)
    best = loops.estimate(tops.place, UNITS[by], "top of the fitted loop, median and 95 % of the draws")
    knocking = richest_knock(given, by, knock_limit)
    limited = None if knocking is None else _leaner(float(np.median(tops.place)), knocking, by)
    safe = _safe(tops, by, knocking if limited else None)
    if limited:
        findings = (*findings, knock_finding("mixture", points.rpm, _setting_words(knocking or 0.0, by)))
    cost = tops.curvature * (safe.value - tops.place) ** 2
    setting, why = _next(tops, given, by, limits or _limits(given, by), knocking)
    width = 2.0 * np.sqrt(loops.ONE_PERCENT / tops.curvature)
    return Loop(
        rpm=points.rpm,
        points=given,
        best=best,
        modest=safe,
        best_torque=loops.estimate(tops.height, "N m", "height of the fitted loop"),
        flat=loops.estimate(width, UNITS[by], "width within 1 % of best torque, 2 sqrt(0.01 / c)"),
        knock_limited=limited,
        cost_of_safe=loops.estimate(cost, "1", "torque given away at that setting, c (x - x0)^2"),
        next_setting=setting,
        next_why=why,
        fit=loops.fitted(tops, given),
        checks=_checks(tops, best, fuel) if by == "lambda" else (),
        findings=findings,
    )


def richest_knock(points: LoopPoints, by: str, limit: float | None) -> float | None:
    """The richest setting at which knock was logged: whatever is leaner may knock too.

    Args:
        points: usable ones.
        by: "lambda" or "jet" (a higher number is richer).
        limit: knock level that counts; None: three times the median.

    Returns:
        Lambda or jet number; infinitely lean where knock was logged but never came; None where nobody logged it.

    Source: practice.
    """
    leaner = points.setting if by == "lambda" else -points.setting
    first = first_knock(replace(points, setting=leaner), limit)
    return first if first is None or by == "lambda" else -first


def _leaner(setting: float, than: float, by: str) -> bool:
    return setting > than if by == "lambda" else setting < than


def _safe(tops: Tops, by: str, knocking: float | None) -> Estimate:
    """The rich side of the top, or of where knock was heard where that is richer still."""
    how = "2 % rich of the top" if by == "lambda" else "one jet number richer than the top"
    settings = tops.place + SAFE_SIDE[by]
    if knocking is not None:
        richer = np.minimum if by == "lambda" else np.maximum
        settings = richer(settings, knocking + SAFE_SIDE[by])
        how = f"knock-limited: as much richer than {_setting_words(knocking, by)}, where knock was heard"
    return loops.estimate(settings, UNITS[by], how)


def _setting_words(setting: float, by: str) -> str:
    return f"lambda {setting:.2f}" if by == "lambda" else f"jet {setting:.0f}"


def _limits(given: LoopPoints, by: str) -> tuple[float, float]:
    if by == "lambda":
        return 0.75, 0.95
    return float(given.setting.min()) - 2.0, float(given.setting.max()) + 2.0


def _next(
    tops: Tops, given: LoopPoints, by: str, limits: tuple[float, float], knocking: float | None
) -> tuple[float | None, str]:
    left = loops.regret(tops)
    if left < loops.WORTH:
        return None, f"Nothing left to learn: not knowing the top better costs {100 * left:.2f} % of torque at most."
    # the lean side is the dangerous one: no further from the points than a jet step or two
    low = max(limits[0], float(given.setting.min()) - (2.0 if by == "lambda" else 1.0) * AHEAD[by])
    high = min(limits[1], float(given.setting.max()) + AHEAD[by])
    if knocking is not None and math.isfinite(knocking):
        clear = knocking + SAFE_SIDE[by]
        low, high = (low, min(high, clear)) if by == "lambda" else (max(low, clear), high)
    step = STEP[by]
    first, last = math.ceil(round(low / step, 6)), math.floor(round(high / step, 6))
    candidates = np.arange(first, last + 1, dtype=np.float64) * step
    if candidates.size == 0:
        return None, "No setting is left within the limits and clear of knock."
    setting, gain = next_point(tops, candidates)
    text = (
        f"{_setting_words(setting, by)}: one point there takes away about {100 * gain:.0f} % of what is not known "
        "about the top. Stop on any knock or jump of exhaust temperature."
    )
    return setting, text


def _checks(tops: Tops, best: Estimate, fuel: str) -> tuple[str, ...]:
    """The loop's shape against the trade's rules."""
    loss = tops.curvature * RULE_OFF**2
    bottom, middle, top = (100.0 * float(one) for one in np.quantile(loss, (0.025, 0.5, 0.975)))
    fits = "agrees with" if bottom < 100.0 * RULE_LOSS else "does NOT agree with"
    said = [
        f"0.03 of lambda off the top cost {middle:.1f} % ({bottom:.1f} to {top:.1f}); this {fits} the rule of less "
        "than 1 % [practice]"
    ]
    if fuel == "petrol":
        low, high = BEST_PETROL
        fits = "agrees with" if best.high >= low and best.low <= high else "does NOT agree with"
        said.append(f"best lambda {best.value:.2f} {fits} the trade's {low:.2f} to {high:.2f} for petrol [practice]")
    return tuple(said)
