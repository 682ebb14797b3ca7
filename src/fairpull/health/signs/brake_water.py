"""Brake water too hot: it flashes to steam in the rotor and torque wanders.

Looked for: brake outlet water above 140 degF (warning) or 150 degF (fault) at any speed.

Thresholds: 140 to 150 degF: practice; the limit that is set lies between, 5 degF below it the warning starts and 5 degF
above it the pull is void.

Confirmed by: more water or colder water; torque that steadies. A gallon a minute carries 12 hp at
60 degF rise.
"""

from __future__ import annotations

import numpy as np

from fairpull.health.along import shown
from fairpull.health.view import View
from fairpull.terms.findings import Severity
from fairpull.terms.health import Sign, Unseen

KINDS = ("brake-water-hot",)
NEEDS = ("brake outlet temperature",)
EITHER_SIDE = 2.78  # K, 5 degF: the trade's limit is a range, 140 to 150 degF
CONFIRM = "Give the brake more or colder water and repeat; see whether torque steadies."


def look(view: View) -> Sign | Unseen | None:
    """Look for hot brake water.

    Args:
        view: the pull.

    Returns:
        A warning or a fault from where it is too hot; what is missing; or None.

    Source: practice.
    """
    values = view.on_grid("brake_outlet_temperature")
    if values is None:
        return Unseen(KINDS[0], ("brake_outlet_temperature",), "brake outlet temperature was not logged")
    warm, hot = view.limits.brake_water - EITHER_SIDE, view.limits.brake_water + EITHER_SIDE
    peak = float(np.nanmax(values))
    if peak <= warm:
        return None
    over = view.rpm[np.flatnonzero(values > warm)]
    limit, severity = (hot, Severity.FAULT) if peak > hot else (warm, Severity.WARNING)
    text = (
        f"Brake water leaves at up to {shown(peak, '°F', 'K', 0)}, above {shown(limit, '°F', 'K', 0)}, from"
        f" {over[0]:,.0f} rpm: it may flash to steam and torque then wanders."
    )
    return Sign(KINDS[0], severity, float(over[0]), float(over[-1]), peak - limit, "K", text, CONFIRM)
