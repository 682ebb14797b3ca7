"""What engine files add to a comparison's JSON: derived quantities of each build, and the views of unlike engines."""

from __future__ import annotations

from fairpull.show import json_parts as parts
from fairpull.show.json_parts import Json
from fairpull.terms.comparison import Comparison, Difference, FairView, Group, Verdict

AXIS = "rpm"
UNIT = "Pa"


def verdict(given: Verdict, axis: str) -> Json:
    """A verdict; its spans along an axis of that unit."""
    return {
        "kind": given.kind,
        "sentence": given.sentence,
        "spans": [{"sign": span.sign, **parts.stretch(span.low, span.high, axis)} for span in given.spans],
        "pulls_needed": given.pulls_needed,
        "smallest_provable": parts.number(given.smallest_provable, "1"),
        "confounded": given.confounded,
        "level": parts.number(given.level, "1"),
    }


def ratio(given: Difference) -> Json:
    """Other over reference, minus one, with its simultaneous and its pointwise band."""
    return {
        **parts.band(given.ratio, given.ratio_low, given.ratio_high, "1"),
        "point_low": parts.numbers(given.point_low),
        "point_high": parts.numbers(given.point_high),
    }


def standards(given: Difference) -> Json:
    """Verdict kind and band average under every standard."""
    return {
        key: {"verdict": kind, "mean_ratio": parts.number(given.mean_by_standard.get(key), "1")}
        for key, kind in given.by_standard.items()
    }


def derived(group: Group) -> Json:
    """Quantities that channels and engine file gave, on the group's own axis, as observed."""
    return {name: {**parts.array(one.values, one.unit), "how": one.how} for name, one in group.derived.items()}


def _difference(given: Difference) -> Json:
    return {
        "reference": given.reference,
        "other": given.other,
        "verdict": verdict(given.verdict, AXIS),
        "axis": parts.array(given.rpm, AXIS),
        "ratio": ratio(given),
        "bmep": parts.band(given.torque, given.torque_low, given.torque_high, UNIT),
        "mean_ratio": parts.estimate(given.mean_ratio),
        "mean_bmep": parts.estimate(given.mean_torque),
        "crossovers": [parts.estimate(one) for one in given.crossovers],
        "by_standard": standards(given),
        "depends_on_standard": bool(given.depends_on_standard),
        "findings": parts.findings(given.findings),
    }


def _view(comparison: Comparison, view: FairView) -> Json:
    means = zip(comparison.groups, view.mean_bmep, strict=False)
    return {
        "name": view.name,
        "axis": {"name": view.axis, "unit": AXIS},
        "quantity": {"name": "bmep", "unit": UNIT},
        "mean_bmep": [{"group": group.name, **parts.estimate(one)} for group, one in means],
        "differences": [_difference(one) for one in view.differences],
    }


def views(comparison: Comparison) -> list[Json]:
    """Unlike engines on common ground; empty without engine files."""
    return [_view(comparison, view) for view in comparison.views]
