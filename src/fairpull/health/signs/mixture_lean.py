"""Lean drift: less fuel for the air than before, or than the fuel and the induction ask for.

Looked for: lambda more than 0.03 above the references (or, with none at hand, more than 0.04 above the window for best
power of that fuel and induction) over an unbroken third of the range, flows and sensor agreeing, with fuel pressure
held where it was logged. A sensor that alone reads lean is not a lean engine: where the flows disagree nothing is
called, and where there are no flows the doubt is told.

Thresholds: 0.03 of lambda: practice (leaving the target by that voids a pull). Windows as for the rich drift. A fault
where lambda stands beyond a limits card's ceiling (0.02 above the window, 0.92 for natural petrol): pistons are at
stake.

Confirmed by: the jets or injectors, fuel pressure, an air leak sought; plugs. Enrich before the next pull.
"""

from __future__ import annotations

from fairpull.health.mixture import FALSE_LEAN, drift
from fairpull.health.view import View
from fairpull.terms.findings import Severity
from fairpull.terms.health import Sign, Unseen

KINDS = ("mixture-lean",)
NEEDS = ("lambda", "or air and fuel flow")
CONFIRM = "Enrich before the next pull; check jets or injectors, float level and fuel pressure, and seek an air leak."
DOUBT = "check plugs and exhaust temperature by cylinder too."


def look(view: View) -> Sign | Unseen | None:
    """Look for a lean drift.

    Args:
        view: the pull.

    Returns:
        A warning, or a fault beyond the lean limit, over the rpm where it shows; what is missing; or None.

    Source: practice.
    """
    if view.engine is not None and view.engine.ignition != "spark":
        return None
    if not view.has("lambda_sensor") and not view.has("lambda_flow"):
        return Unseen(KINDS[0], ("lambda", "air_mass_flow", "fuel_mass_flow"), "neither lambda nor both flows logged")
    found = drift(view, +1)
    if found is None:
        return None
    severity = Severity.FAULT if found.value > found.limit else Severity.WARNING
    doubtful = not found.confirmed and view.has("lambda_sensor")
    confirm = f"{CONFIRM} Flows were not logged: {FALSE_LEAN}{DOUBT}" if doubtful else CONFIRM
    beyond = f", beyond the limit of {found.limit:.2f}" if severity is Severity.FAULT else ""
    return Sign(KINDS[0], severity, found.low, found.high, found.size, "1", f"{found.text}{beyond}.", confirm)
