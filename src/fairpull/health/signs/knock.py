"""Knock: combustion noise that stands off the pull's own floor, or off the same build's earlier pulls.

Looked for: a knock level that over at least 150 rpm lies 50 % above the references' or 60 % above the line that its own
quieter nodes draw (a power of rpm: a sound engine's noise grows smoothly), and by at least five standard errors (or is
twice the floor); or
bursts of single samples far above the floor. What makes it likelier is told with it: exhaust temperature that falls,
torque below the references, coolant that rises.

Thresholds: any knock voids a pull (practice); 50 % and 60 % are own choices: the instrument's scale is relative and
sound pulls of one build repeat within a few per cent.

Confirmed by: spark retarded 4 degrees, a headphone, plugs read for specks. Without a knock channel nothing is seen.
"""

from __future__ import annotations

import numpy as np

from fairpull.health.along import degrees, earlier, longest, middle, own_line, settled, spread_on_grid
from fairpull.health.view import View
from fairpull.terms.arrays import BoolArray, FloatArray
from fairpull.terms.findings import Severity
from fairpull.terms.health import Sign, Unseen

KINDS = ("knock",)
NEEDS = ("knock level",)
ABOVE_REFERENCES = 0.50
ABOVE_ITSELF = 0.60
ERRORS = 5.0
CLEAR = 1.0  # a level twice its floor is knock however rough the signal: few held steps tell no scatter
BURST = 8.0  # robust standard deviations above the smooth level
BURST_SHARE = 0.5  # and this share of the level
FEWEST_BURSTS = 4  # samples inside one stretch of rpm
BURST_WIDTH = 300.0  # rpm
CONFIRM = "Retard the spark 4 degrees and repeat; listen with a headphone, read the plugs for specks. Do not lean out."


def look(view: View) -> Sign | Unseen | None:
    """Look for knock.

    Args:
        view: the pull.

    Returns:
        A fault over the rpm where it shows; what is missing; or None.

    Source: practice.
    """
    names = [f"knock_{number}" for number in view.per_cylinder("knock")] or ["knock"]
    names = [name for name in names if view.has(name)]
    if not names:
        return Unseen(KINDS[0], ("knock",), "no knock channel: torque and exhaust temperature alone do not tell knock")
    found = [sign for name in names if (sign := _level(view, name) or _bursts(view, name)) is not None]
    return max(found, key=lambda sign: sign.size) if found else None


def _level(view: View, name: str) -> Sign | None:
    level = view.on_grid(name)
    if level is None:
        return None
    floor = _floor(view, name)
    alone = floor is None
    if floor is None:
        floor = own_line(view.rpm, level, _quiet(view, level), bent=True)
    share = ABOVE_ITSELF if alone else ABOVE_REFERENCES
    need = np.maximum(share * floor, np.minimum(ERRORS * spread_on_grid(view, name), CLEAR * floor))
    run = longest(np.asarray((level - floor > need) & settled(view)))
    if run is None:
        return None
    first, last = run
    above = level[first : last + 1] / np.maximum(floor[first : last + 1], 1e-9)
    peak = int(np.nanargmax(above)) + first
    against = "the line of its quieter nodes" if alone else f"{earlier(len(view.references))}"
    text = (
        f"Knock level {level[peak]:.2g} at {view.rpm[peak]:,.0f} rpm where {against} say {floor[peak]:.2g}"
        f"{_besides(view, first, last)}."
    )
    size = float(level[peak] - floor[peak])
    return Sign(KINDS[0], Severity.FAULT, float(view.rpm[first]), float(view.rpm[last]), size, "1", text, CONFIRM)


def _floor(view: View, name: str) -> FloatArray | None:
    others = [laid for reference in view.references if (laid := reference.on_grid(name)) is not None]
    if not others:
        return None
    with np.errstate(invalid="ignore"):
        floor = np.asarray(np.median(others, axis=0))
    return floor if np.isfinite(floor).sum() * 2 >= floor.size else None


def _quiet(view: View, level: FloatArray) -> BoolArray:
    """Nodes that may carry the floor: below twice the lower quartile of level over rpm."""
    with np.errstate(invalid="ignore"):
        each_rev = level / view.rpm
        return np.asarray((each_rev < 1.6 * np.nanpercentile(each_rev, 25)) & (level > 0))


def _bursts(view: View, name: str) -> Sign | None:
    rest, values, rpm = view.rest(name), view.raw(name), view.raw("rpm")
    if rest is None or values is None or rpm is None or view.pull.kind == "steps":
        return None
    noise = view.noise(name)
    high = rest > np.maximum(BURST * noise, BURST_SHARE * np.abs(values - rest))
    at = np.sort(rpm[high])
    if noise <= 0.0 or at.size < FEWEST_BURSTS:
        return None
    width = at[FEWEST_BURSTS - 1 :] - at[: 1 - FEWEST_BURSTS]
    if width.min() > BURST_WIDTH:
        return None
    text = (
        f"{at.size} bursts of knock between {at[0]:,.0f} and {at[-1]:,.0f} rpm, up to {float(np.max(values[high])):.2g}"
        f" over a floor of {float(np.median(values[high] - rest[high])):.2g} that scatters by {noise:.2g}."
    )
    return Sign(KINDS[0], Severity.FAULT, float(at[0]), float(at[-1]), float(np.max(rest[high])), "1", text, CONFIRM)


def _besides(view: View, first: int, last: int) -> str:
    """What else moved over these nodes against the references."""
    inside = np.zeros(view.rpm.size, dtype=np.bool_)
    inside[first : last + 1] = True
    told = ""
    torque = view.ratio("torque")
    if torque is not None and middle(torque.values, inside) < 1.0 - torque.scatter:
        told += f"; torque {middle(torque.values, inside) - 1.0:+.1%}"
    sensors = [f"exhaust_temperature_{n}" for n in view.per_cylinder("exhaust_temperature")] or ["exhaust_temperature"]
    falls = [middle(d.values, inside) for name in sensors if (d := view.difference(name)) is not None]
    if falls and float(np.median(falls)) < -2.0:
        told += f"; exhaust temperature {degrees(float(np.median(falls))):+.0f} degF"
    return told
