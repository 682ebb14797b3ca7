"""Spark and mixture loops as JSON: SI, every number with its unit."""

from __future__ import annotations

from fairpull.show import json_parts as parts
from fairpull.show.json_parts import Json
from fairpull.terms.comparison import Estimate
from fairpull.terms.tuning import Loop, TuneResult

SCHEMA = "fairpull/tune"
SCHEMA_VERSION = 1


def _estimate(given: Estimate | None) -> Json | None:
    return None if given is None else parts.estimate(given)


def _loop(loop: Loop, unit: str) -> Json:
    setting, torque, low, high = loop.fit
    return {
        "rpm": parts.number(loop.rpm, "rpm"),
        "points": {
            "setting": parts.array(loop.points.setting, unit),
            "torque": parts.array(loop.points.torque, "N m"),
            "knock": parts.array(loop.points.knock, "1"),
            "pulls": list(loop.points.pull),
        },
        "best": _estimate(loop.best),
        "modest": _estimate(loop.modest),
        "best_torque": _estimate(loop.best_torque),
        "flat": _estimate(loop.flat),
        "knock_limited": loop.knock_limited,
        "cost_of_modest": _estimate(loop.cost_of_safe),
        "next": parts.number(loop.next_setting, unit),
        "next_why": loop.next_why,
        "fit": {"setting": parts.array(setting, unit), "torque": parts.band(torque, low, high, "N m")},
        "checks": list(loop.checks),
        "findings": parts.findings(loop.findings),
    }


def tune_to_json(result: TuneResult) -> Json:
    """Loops as a document.

    Args:
        result: all loops.

    Returns:
        JSON values.
    """
    unit = "rad" if result.kind == "spark" else "1"
    return {
        "schema": SCHEMA,
        "schema_version": SCHEMA_VERSION,
        "kind": result.kind,
        "build": result.build,
        "loops": [_loop(loop, unit) for loop in result.loops],
        "choices": parts.texts(result.choices),
        "findings": parts.findings(result.findings),
        "cautions": list(result.cautions),
    }
