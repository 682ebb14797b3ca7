"""Oil out of its window: too cold, too hot, or not as warm as in the series it is compared with.

Looked for: oil below 160 or above 260 degF at any speed (fault); a mean more than 5 degF off the earlier pulls of the
build (warning); with no references, a mean outside the window of a single pull. Oil that warms by a few degrees
through a pull is as it should be.

Thresholds: 160 and 260 degF, 5 degF: practice. Oil below about 177 degF costs power measurably (one builder's step
tests, second-hand).

Confirmed by: a second thermometer; waiting or warming until oil is where the series was, and repeating.
"""

from __future__ import annotations

from fairpull.health.view import View
from fairpull.health.windows import Window, judge
from fairpull.terms.health import Sign, Unseen

KINDS = ("oil-out-of-window",)
NEEDS = ("oil temperature",)
NEVER_BELOW, NEVER_ABOVE = 344.26, 399.82  # K, 160 and 260 degF
CONFIRM = "Bring the oil to the series' temperature and repeat; check with a second thermometer."


def look(view: View) -> Sign | Unseen | None:
    """Look for oil out of its window.

    Args:
        view: the pull.

    Returns:
        A fault beyond the limits, a warning out of window or series; what is missing; or None.

    Source: practice.
    """
    if not view.has("oil_temperature"):
        return Unseen(KINDS[0], ("oil_temperature",), "oil temperature was not logged")
    limits = view.limits
    window = Window(KINDS[0], "Oil", NEVER_BELOW, NEVER_ABOVE, limits.oil_low, limits.oil_high, limits.oil_window)
    return judge(view, "oil_temperature", window, CONFIRM)
