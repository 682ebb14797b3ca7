"""Unlike engines: what the channels yield with an engine file, and the same comparison per displacement."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from fairpull import air, engine, pulls
from fairpull.compare import compare
from fairpull.tasks.pulls_of_files import PullGroup
from fairpull.tasks.request import CompareRequest
from fairpull.tasks.weather import Weather
from fairpull.terms.arrays import FloatArray
from fairpull.terms.comparison import Comparison, Derived, FairView, Group, Question
from fairpull.terms.errors import Fault, NotComparable
from fairpull.terms.findings import Finding, Severity
from fairpull.terms.pull import Curve, Pull

if TYPE_CHECKING:
    from fairpull.terms.engine import Engine

AIR_OF_ONE_PULL = re.compile(r"\d+\.\d+ kg/m3(?= \()")
EQUAL_RPM = "bmep at equal rpm"
EQUAL_PISTON_SPEED = "bmep at equal mean piston speed"


def with_derived(result: Comparison, engines: Mapping[str, Engine]) -> Comparison:
    """Add the quantities that channels and engine files yield, mean of each build's pulls.

    Args:
        result: the comparison.
        engines: group name -> engine.

    Returns:
        The comparison with ``Group.derived`` filled and what the engine room found.
    """
    groups: list[Group] = []
    findings: list[Finding] = []
    for group in result.groups:
        if group.name in engines:
            derived, found = _derived(group, engines[group.name])
            groups.append(replace(group, derived=derived))
            findings += found
        else:
            groups.append(group)
    return replace(result, groups=tuple(groups), findings=tuple(dict.fromkeys([*result.findings, *findings])))


def _derived(group: Group, machine: Engine) -> tuple[dict[str, Derived], list[Finding]]:
    columns: dict[str, list[FloatArray]] = {}
    about: dict[str, tuple[str, str]] = {}
    findings: list[Finding] = []
    for curve in group.curves:
        rows = np.searchsorted(curve.rpm, group.rpm)
        channels = {name: values[rows] for name, values in curve.channels.items() if len(values) == len(curve.rpm)}
        channels |= {"rpm": group.rpm, "torque": curve.torque[rows]}
        density = None if curve.air is None else _dry_density(curve)
        out = engine.derive(machine, channels, reference_density=density, reference_name="dry air of the room")
        findings += out.findings
        for name, column in out.columns.items():
            columns.setdefault(name, []).append(column.values)
            # each pull has its own air: the formula stands for all, one pull's density does not
            how = column.how if len(group.curves) == 1 else AIR_OF_ONE_PULL.sub("each pull's own air", column.how)
            about[name] = (column.unit, how)
    derived = {name: Derived(about[name][0], _mean(values), about[name][1]) for name, values in columns.items()}
    return derived, findings


def _dry_density(curve: Curve) -> float:
    """Density of the dry part of the room's air [kg/m3]: the engine burns no vapour."""
    assert curve.air is not None
    dry = curve.air.pressure - curve.air.vapour_pressure
    return float(air.density(dry, curve.air.temperature, 0.0))


def _mean(values: Sequence[FloatArray]) -> FloatArray:
    stacked = np.array(values)
    known = np.isfinite(stacked)
    total: FloatArray = np.where(known, stacked, 0.0).sum(axis=0)
    count = known.sum(axis=0)
    return np.where(count > 0, total / np.maximum(count, 1), np.nan)


def fair_views(
    found: Sequence[PullGroup],
    engines: Mapping[str, Engine],
    weather: Weather,
    question: Question,
    step: float,
    request: CompareRequest,
) -> tuple[tuple[FairView, ...], tuple[Finding, ...]]:
    """Compare brake mean effective pressure at equal rpm and at equal mean piston speed.

    Args:
        found: groups of pulls, reference first.
        engines: group name -> engine.
        weather: factors.
        question: smallest difference worth having; its band is in rpm of the reference.
        step: rpm grid of the reference.
        request: order and looks.

    Returns:
        The views, and why one is missing; none where an engine is unknown or all are the same size.
    """
    if len(engines) < len(found) or len({_size(machine) for machine in engines.values()}) < 2:
        return (), ()
    views: list[FairView] = []
    missing: list[Finding] = []
    reference = engines[found[0].name]
    for name in (EQUAL_RPM, EQUAL_PISTON_SPEED):
        equal_speed = name == EQUAL_PISTON_SPEED
        try:
            curves = []
            for group in found:
                machine = engines[group.name]
                stretch = _stretch(reference, machine) if equal_speed else 1.0
                curves.append((group.name, [_bmep_curve(pull, machine, step, stretch) for pull in group.pulls]))
            result = compare(
                curves,
                question=question,
                standard=weather.standard,
                factors={key: value for key, value in weather.factors.items() if key == weather.standard},
                order=request.order or None,
                look=request.look,
                planned_looks=request.planned_looks,
                quantity="bmep",
                axis="rpm of the reference at equal mean piston speed" if equal_speed else "rpm",
                seed=request.seed,
            )
        except NotComparable as refusal:
            missing.append(_unseen(name, refusal))
        else:
            views.append(_view(name, result))
    return tuple(views), tuple(missing)


def _size(machine: Engine) -> tuple[str, str, int, float]:
    return str(machine.bore), str(machine.stroke), machine.cylinders, engine.displacement_of(machine)


def _stretch(reference: Engine, machine: Engine) -> float:
    """This engine's rpm over the reference's at equal mean piston speed."""
    stretch = reference.stroke / machine.stroke
    if not np.isfinite(stretch):
        seen = "an engine file states displacement without stroke"
        raise NotComparable(Fault("stroke-unknown", "--engine", seen, "give bore and stroke in both engine files"))
    return stretch


def _unseen(name: str, refusal: NotComparable) -> Finding:
    seen = "; ".join(fault.seen for fault in refusal.faults)
    remedy = "; ".join(dict.fromkeys(fault.remedy for fault in refusal.faults))
    return Finding("fair-view-missing", Severity.NOTE, name, f"unlike engines are not compared so: {seen}", remedy)


def _bmep_curve(pull: Pull, machine: Engine, step: float, stretch: float) -> Curve:
    """The pull's curve of BMEP [Pa] on the reference's rpm; ``stretch`` is this engine's rpm over the reference's."""
    own = pulls.curve(pull, step=step * stretch)
    size = engine.displacement_of(machine)
    scale = float(engine.bmep(1.0, size, machine.strokes))
    return replace(
        own,
        rpm=np.round(own.rpm / stretch, 6),
        torque=own.torque * scale,
        torque_se=own.torque_se * scale,
        tested=(own.tested[0] / stretch, own.tested[1] / stretch),
    )


def _view(name: str, result: Comparison) -> FairView:
    missing = np.full(len(result.differences[0].rpm), np.nan)
    differences = tuple(
        replace(
            difference,
            power=missing,
            power_low=missing,
            power_high=missing,
            mean_torque=replace(difference.mean_torque, unit="Pa"),
            mean_power=replace(difference.mean_power, value=np.nan, low=np.nan, high=np.nan),
            shape=replace(difference.shape, offset=replace(difference.shape.offset, unit="Pa")),
        )
        for difference in result.differences
    )
    means = tuple(replace(group.mean_torque, unit="Pa") for group in result.groups)
    return FairView(name, result.axis, differences, means)
