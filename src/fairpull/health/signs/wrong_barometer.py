"""Barometer (or the sea-level figure of a forecast in its place) wrong: corrected values are, observed ones are not.

Signature: the barometer moved against the references, corrected torque and air moved with it, and what does not care
about the barometer did not: observed torque, observed air, absolute manifold pressure at full throttle (practice).
From the pull alone: manifold pressure carried back to no flow meets the room's pressure in a naturally aspirated
engine; if it does not, one of the two is wrong. Confirmed by a second barometer; a forecast gives sea-level pressure.

Thresholds: the jump has to be ``LEAST`` of pressure, and each witness has to lie nearer to "barometer wrong" than to
"room changed" by ``FAR`` expected scatters, all together. Alone: ``ALONE`` of pressure, since a manifold gauge is good
to 0.1 inHg and what a filter costs is carried back.
"""

from __future__ import annotations

import numpy as np

from fairpull.health import saying
from fairpull.health.shapes import level
from fairpull.health.view import View
from fairpull.terms.findings import Severity
from fairpull.terms.health import Sign, Unseen

KINDS = ("wrong-barometer",)
NEEDS = ("barometer", "earlier sound pulls, or manifold_pressure of a naturally aspirated engine")
LEAST = 0.008
FAR = 3.0
ALONE = 0.03
POWER = 1.18  # percent of the factor for each percent of dry pressure, mechanical efficiency 0.85


def look(view: View) -> Sign | Unseen | None:
    """See the module.

    Args:
        view: the pull.

    Returns:
        The sign, what was missing, or None.
    """
    if view.air is None:
        return saying.unseen(KINDS[0], "barometer")
    held = [one.air.pressure for one in view.references if one.air is not None]
    if not held and not _gauge_meets_room(view):
        return saying.unseen(KINDS[0], saying.NO_REFERENCE, "manifold_pressure")
    alone = _alone(view) if _gauge_meets_room(view) else None
    jumped = _against(view, float(np.mean(held))) if held else None
    told = jumped or alone
    if told is None:
        return None
    size, evidence = told
    confirm = (
        "Read a second barometer in the cell; a forecast's figure is for sea level, the factor needs the station's."
    )
    low, high = float(view.rpm[0]), float(view.rpm[-1])
    return Sign(KINDS[0], Severity.FAULT, low, high, size, "Pa", evidence, confirm)


def _gauge_meets_room(view: View) -> bool:
    natural = view.engine is None or view.engine.induction == "natural"
    return natural and "manifold_pressure" in view.pull.channels and view.on_grid("manifold_pressure") is not None


def _no_flow(view: View) -> float | None:
    """Manifold pressure carried back to no flow [Pa]: what a filter and a throttle cost grows with speed squared."""
    manifold = view.on_grid("manifold_pressure")
    if manifold is None or np.count_nonzero(np.isfinite(manifold)) < 6:
        return None
    good = np.isfinite(manifold)
    x = (view.rpm[good] / view.rpm[-1]) ** 2
    slope, start = np.polyfit(x, manifold[good], 1)
    return float(start) if slope <= 0 else float(np.median(manifold[good]))


def _alone(view: View) -> tuple[float, str] | None:
    start = _no_flow(view)
    if start is None or view.air is None:
        return None
    away = view.air.pressure / start - 1.0
    if abs(away) < ALONE or start < 0.5 * view.air.pressure:
        return None
    text = (
        f"The barometer says {saying.pressure(view.air.pressure)}, but manifold pressure at full throttle, carried "
        f"back to no flow, is {saying.pressure(start)}: {saying.percent(away)} apart."
    )
    return view.air.pressure - start, text


def _against(view: View, usual: float) -> tuple[float, str] | None:
    if view.air is None:
        return None
    jump = float(np.log(view.air.pressure / usual))
    if abs(jump) < LEAST:
        return None
    witnesses = _witnesses(view)
    if not witnesses:
        return None
    # Each witness estimates how much of the jump is the instrument's: 1 all of it, 0 none (the room did change).
    share = sum(value * jump / scatter**2 for value, scatter in witnesses) / sum(
        (jump / scatter) ** 2 for _, scatter in witnesses
    )
    error = float(np.sqrt(1.0 / sum((jump / scatter) ** 2 for _, scatter in witnesses)))
    if share < FAR * error or share < 0.5:
        return None
    size = view.air.pressure - usual
    text = (
        f"The barometer moved {saying.pressure(size)} ({saying.percent(jump)}) against the references, corrected "
        f"torque with it, but what the engine itself felt says that {100.0 * share:.0f} % of this is the instrument's."
    )
    return size, text


def _witnesses(view: View) -> list[tuple[float, float]]:
    """Logs of corrected over expected values that rise one for one with a barometer that reads too low.

    Each is (value, expected scatter) with the sign turned so that a reading too high gives a positive value.
    """
    found = []
    torque, air = level(view, "torque"), level(view, "air_mass_flow")
    held = view.engine is not None and view.engine.induction == "turbo-held"
    if torque is not None and not held:
        found.append((-torque.value / POWER, torque.scatter / POWER))
    if air is not None and not held:
        found.append((-air.value / POWER, air.scatter / POWER))
    if "manifold_pressure" in view.pull.channels and not held:
        manifold = view.ratio("manifold_pressure")
        rooms = [one.air.pressure for one in view.references if one.air is not None]
        if manifold is not None and view.air is not None and rooms:
            away = float(np.log(view.air.pressure / np.mean(rooms))) - float(np.log(manifold.level))
            found.append((away, manifold.scatter))
    return found
