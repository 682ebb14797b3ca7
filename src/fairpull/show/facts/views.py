"""Unlike engines on common ground: each fair view as a comparison of BMEP that every table and chart can draw."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from fairpull.show import digits, scale
from fairpull.show.facts import grid, words
from fairpull.show.facts.table import Column, Table
from fairpull.show.facts.table import words as text
from fairpull.terms.arrays import FloatArray
from fairpull.terms.comparison import Comparison, Difference, Estimate, FairView, Group, Span
from fairpull.terms.pull import Curve

PISTON_SPEED = "mean piston speed"
PER_DISPLACEMENT = "N m/m3"
_UNKNOWN = Estimate(float("nan"), float("nan"), float("nan"), "1")


def key(view: FairView) -> str:
    """The view's short name, for anchors and files."""
    return view.name.replace(" ", "-")


def title(view: FairView) -> str:
    """The view's name as a heading."""
    return view.name.replace("bmep", "BMEP")


def _per(group: Group, name: str, base: FloatArray) -> float:
    """Derived quantity per unit of ``base``, one constant for the whole curve; NaN where it is not there."""
    if name not in group.derived:
        return float("nan")
    values = group.derived[name].values
    known = np.isfinite(values) & np.isfinite(base) & (base != 0.0)
    return float(np.median(values[known] / base[known])) if known.any() else float("nan")


def _observed(group: Group) -> FloatArray:
    """Mean of the pulls' observed torque on the group's rpm, shape (g,) [N m]."""
    stacked = np.array([grid.at(curve.rpm, curve.torque, group.rpm) for curve in group.curves])
    known = np.isfinite(stacked)
    count = known.sum(axis=0)
    mean: FloatArray = np.where(known, stacked, 0.0).sum(axis=0) / np.maximum(count, 1)
    return np.where(count > 0, mean, np.nan)


def pressure_per_torque(group: Group) -> float:
    """BMEP per torque [Pa/(N m)] of a build's engine, from its derived columns; NaN without an engine file."""
    return _per(group, "bmep", _observed(group))


def speed_per_rpm(group: Group) -> float:
    """Mean piston speed per shaft speed [m/s per rpm] of a build's engine; NaN where the stroke is not known."""
    return _per(group, "mean_piston_speed", group.rpm)


def _seen(given: Estimate, factor: float, unit: str) -> Estimate:
    return replace(given, value=given.value * factor, low=given.low * factor, high=given.high * factor, unit=unit)


def _curve(curve: Curve, along: float, pressure: float) -> Curve:
    return replace(
        curve,
        rpm=curve.rpm * along,
        torque=curve.torque * pressure,
        torque_se=curve.torque_se * pressure,
        tested=(curve.tested[0] * along, curve.tested[1] * along),
    )


def _group(group: Group, mean: Estimate, nodes: FloatArray, along: float, unit: str) -> Group:
    """A build in BMEP: its curves along the view's axis, its mean read at the axis's ``nodes``, shape (g,)."""
    pressure = pressure_per_torque(group)
    own = group.rpm * along
    inside = nodes[(nodes > own[0] + 1e-6) & (nodes < own[-1] - 1e-6)]
    kept = np.concatenate([own[:1], inside, own[-1:]])  # both ends, so that what was tested is drawn to its end
    torque, low, high = (
        np.interp(kept, own, one * pressure) for one in (group.torque, group.torque_low, group.torque_high)
    )
    return replace(
        group,
        curves=tuple(_curve(curve, along, pressure) for curve in group.curves),
        rpm=kept,
        torque=torque,
        torque_low=low,
        torque_high=high,
        tested=(group.tested[0] * along, group.tested[1] * along),
        peak_torque=_seen(group.peak_torque, pressure, "Pa"),
        peak_torque_rpm=_seen(group.peak_torque_rpm, along, unit),
        mean_torque=mean,
        derived={},
    )


def _difference(difference: Difference, along: float, unit: str) -> Difference:
    verdict = difference.verdict
    spans = tuple(Span(one.low * along, one.high * along, one.sign) for one in verdict.spans)
    return replace(
        difference,
        rpm=difference.rpm * along,
        verdict=replace(verdict, sentence=words.sentence(difference, "bmep"), spans=spans),
        crossovers=tuple(_seen(one, along, unit) for one in difference.crossovers),
        mean_power=_UNKNOWN,
        area_ratio=_UNKNOWN,
        shape=replace(difference.shape, offset=replace(difference.shape.offset, unit="Pa")),
    )


def _along(comparison: Comparison, view: FairView) -> tuple[list[float], str] | None:
    """Axis per rpm of each build, and the axis's name; None where the stroke of a build is not known."""
    if PISTON_SPEED not in view.name:
        return [1.0] * len(comparison.groups), "rpm"
    speeds = [speed_per_rpm(group) for group in comparison.groups]
    return (speeds, PISTON_SPEED) if np.isfinite(speeds).all() else None


def lens(comparison: Comparison, view: FairView) -> Comparison | None:
    """The comparison as this view sees it: BMEP along rpm or along mean piston speed.

    Args:
        comparison: the result, torque against rpm, with the groups' derived columns.
        view: one of its views.

    Returns:
        A comparison of BMEP whose tables and charts can be drawn like any other; None where the engines behind the
        builds are not all known.
    """
    along = _along(comparison, view)
    known = np.isfinite([pressure_per_torque(group) for group in comparison.groups]).all()
    if along is None or not known or not view.differences:
        return None
    factors, axis = along
    unit = "rpm" if axis == "rpm" else "m/s"
    reference = factors[0]
    highest = max(group.rpm[-1] * one for group, one in zip(comparison.groups, factors, strict=True)) / reference
    nodes = comparison.grid_step * np.arange(0.0, np.floor(highest / comparison.grid_step + 1e-9) + 1.0) * reference
    whole = (max(one.rpm[0] for one in view.differences), min(one.rpm[-1] for one in view.differences))
    low, high = comparison.band if axis == "rpm" else whole
    return replace(
        comparison,
        axis=axis,
        quantity="bmep",
        grid_step=comparison.grid_step * reference,
        band=(low * reference, high * reference),
        groups=tuple(
            _group(group, mean, nodes, one, unit)
            for group, mean, one in zip(comparison.groups, view.mean_bmep, factors, strict=True)
        ),
        differences=tuple(_difference(one, reference, unit) for one in view.differences),
        declared=(),
        views=(),
    )


def lenses(comparison: Comparison) -> dict[str, Comparison]:
    """Every view that can be drawn, by its short name."""
    seen = {key(view): lens(comparison, view) for view in comparison.views}
    return {name: one for name, one in seen.items() if one is not None}


def _specific(group: Group, mean: Estimate) -> Estimate:
    """Torque per displacement of a build's mean BMEP, from the ratio of its derived columns."""
    if "bmep" not in group.derived:
        return _seen(mean, float("nan"), PER_DISPLACEMENT)
    ratio = _per(group, "torque_per_displacement", group.derived["bmep"].values)
    return _seen(mean, ratio, PER_DISPLACEMENT)


def averages(comparison: Comparison, view: FairView, system: str) -> Table:
    """Band averages of every build in BMEP and in torque per displacement, which is the same in other units."""
    means = words.column_of(view.mean_bmep, system, "bmep")
    specific = words.column_of(
        [_specific(group, mean) for group, mean in zip(comparison.groups, view.mean_bmep, strict=False)], system
    )
    rows = [(group.name, *one, *two) for group, one, two in zip(comparison.groups, means, specific, strict=False)]
    pressure, per = scale.label("Pa", system, "bmep"), scale.label(PER_DISPLACEMENT, system)
    columns = (
        text("build"),
        Column("BMEP", pressure),
        Column("low", pressure),
        Column("high", pressure),
        Column("specific torque", per),
        Column("low", per),
        Column("high", per),
    )
    note = (
        f"{words.capital(words.basis(comparison.standard))}; low and high bound a 95 % interval. Specific torque is "
        "torque per displacement."
    )
    return Table(f"{key(view)}-builds", f"{title(view)}: averages", columns, tuple(rows), note)


def remark(comparison: Comparison, view: FairView) -> str:
    """Whose rpm the verdict's sentence speaks of, where engines of unlike stroke stand at equal piston speed."""
    if PISTON_SPEED not in view.name or not comparison.groups:
        return ""
    reference = comparison.groups[0]
    said = [f"The rpm in this sentence are those of {reference.name}"]
    for group in comparison.groups[1:]:
        ratio = speed_per_rpm(reference) / speed_per_rpm(group)
        if np.isfinite(ratio):
            said.append(f"{group.name} turns {digits.number(ratio, 3)} times as fast at the same mean piston speed")
    return "; ".join(said) + "."


def glance(view: FairView, difference: Difference, system: str) -> str:
    """One line for the head of a face: ``wren: BMEP at equal rpm +7.9 % (+4.5 to +11.2), differs.``"""
    average = words.with_interval(difference.mean_ratio, system, signed=True)
    return f"{difference.other}, {title(view)}: {average} on average; {difference.verdict.kind}."
