"""Coolant out of its window: too cold, too hot, or not as warm as in the series it is compared with.

Looked for: coolant out of the engine (in, where out is not logged) below 130 or above 215 degF (fault); a mean more
than 5 degF off the earlier pulls of the build (warning); with no references, a mean outside the window of a single
pull.

Thresholds: 160 to 190 degF before a pull, 215 degF stop, 5 degF of the series: practice. Below 130 degF an engine is
not warmed up: own choice.

Confirmed by: a second thermometer; waiting until the coolant is where the series was, and repeating.
"""

from __future__ import annotations

from fairpull.health.view import View
from fairpull.health.windows import Window, judge
from fairpull.terms.health import Sign, Unseen

KINDS = ("coolant-out-of-window",)
NEEDS = ("coolant temperature",)
NEVER_BELOW, NEVER_ABOVE = 327.59, 374.82  # K, 130 and 215 degF
CONFIRM = "Bring the coolant to the series' temperature and repeat; check thermostat, flow and a second thermometer."


def look(view: View) -> Sign | Unseen | None:
    """Look for coolant out of its window.

    Args:
        view: the pull.

    Returns:
        A fault beyond the limits, a warning out of window or series; what is missing; or None.

    Source: practice.
    """
    channel = "coolant_out" if view.has("coolant_out") else "coolant_in"
    if not view.has(channel):
        return Unseen(KINDS[0], ("coolant_out",), "coolant temperature was not logged")
    limits = view.limits
    low, high = limits.coolant_low, limits.coolant_high
    window = Window(KINDS[0], "Coolant", NEVER_BELOW, NEVER_ABOVE, low, high, limits.coolant_window)
    return judge(view, channel, window, CONFIRM)
