"""Flow meters against the lambda sensor: two ways to the same mixture that do not agree.

Looked for: lambda from air and fuel flow over lambda from the sensor, off by more than 3 % over the settled range;
against references, changed by more than 3 %. The direction says where to look. The sensor leaner than the flows: a
misfire (unburnt air passes), an exhaust leak ahead of the sensor, or reversion. The flows leaner: an air meter that
reads too much or a leak behind its place, or a fuel meter that reads too little.

Thresholds: 3 %: practice (within 3 % is good agreement), for a change against the references; 3.5 % by itself, whatever
the references show: meters good to 1.2 % and a sensor good to 0.8 % differ by 3 % once in some hundred pulls. The
vapour that an air meter weighs with the air is taken off.

Confirmed by: meters and sensor checked against a second one; exhaust temperature by cylinder; a smoke test of the
exhaust joints.
"""

from __future__ import annotations

import numpy as np

from fairpull.health.along import earlier, longest, middle, settled
from fairpull.health.view import View
from fairpull.terms.arrays import FloatArray
from fairpull.terms.findings import Severity
from fairpull.terms.health import Sign, Unseen

KINDS = ("flow-lambda-disagreement",)
NEEDS = ("lambda", "air flow", "fuel flow", "the fuel's stoichiometric ratio or references")
SENSOR_LEAN = "the sensor reads leaner: look for a misfire, an exhaust leak ahead of it, or reversion"
FLOWS_LEAN = (
    "the flows read leaner than the sensor: look for an air leak behind the air meter or a fuel meter that reads low"
)
CONFIRM = (
    "Check both meters and the sensor against a second instrument; read exhaust temperature by cylinder and plugs."
)
BY_ITSELF = 0.005  # more where no earlier pull tells the meters' own offsets
SHARE = 0.35  # of the settled nodes, unbroken


def look(view: View) -> Sign | Unseen | None:
    """Look for a disagreement between flows and sensor.

    Args:
        view: the pull.

    Returns:
        A warning (a note where the references show the same), what is missing, or None.

    Source: practice.
    """
    own = _ratio(view)
    missing = tuple(
        name
        for name, channel in (("lambda", "lambda_sensor"), ("air_mass_flow",) * 2, ("fuel_mass_flow",) * 2)
        if not view.has(channel)
    )
    if own is None:
        return Unseen(KINDS[0], missing or ("lambda",), "flows and sensor cannot be held against each other")
    others = [ratio for reference in view.references if (ratio := _ratio(reference)) is not None]
    if not others and (view.engine is None or view.engine.fuel is None):
        text = "without the fuel's stoichiometric ratio or references the flows' lambda has no scale"
        return Unseen(KINDS[0], ("fuel", "references"), text)
    limit = view.limits.lambda_agreement
    if others:
        with np.errstate(invalid="ignore", divide="ignore"):
            away = own / np.mean(others, axis=0)
        changed = _judge(view, away, limit, f"against {earlier(len(others))}")
        if changed is not None or view.engine is None or view.engine.fuel is None:
            return changed
    return _judge(view, own, limit + BY_ITSELF, "by their own scales")


def _ratio(view: View) -> FloatArray | None:
    flow, sensor = view.on_grid("lambda_flow"), view.on_grid("lambda_sensor")
    if flow is None or sensor is None:
        return None
    weighed_moist = "air_mass_flow" in view.pull.channels and view.air is not None
    moist = 1.0 + _vapour_share(view) if weighed_moist else 1.0
    with np.errstate(invalid="ignore", divide="ignore"):
        return np.asarray(flow / moist / sensor)


def _vapour_share(view: View) -> float:
    """Mass of water vapour to that of dry air: an air meter weighs both, the sensor's lambda knows the dry one only."""
    air = view.air
    return 0.0 if air is None else 0.622 * air.vapour_pressure / (air.pressure - air.vapour_pressure)


def _judge(view: View, ratio: FloatArray, limit: float, against: str) -> Sign | None:
    off = ratio - 1.0
    looked = settled(view) & np.isfinite(off)
    if np.count_nonzero(looked) < 4:
        return None
    level = middle(off, looked)
    side = 1.0 if level > 0.0 else -1.0
    run = longest(np.asarray((side * off > limit) & looked))
    if run is None or run[1] - run[0] + 1 < SHARE * np.count_nonzero(looked):
        return None
    first, last = run
    nodes = np.zeros(off.size, dtype=np.bool_)
    nodes[first : last + 1] = True
    size = middle(off, nodes)
    flow, sensor = view.on_grid("lambda_flow"), view.on_grid("lambda_sensor")
    if flow is None or sensor is None:
        return None
    text = (
        f"Lambda {middle(flow, nodes):.3f} from the flows, {middle(sensor, nodes):.3f} from the sensor, {size:+.1%}"
        f" {against}: {SENSOR_LEAN if size < 0 else FLOWS_LEAN}."
    )
    return Sign(KINDS[0], Severity.WARNING, float(view.rpm[first]), float(view.rpm[last]), size, "1", text, CONFIRM)
