"""What stands under each chart of a comparison."""

from __future__ import annotations

CAPTIONS = {
    "torque": (
        "Above: every build's mean with its band; single pulls thin and grey; declared curves dotted, without a band. "
        "Below, on the same axis: the difference with its simultaneous band. Hatched: not tested."
    ),
    "power": "Power from the same torque curves. A dot marks the highest value, an arrow head one that may lie on.",
    "timeline": "Every pull in running order, with the drift that the day is expected to have. Below: the factor used.",
}

VIEW = (
    "Above: every build's brake mean effective pressure with its band, single pulls thin and grey. Below, on the same "
    "axis: the difference with its simultaneous band. Hatched: not tested."
)
