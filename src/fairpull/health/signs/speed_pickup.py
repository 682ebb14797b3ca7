"""Speed pickup wrong: torque is right, speed and power are not.

Signature: at every shown speed the air that burns lies below (or above) the references by one share; torque's level
does not, but its humps and its fall-off lie to the right (or left) by that share; breathing for each turn, specific air
and specific fuel are wrong by it (practice). Confirmed by a stroboscope or a second pickup; a toothed wheel with
another count gives the ratio of the counts.

Torque above what the air explains is the share by which speed is wrong, whatever the slope of the torque curve.

Thresholds: that share has to leave its expected scatter (``FAR_APART``); what is left of torque at the true speeds has
to be less than what the air would be left with if the brake were wrong instead; torque's shift along speed has to have
the right sign and about the size, which no meter error brings; where both readings leave as little, the shift has to be
``SURE``. The witnesses of air have to agree, and lambda has to be the references'.
"""

from __future__ import annotations

import numpy as np

from fairpull.health import saying
from fairpull.health.shapes import FAR_APART, Together, middle, shift_along_rpm, together
from fairpull.health.view import View
from fairpull.terms.findings import Severity
from fairpull.terms.health import Sign, Unseen

KINDS = ("speed-pickup",)
NEEDS = ("earlier sound pulls", "air_mass_flow, or fuel_mass_flow and lambda")
LEAST = 0.008  # of speed; a pickup is good to a thousandth, the flows are not
SIZE, TIGHT = (0.3, 2.5), (0.6, 1.6)  # shift of the torque curve over the share that the air says
SURE = 4.0  # standard errors of the shift
SAME = 0.025  # lambda in either half of the range, against the references: speed changes no mixture
AGREE = 0.01  # between the witnesses of air, and half of what they say


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
    if found.feed is None:
        return saying.unseen(KINDS[0], "air_mass_flow, or fuel_mass_flow and lambda")
    shift = shift_along_rpm(view, "torque", view.references)
    share = found.apart
    if shift is None or not _apart(found) or not _same_mixture(view):
        return None
    moved = shift.rpm / float(view.rpm.mean()) / share
    left, feed = _left(view, share), found.feed
    if left < abs(feed.value):
        if not SIZE[0] < moved < SIZE[1]:
            return None
    elif (
        left > abs(feed.value) + feed.scatter or not TIGHT[0] < moved < TIGHT[1] or abs(shift.rpm) < SURE * shift.error
    ):
        return None
    told = saying.listed([f"{name} {saying.percent(one.value)}" for name, one in found.feeds.items()])
    evidence = (
        f"At every shown speed: {told} against the references, torque {saying.percent(found.torque.value)} but lying "
        f"{shift.rpm:+.0f} rpm along speed: as if speed read {saying.percent(share)}, and power with it."
    )
    confirm = "Hold one speed and read it with a stroboscope or a second pickup; count the teeth of the wheel."
    low, high = float(view.rpm[0]), float(view.rpm[-1])
    return Sign(KINDS[0], Severity.FAULT, low, high, share, "1", evidence, confirm)


def _apart(found: Together) -> bool:
    if abs(found.apart) < max(LEAST, FAR_APART * found.apart_scatter):
        return False
    values = [one.value for one in found.feeds.values()]
    return float(np.ptp(values)) < AGREE + 0.5 * abs(found.apart)


def _same_mixture(view: View) -> bool:
    against = view.ratio("lambda_sensor") or view.ratio("lambda_flow")
    if against is None:
        return True
    away = np.log(against.values)
    half = away.size // 2
    return all(not abs(middle(part)) > SAME for part in (away[:half], away[half:]))


def _left(view: View, share: float) -> float:
    """What torque is off by, once it is read at the speeds that a pickup wrong by a share would mean."""
    own, against = view.corrected("torque"), view.ratio("torque")
    if own is None or against is None:
        return float("inf")
    held = np.isfinite(own) & np.isfinite(against.values)
    rpm, usual = view.rpm[held], own[held] / against.values[held]
    true = rpm / (1.0 + share)
    inside = (true >= rpm[0]) & (true <= rpm[-1])
    return abs(middle(np.log(own[held][inside] / np.interp(true[inside], rpm, usual))))
