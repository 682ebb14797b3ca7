"""Boost shortfall: less boost than the same build made before, or than it held lower down.

Looked for: boost more than 0.2 psi below the references over an unbroken third of the range, brought to this pull's
barometer where a belt drives the compressor. Without references on a turbocharged engine: boost that falls from its
plateau by more than 1.5 psi and 12 % to the end.

Thresholds: 0.2 psi: practice (what voids a pull where boost should match), never below 3.5 times the scatter of sound
pulls. 1.5 psi and 12 % of a plateau alone are own choices: many sound turbos roll off a little at the top.

Confirmed by: a leak test of the charge pipes, the gate's spring and hose, filter and back-pressure, belt and pulley.
"""

from __future__ import annotations

import numpy as np

from fairpull.health.along import earlier, last_value, longest, middle, settled, shown, to_the_end
from fairpull.health.boost import against_references, boosted
from fairpull.health.view import View
from fairpull.terms.arrays import FloatArray
from fairpull.terms.findings import Severity
from fairpull.terms.health import Sign, Unseen

KINDS = ("boost-shortfall",)
NEEDS = ("boost (or manifold pressure with the barometer)", "references, or a turbine")
SHARE = 0.34  # of the settled nodes, unbroken
LOST, LOST_SHARE = 10342.0, 0.12  # Pa (1.5 psi) and share of the plateau, no reference at hand
CONFIRM = "Leak-test the charge pipes; check gate spring and hose, filter, back-pressure, belt and pulley."


def look(view: View) -> Sign | Unseen | None:
    """Look for a shortfall of boost.

    Args:
        view: the pull.

    Returns:
        A warning over the rpm where it shows; what is missing; or None (also without a compressor).

    Source: practice.
    """
    if not boosted(view):
        return None
    if not view.has("boost"):
        return Unseen(KINDS[0], ("boost", "manifold_pressure", "barometer"), "no boost logged")
    found = against_references(view)
    if found is not None:
        return _against(view, *found)
    if view.engine is None or not view.engine.induction.startswith("turbo"):
        text = "no references: a driven compressor's boost is not known beforehand"
        return Unseen(KINDS[0], ("references",), text)
    return _alone(view)


def _against(view: View, over: FloatArray, scatter: float, count: int) -> Sign | None:
    need = max(view.limits.boost_tolerance, view.limits.false_alarm * scatter)
    looked = settled(view) & np.isfinite(over)
    run = longest(np.asarray((over < -need) & looked))
    if run is None or run[1] - run[0] + 1 < SHARE * np.count_nonzero(looked):
        return None
    nodes = np.zeros(over.size, dtype=np.bool_)
    nodes[run[0] : run[1] + 1] = True
    short = middle(over, nodes)
    torque = view.ratio("torque")
    told = "" if torque is None else f"; torque {middle(torque.values, nodes) - 1.0:+.1%}"
    low, high = float(view.rpm[run[0]]), float(view.rpm[run[1]])
    where = f"from {low:,.0f} to {high:,.0f} rpm"
    text = f"Boost lies {shown(-short, 'psi', 'Pa', 2)} below {earlier(count)} {where}{told}."
    return Sign(KINDS[0], Severity.WARNING, low, high, short, "Pa", text, CONFIRM)


def _alone(view: View) -> Sign | None:
    boost = view.on_grid("boost")
    if boost is None:
        return None
    share = (view.rpm - view.rpm[0]) / (view.rpm[-1] - view.rpm[0])
    held = middle(boost, np.asarray((share > 0.3) & (share < 0.6)))
    lost = held - boost
    present = np.isfinite(lost)
    if to_the_end(lost > max(LOST, LOST_SHARE * held), present) is None:
        return None
    begins = to_the_end(lost > 0.3 * max(LOST, LOST_SHARE * held), present)
    first = 0 if begins is None else begins
    text = (
        f"Boost falls from a plateau of {shown(held, 'psi', 'Pa')} to {shown(last_value(boost), 'psi', 'Pa')}"
        f" from {view.rpm[first]:,.0f} rpm up."
    )
    low, high = float(view.rpm[first]), float(view.rpm[-1])
    return Sign(KINDS[0], Severity.WARNING, low, high, -float(np.nanmax(lost)), "Pa", text, CONFIRM)
