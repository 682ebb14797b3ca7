"""Torque span changed: every torque is off by the same share.

Signature: torque stands in one ratio to the references along speed while air and fuel do not change (practice). A
loss of this shape can also be burning or friction; a gain cannot. Confirmed by hanging weights over the range.

Thresholds: as for the zero; the share has to fit better than a constant.
"""

from __future__ import annotations

from fairpull.health import saying
from fairpull.health.brake import EVEN, beside, brake_reading
from fairpull.health.view import View
from fairpull.terms.findings import Severity
from fairpull.terms.health import Sign, Unseen

KINDS = ("torque-span",)
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
    if reading is None or reading.fits.for_offset > EVEN:
        return None
    fits = reading.fits
    doubt = "" if fits.for_offset < -EVEN else f" A constant would fit {beside(-fits.for_offset)}."
    evidence = (
        f"Torque is {saying.percent(fits.scale)} at every speed, one ratio to within {fits.scale_rest:.1f} N m, while "
        f"{reading.said}.{doubt}"
    )
    other = "" if fits.scale > 0 else " Weights that read true leave spark timing and friction to look at."
    confirm = f"Hang weights over the whole range going up and down.{other}"
    low, high = float(view.rpm[0]), float(view.rpm[-1])
    severity = Severity.WARNING if fits.zero_likelier else Severity.FAULT
    return Sign(KINDS[0], severity, low, high, fits.scale, "1", evidence, confirm)
