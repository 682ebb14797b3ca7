"""Rich drift: more fuel for the air than before, or than the fuel and the induction ask for.

Looked for: lambda more than 0.03 below the references (or, with none at hand, more than 0.06 below the window for best
power of that fuel and induction) over an unbroken third of the range, flows and sensor agreeing. Torque is flat and
soft, BSFC up, exhaust cooler.

Thresholds: 0.03 of lambda: practice (leaving the target by that voids a pull; one jet number is 0.02 to 0.03). Windows:
practice, petrol 0.84 to 0.90 natural and 0.76 to 0.84 boosted, ethanol 0.80 to 0.88, methanol 0.70 to 0.85.

Confirmed by: leaning 3 % and watching torque, black plugs, a cool exhaust.
"""

from __future__ import annotations

from fairpull.health.along import middle, settled
from fairpull.health.mixture import drift
from fairpull.health.view import View
from fairpull.terms.findings import Severity
from fairpull.terms.health import Sign, Unseen

KINDS = ("mixture-rich",)
NEEDS = ("lambda", "or air and fuel flow")
CONFIRM = "Lean the fuel by 3 % and see whether torque stays or rises; look at plugs, jets, choke and fuel pressure."


def look(view: View) -> Sign | Unseen | None:
    """Look for a rich drift.

    Args:
        view: the pull.

    Returns:
        A warning over the rpm where it shows; what is missing; or None.

    Source: practice.
    """
    if view.engine is not None and view.engine.ignition != "spark":
        return None
    if not view.has("lambda_sensor") and not view.has("lambda_flow"):
        return Unseen(KINDS[0], ("lambda", "air_mass_flow", "fuel_mass_flow"), "neither lambda nor both flows logged")
    found = drift(view, -1)
    if found is None:
        return None
    bsfc = view.ratio("bsfc")
    told = "" if bsfc is None else f"; BSFC {middle(bsfc.values, settled(view)) - 1.0:+.1%}"
    text = f"{found.text}{told}."
    return Sign(KINDS[0], Severity.WARNING, found.low, found.high, found.size, "1", text, CONFIRM)
