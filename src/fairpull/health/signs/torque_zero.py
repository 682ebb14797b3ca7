"""Torque zero moved: every torque is off by the same newton metres.

Signature: torque differs from the references by a constant along speed, air and fuel do not, so specific air and
specific fuel move the opposite way by equal shares (practice). Confirmed by hanging a weight and reading the zero.

Thresholds: torque has to leave its references' scatter, and what air and fuel explain of it, by ``FAR`` expected
scatters each; the zero has to move by more than the trade's 0.5 lb-ft. Chance in sound pulls: see docs.
"""

from __future__ import annotations

import numpy as np

from fairpull.health import saying
from fairpull.health.brake import EVEN, beside, brake_reading
from fairpull.health.view import View
from fairpull.terms.findings import Severity
from fairpull.terms.health import Sign, Unseen

KINDS = ("torque-zero",)
SMALL = 0.005  # of the largest torque
NEEDS = ("torque of earlier sound pulls", "air_mass_flow or fuel_mass_flow")


def look(view: View) -> Sign | Unseen | None:
    """See the module.

    Args:
        view: the pull.

    Returns:
        The sign, what was missing, or None.
    """
    reading = brake_reading(view)
    if isinstance(reading, tuple):
        return saying.unseen(KINDS[0], *reading)
    if reading is None or reading.fits.for_offset < -EVEN or abs(reading.fits.offset) <= _least(view):
        return None
    fits = reading.fits
    doubt = "" if fits.for_offset > EVEN else f" A share of torque would fit {beside(fits.for_offset)}."
    evidence = (
        f"Torque is off by {saying.torque(fits.offset)} at every speed ({saying.percent(reading.torque.value)}), a "
        f"constant to within {fits.offset_rest:.1f} N m, while {reading.said}.{doubt}"
    )
    confirm = "Read the zero with the brake unloaded and hang a weight; if it has moved, the pull is void."
    low, high = float(view.rpm[0]), float(view.rpm[-1])
    severity = Severity.FAULT if fits.zero_likelier else Severity.WARNING
    return Sign(KINDS[0], severity, low, high, fits.offset, "N m", evidence, confirm)


def _least(view: View) -> float:
    """The trade's 0.5 lb-ft is for a 500 lb-ft cell; a small engine's zero matters sooner [N m]."""
    torque = view.on_grid("torque")
    most = float(np.nanmax(torque)) if torque is not None else np.inf
    return min(view.limits.torque_zero, SMALL * most)
