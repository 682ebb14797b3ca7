"""A comparison as a JSON document with a stable schema (``show/schema/comparison-1.json``, docs/json.md)."""

from __future__ import annotations

from fairpull.show import json_parts as parts
from fairpull.show import json_views
from fairpull.show.json_parts import Json
from fairpull.terms.comparison import Comparison, Difference, Group, PullRow, Question
from fairpull.terms.pull import Curve, DeclaredCurve

SCHEMA = "fairpull/comparison"
SCHEMA_VERSION = 1


def _units(comparison: Comparison) -> tuple[str, str]:
    axis = "rpm" if comparison.axis == "rpm" else "m/s"
    return axis, "N m" if comparison.quantity == "torque" else "Pa"


def _question(asked: Question, axis: str) -> Json:
    return {
        "text": asked.text,
        "band": None if asked.band is None else parts.stretch(*asked.band, axis),
        "smallest": parts.number(asked.smallest, "1"),
        "expectation": asked.expectation,
        "planned_pulls": asked.planned_pulls,
        "declared": asked.declared,
    }


def _curve(curve: Curve, factor: float, axis: str, unit: str) -> Json:
    return {
        "pull": curve.name,
        "factor": parts.number(factor, "1"),
        "tested": parts.stretch(*curve.tested, axis),
        "started_at": parts.bare(curve.started_at),
        "air": parts.air(curve.air),
        "axis": parts.array(curve.rpm, axis),
        "observed": {
            "unit": unit,
            "values": parts.numbers(curve.torque),
            "standard_error": parts.numbers(curve.torque_se),
        },
        "findings": parts.findings(curve.findings),
        "choices": parts.texts(curve.choices),
    }


def _group(group: Group, axis: str, unit: str) -> Json:
    curves = zip(group.curves, group.factors.tolist(), strict=False)
    return {
        "name": group.name,
        "tested": parts.stretch(*group.tested, axis),
        "axis": parts.array(group.rpm, axis),
        "corrected": parts.band(group.torque, group.torque_low, group.torque_high, unit),
        "peak_torque": parts.estimate(group.peak_torque),
        "peak_torque_rpm": parts.estimate(group.peak_torque_rpm),
        "peak_power": parts.estimate(group.peak_power),
        "peak_power_rpm": parts.estimate(group.peak_power_rpm),
        "mean_torque": parts.estimate(group.mean_torque),
        "mean_power": parts.estimate(group.mean_power),
        "power_area": parts.estimate(group.power_area),
        "derived": json_views.derived(group),
        "pulls": [_curve(curve, factor, axis, unit) for curve, factor in curves],
    }


def _difference(difference: Difference, axis: str, unit: str) -> Json:
    return {
        "reference": difference.reference,
        "other": difference.other,
        "verdict": json_views.verdict(difference.verdict, axis),
        "axis": parts.array(difference.rpm, axis),
        "ratio": json_views.ratio(difference),
        "torque": parts.band(difference.torque, difference.torque_low, difference.torque_high, unit),
        "power": parts.band(difference.power, difference.power_low, difference.power_high, "W"),
        "mean_ratio": parts.estimate(difference.mean_ratio),
        "mean_torque": parts.estimate(difference.mean_torque),
        "mean_power": parts.estimate(difference.mean_power),
        "area_ratio": parts.estimate(difference.area_ratio),
        "crossovers": [parts.estimate(one) for one in difference.crossovers],
        "shape": {
            "kind": difference.shape.kind,
            "offset": parts.estimate(difference.shape.offset),
            "scale": parts.estimate(difference.shape.scale),
            "text": difference.shape.text,
        },
        "by_standard": json_views.standards(difference),
        "depends_on_standard": bool(difference.depends_on_standard),
        "findings": parts.findings(difference.findings),
    }


def _declared(curve: DeclaredCurve) -> Json:
    return {
        "name": curve.name,
        "origin": parts.origin(curve.origin),
        "axis": parts.array(curve.rpm, "rpm"),
        "torque": parts.array(curve.torque, "N m"),
        "standard": curve.standard,
        "basis": curve.basis,
        "evidence": False,
        "findings": parts.findings(curve.findings),
    }


def _row(row: PullRow, unit: str) -> Json:
    return {
        "group": row.group,
        "pull": row.pull,
        "order": int(row.order),
        "started_at": parts.bare(row.started_at),
        "pressure": parts.number(row.pressure, "Pa"),
        "temperature": parts.number(row.temperature, "K"),
        "vapour_pressure": parts.number(row.vapour_pressure, "Pa"),
        "factor": parts.number(row.factor, "1"),
        "sweep_rate": parts.number(row.sweep_rate, "rpm/s"),
        "band_mean": parts.number(row.band_mean, unit),
        "drift": parts.number(row.drift, "1"),
    }


def comparison_to_json(comparison: Comparison, system: str = "us") -> Json:
    """A comparison as a JSON document; numbers are SI whatever the system.

    Args:
        comparison: the result.
        system: "us" or "metric": the units that the person reads, handed on under ``shown``.

    Returns:
        Plain dicts and lists, ready for ``dumps``.
    """
    axis, unit = _units(comparison)
    noise = comparison.noise
    return {
        "schema": SCHEMA,
        "schema_version": SCHEMA_VERSION,
        "version": comparison.version,
        "shown": parts.shown(system),
        "question": _question(comparison.question, axis),
        "standard": comparison.standard,
        "axis": {"name": comparison.axis, "unit": axis},
        "quantity": {"name": comparison.quantity, "unit": unit},
        "grid_step": parts.number(comparison.grid_step, axis),
        "band": parts.stretch(*comparison.band, axis),
        "differences": [_difference(one, axis, unit) for one in comparison.differences],
        "views": json_views.views(comparison),
        "groups": [_group(one, axis, unit) for one in comparison.groups],
        "declared": [_declared(one) for one in comparison.declared],
        "noise": {
            "pull_sd": parts.estimate(noise.pull_sd),
            "correlation": parts.number(noise.correlation_rpm, "rpm"),
            "drift": parts.number(noise.drift, "1"),
            "repeats": int(noise.repeats),
            "text": noise.text,
        },
        "odd_pulls": [
            {
                "group": odd.group,
                "pull": odd.pull,
                "deviation": parts.number(odd.deviation, "1"),
                "text": odd.text,
            }
            for odd in comparison.odd_pulls
        ],
        "pulls": [_row(row, unit) for row in comparison.pulls],
        "choices": parts.texts(comparison.choices),
        "findings": parts.findings(comparison.findings),
        "sources": parts.texts(comparison.sources),
    }


def comparison_json_text(comparison: Comparison, system: str = "us") -> str:
    """A comparison as one line of strict JSON text."""
    return parts.dumps(comparison_to_json(comparison, system))
