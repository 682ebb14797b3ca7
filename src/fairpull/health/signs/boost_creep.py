"""Boost creep: the waste gate is open and cannot pass enough, so boost climbs with rpm above its plateau.

Looked for on turbocharged engines: boost that in the upper part of the range lies more than 0.6 psi above the plateau
it held in the middle, climbing to the end; against references, boost whose excess grows with rpm to more than 0.5 psi
at the end. Torque then holds where it should fall, and the mixture may lean.

Thresholds: boost repeats within 0.2 psi (practice); 0.5 and 0.6 psi are own choices that leave room for a gate whose
plateau is not quite level.

Confirmed by: gate position at full travel, a bigger gate or port, lower back-pressure.
"""

from __future__ import annotations

import numpy as np

from fairpull.health.along import above_from, earlier, middle, shown, upper
from fairpull.health.boost import SPOOLED, against_references
from fairpull.health.view import View
from fairpull.terms.arrays import BoolArray, FloatArray
from fairpull.terms.findings import Severity
from fairpull.terms.health import Sign, Unseen

KINDS = ("boost-creep",)
NEEDS = ("boost (or manifold pressure with the barometer)", "the engine's induction")
ABOVE_PLATEAU = 4137.0  # Pa, 0.6 psi
ABOVE_REFERENCES = 3447.0  # Pa, 0.5 psi
CONFIRM = "See whether the gate is fully open at the top; try a bigger gate or less back-pressure; watch lambda."


def look(view: View) -> Sign | Unseen | None:
    """Look for boost creep.

    Args:
        view: the pull.

    Returns:
        A warning from where boost leaves its plateau to the end; what is missing; or None (also without a turbine).

    Source: practice.
    """
    if view.engine is None:
        text = "whether the engine has a waste gate is not known"
        return Unseen(KINDS[0], ("engine",), text) if view.has("boost") else None
    if not view.engine.induction.startswith("turbo"):
        return None
    boost = view.on_grid("boost")
    if boost is None:
        return Unseen(KINDS[0], ("boost", "manifold_pressure", "barometer"), "no boost to see a plateau in")
    return _against(view, boost) or _alone(view, boost)


def _against(view: View, boost: FloatArray) -> Sign | None:
    found = against_references(view)
    if found is None:
        return None
    over, scatter, count = found
    mid, top = middle(over, _middle_of(view)), middle(over, upper(view, 0.12))
    need = max(ABOVE_REFERENCES, view.limits.boost_tolerance + view.limits.false_alarm * scatter)
    if not (top > need and top - mid > 0.5 * need and _climbs(view, over)):
        return None
    begins = above_from(over, max(0.3 * need, mid + 0.2 * (top - mid)))
    text = (
        f"Boost lies {shown(top, 'psi', 'Pa')} above {earlier(count)} at {view.rpm[-1]:,.0f} rpm and"
        f" {shown(mid, 'psi', 'Pa')} in the middle: it climbs with rpm{_torque(view)}."
    )
    return _sign(view, begins, top, text)


def _alone(view: View, boost: FloatArray) -> Sign | None:
    held = _plateau(view, boost)
    if held is None or not np.isfinite(middle(boost, upper(view, 0.12))):
        return None
    top = middle(boost, upper(view, 0.12)) - held
    if not (top > ABOVE_PLATEAU and _climbs(view, boost)):
        return None
    text = (
        f"Boost climbs from a plateau of {shown(held, 'psi', 'Pa')} to {shown(held + top, 'psi', 'Pa')}"
        f" at {view.rpm[-1]:,.0f} rpm{_torque(view)}."
    )
    return _sign(view, above_from(boost - held, 0.25 * top), top, text)


def _middle_of(view: View) -> BoolArray:
    share = (view.rpm - view.rpm[0]) / (view.rpm[-1] - view.rpm[0])
    return np.asarray((share > 0.3) & (share < 0.6))


def _plateau(view: View, boost: FloatArray) -> float | None:
    """Level in the middle of the range, where boost has come up and rests; None where it never rests."""
    mid = _middle_of(view)
    level = middle(boost, mid)
    spooled = np.flatnonzero(boost > SPOOLED * level)
    if not spooled.size or view.rpm[spooled[0]] > view.rpm[0] + 0.5 * (view.rpm[-1] - view.rpm[0]):
        return None
    inside = mid & (view.rpm >= view.rpm[spooled[0]])
    chosen = boost[inside]
    return float(np.nanmedian(chosen)) if np.isfinite(chosen).sum() >= 3 and np.nanstd(chosen) < 0.06 * level else None


def _climbs(view: View, values: FloatArray) -> bool:
    """Rising over the last third, on the whole."""
    last = values[upper(view, 0.34)]
    last = last[np.isfinite(last)]
    return bool(last.size >= 4 and np.mean(last[-2:]) > np.mean(last[:2]) and np.mean(np.diff(last) > 0) > 0.5)


def _torque(view: View) -> str:
    ratio = view.ratio("torque")
    return "" if ratio is None else f"; torque {middle(ratio.values, upper(view)) - 1.0:+.1%} at the top"


def _sign(view: View, begins: int, size: float, text: str) -> Sign:
    low, high = float(view.rpm[begins]), float(view.rpm[-1])
    return Sign(KINDS[0], Severity.WARNING, low, high, size, "Pa", text, CONFIRM)
