"""Heat soak: hot walls, hot oil, hot charge; the correction for inlet temperature does not save the pull.

Signature: a uniform loss of corrected torque against the references, 1 to 4 % (practice), the air falling with it,
with oil, coolant, inlet or charge well hotter than in the references. Confirmed by cooling down and repeating.

Thresholds: the loss has to leave the expected scatter by ``FAR``; heat is ``HOT`` kelvin above the references, about
twice what a careful shop lets oil and inlet differ from pull to pull (5 and 3 degF), with the charge at twice that.
"""

from __future__ import annotations

import numpy as np

from fairpull.health import saying
from fairpull.health.shapes import together
from fairpull.health.view import View
from fairpull.terms.findings import Severity
from fairpull.terms.health import Sign, Unseen

KINDS = ("heat-soak",)
NEEDS = ("torque of earlier sound pulls", "oil, coolant, inlet or charge temperature")
FAR = 2.0  # with heat beside it, which no chance brings
FAR_BOTH = 1.6  # with heat in the engine and in its air
BODY = {"oil", "coolant"}
AIR_AGREES = 2.0  # expected scatters by which the air may fail to follow
LEAST = 0.006  # of torque
HOT = {
    "oil_temperature": ("oil", 5.6),
    "coolant_out": ("coolant", 5.6),
    "inlet_temperature": ("inlet air", 5.0),
    "charge_temperature_after_cooler": ("charge", 8.0),
    "charge_temperature_before_cooler": ("charge before the cooler", 10.0),
}
UNIFORM = 0.6  # loss of the gentler half of the speeds over that of the harsher half
NOT_AIR = 0.35  # the air takes at least this share of the loss where it was measured


def look(view: View) -> Sign | Unseen | None:
    """See the module.

    Args:
        view: the pull.

    Returns:
        The sign, what was missing, or None.
    """
    found = together(view)
    if found is None:
        return saying.unseen(KINDS[0], saying.NO_REFERENCE)
    if not view.has("oil_temperature") and not view.has("inlet_temperature"):
        return saying.unseen(KINDS[0], "oil_temperature or inlet_temperature")
    loss = -found.torque.value
    hot = _hot(view)
    bodies = BODY & {name for name, _ in hot}
    far = FAR_BOTH if bodies and len(hot) > len(bodies) else FAR
    if not hot or loss < max(LEAST, far * found.torque.scatter) or not _uniform(view):
        return None
    air = found.feeds.get("air flow")
    if air is not None and -air.value < NOT_AIR * loss - AIR_AGREES * air.scatter:
        return None
    told = saying.listed([f"{name} {saying.warmer(warmer)}" for name, warmer in hot])
    evidence = (
        f"Corrected torque is {saying.percent(found.torque.value)} over the whole range although the factor allows for "
        f"inlet air; against the references: {told}."
    )
    confirm = "Cool to the references' oil, coolant and inlet temperatures and repeat; the loss goes if it was heat."
    low, high = float(view.rpm[0]), float(view.rpm[-1])
    return Sign(KINDS[0], Severity.FAULT, low, high, found.torque.value, "1", evidence, confirm)


def _hot(view: View) -> list[tuple[str, float]]:
    hot = []
    for channel, (name, least) in HOT.items():
        against = view.difference(channel)
        if against is not None and against.level > max(least, 2.5 * against.scatter):
            hot.append((name, against.level))
    return hot


def _uniform(view: View) -> bool:
    against = view.ratio("torque")
    if against is None:
        return False
    loss = 1.0 - against.values[np.isfinite(against.values)]
    half = loss.size // 2
    parts = sorted((float(np.median(loss[:half])), float(np.median(loss[half:]))))
    return parts[0] > 0 and parts[0] > UNIFORM * parts[1] - 0.006
