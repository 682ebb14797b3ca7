"""How one number was made, opened: its formula, the values that went in, and the works it names."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from fairpull.show import digits, scale
from fairpull.show.facts import grid, made, words
from fairpull.show.facts.table import Column, Table
from fairpull.show.facts.table import words as text
from fairpull.terms.comparison import Comparison, Difference, Estimate, Group

Pairs = tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class HowMade:
    """What stands behind one number.

    Attributes:
        key: stable short name, for anchors.
        name: of the number.
        value: the number as shown everywhere.
        formula: in words and signs.
        values: what went in, name and finished string.
        how: what the number says of itself.
        sources: key, work and how far it was verified.
    """

    key: str
    name: str
    value: str
    formula: str
    values: Pairs
    how: str = ""
    sources: tuple[tuple[str, ...], ...] = ()


def _group(comparison: Comparison, name: str) -> Group:
    return next(group for group in comparison.groups if group.name == name)


def _method(comparison: Comparison, *names: str) -> str:
    return " ".join(comparison.choices.get(name, "") for name in names)


def _band(comparison: Comparison, system: str) -> str:
    return words.tested(comparison, *comparison.band, system)


def _step(comparison: Comparison, system: str) -> str:
    unit = words.axis_unit(comparison)
    step = scale.scalar(comparison.grid_step, unit, system)
    return f"{digits.bare(step, 2)} {scale.label(unit, system)}"


def _pulls(comparison: Comparison, group: Group) -> str:
    names = [curve.name for curve in group.curves]
    return f"{len(names)}: {words.listed(names, 12)}"


def _factors(comparison: Comparison, group: Group) -> str:
    low, high = float(np.min(group.factors)), float(np.max(group.factors))
    ends = digits.number(low, 4) if low == high else digits.interval(low, high, 4)
    return f"{ends} ({words.standard_name(comparison.standard)})"


def _drift(comparison: Comparison, group: Group) -> str:
    drifts = [row.drift for row in comparison.pulls if row.group == group.name]
    places = digits.decimals_for(200.0 * comparison.noise.pull_sd.value)
    return words.fraction(float(np.mean(drifts)), signed=True, decimals=places) if drifts else digits.DASH


def _common(comparison: Comparison, difference: Difference, system: str) -> Pairs:
    """What every number about a difference stands on."""
    other, reference = _group(comparison, difference.other), _group(comparison, difference.reference)
    sd = words.with_interval(comparison.noise.pull_sd, system)
    return (
        (f"pulls of {other.name}", _pulls(comparison, other)),
        (f"pulls of {reference.name}", _pulls(comparison, reference)),
        (f"correction factors, {other.name}", _factors(comparison, other)),
        (f"correction factors, {reference.name}", _factors(comparison, reference)),
        (f"drift taken out, {other.name}", _drift(comparison, other)),
        (f"drift taken out, {reference.name}", _drift(comparison, reference)),
        ("pull to pull scatter", sd),
        ("over", f"{_band(comparison, system)}, every {_step(comparison, system)}"),
    )


def _means(comparison: Comparison, difference: Difference, field: str, system: str, quantity: str = "") -> Pairs:
    """The plain averages of both builds, drift still in them."""
    both = [_group(comparison, name) for name in (difference.other, difference.reference)]
    return tuple(
        (f"{group.name}, plain average", words.with_interval(getattr(group, field), system, quantity=quantity))
        for group in both
    )


def _one(
    comparison: Comparison, key: str, name: str, given: Estimate, shown: str, formula: str, values: Pairs
) -> HowMade:
    said = f"{given.how} {_method(comparison, *made.MAKING)}"
    return HowMade(key, name, shown, formula, values, given.how, made.named_sources(said))


def of_difference(comparison: Comparison, difference: Difference, system: str) -> dict[str, HowMade]:
    """The making of every number about one difference.

    Args:
        comparison: the result.
        difference: one of its differences.
        system: "us" or "metric".

    Returns:
        By name: "ratio", "main", "power", "area", "offset", "scale", and "crossover-1" and so on.
    """
    quantity, main = words.quantity(comparison), comparison.quantity
    common = _common(comparison, difference, system)
    torques = _means(comparison, difference, "mean_torque", system, main)
    powers = _means(comparison, difference, "mean_power", system)
    areas = _means(comparison, difference, "power_area", system)
    step = f"{_band(comparison, system)}, equal steps"
    shape = difference.shape
    excess = words.excess(shape.scale)
    table: list[tuple[str, str, Estimate, str, str, Pairs]] = [
        (
            *("ratio", "average difference", difference.mean_ratio, ""),
            f"average of {difference.other} / average of {difference.reference} - 1, {step}, drift taken out of both",
            torques + common,
        ),
        (
            *("main", f"average difference in {quantity}", difference.mean_torque, main),
            f"average of {difference.other} - average of {difference.reference}, {step}, drift taken out of both",
            torques + common,
        ),
        (
            *("power", "average difference in power", difference.mean_power, ""),
            f"power = torque x 2 pi x rpm / 60; then averages as for torque, {step}",
            powers + common,
        ),
        (
            *("area", "area under power", difference.area_ratio, ""),
            f"area under power of {difference.other} / that of {difference.reference} - 1, trapezium rule",
            areas + common,
        ),
        ("offset", "constant amount", shape.offset, main, "the one constant that fits the difference best", common),
        ("scale", "constant ratio", excess, "", "the one ratio that fits both curves best, less 1", common),
    ]
    found = {
        key: _one(
            comparison,
            *(key, name, one, words.with_interval(one, system, signed=True, quantity=kind), formula, values),
        )
        for key, name, one, kind, formula, values in table
        if np.isfinite(one.value)
    }
    for place, one in enumerate(difference.crossovers, start=1):
        at = Estimate(one.value, one.low, one.high, words.axis_unit(comparison), one.how)
        shown = words.with_interval(at, system)
        formula = f"where {difference.other} / {difference.reference} - 1 changes its sign"
        found[f"crossover-{place}"] = _one(
            comparison, f"crossover-{place}", "crossover", at, shown, formula, _spans(comparison, difference, system)
        )
    return found


def _spans(comparison: Comparison, difference: Difference, system: str) -> Pairs:
    return tuple(
        ("gain" if span.sign > 0 else "loss", words.tested(comparison, span.low, span.high, system))
        for span in difference.verdict.spans
    )


def of_group(comparison: Comparison, group: Group, system: str) -> tuple[HowMade, ...]:
    """The making of a build's averages and highest values.

    Args:
        comparison: the result.
        group: one of its builds.
        system: "us" or "metric".

    Returns:
        One for each number that is known.
    """
    main = comparison.quantity
    quantity = words.quantity(comparison)
    values = (
        ("pulls", _pulls(comparison, group)),
        ("correction factors", _factors(comparison, group)),
        ("tested", words.tested(comparison, *group.tested, system)),
        ("over", f"{_band(comparison, system)}, every {_step(comparison, system)}"),
    )
    corrected = "corrected torque = observed torque x the pull's factor; mean of the pulls"
    power = f"{corrected}; power = torque x 2 pi x rpm / 60"
    named = (
        ("average", f"average {quantity}", group.mean_torque, main, f"{corrected}; average over the band"),
        ("average-power", "average power", group.mean_power, "", f"{power}; average over the band"),
        ("area", "area under power", group.power_area, "", f"{power}; area over the band"),
        ("highest", f"highest {quantity}", group.peak_torque, main, f"{corrected}; its top"),
        ("highest-power", "highest power", group.peak_power, "", f"{power}; its top"),
    )
    return tuple(
        _one(
            comparison,
            *(key, f"{group.name}: {name}", one, words.with_interval(one, system, quantity=kind), formula, values),
        )
        for key, name, one, kind, formula in named
        if np.isfinite(one.value)
    )


@dataclass(frozen=True, slots=True)
class Opened:
    """One row of a table by rpm, opened: what every pull gave there."""

    key: str
    at: str
    table: Table
    said: str


def _read(group: Group, rpm: float, unit: str, system: str, quantity: str) -> list[tuple[str, float, float]]:
    """Pull, observed and corrected value at one rpm, in the shown unit."""
    rows = []
    for curve, factor in zip(group.curves, group.factors.tolist(), strict=False):
        observed = grid.at(curve.rpm, curve.torque, np.array([rpm]))
        both = scale.arrays(np.array([observed[0], observed[0] * factor]), unit, system, quantity)
        rows.append((curve.name, float(both[0]), float(both[1])))
    return rows


def by_rpm(comparison: Comparison, difference: Difference, shown: Table, system: str) -> tuple[Opened, ...]:
    """Every row of a difference's table by rpm, opened.

    Args:
        comparison: the result.
        difference: one of its differences.
        shown: the table as ``facts.difference.by_rpm`` gives it.
        system: "us" or "metric".

    Returns:
        One for each row, in the table's order.
    """
    unit, main = words.main_unit(comparison), comparison.quantity
    rows = grid.rows_of(scale.arrays(difference.rpm, words.axis_unit(comparison), system))
    label = scale.label(unit, system, main)
    columns = (text("build"), text("pull"), Column("observed", label), Column("factor"), Column("corrected", label))
    axis = scale.label(words.axis_unit(comparison), system)
    opened = []
    for rpm, cells in zip(difference.rpm[rows].tolist(), shown.rows, strict=True):
        body = _pull_cells(comparison, difference, rpm, system)
        said = (
            f"Means {cells[1]} and {cells[2]} {label}. Change {cells[3]} {label} ({cells[4]} to {cells[5]}), "
            f"{cells[6]} % ({cells[7]} to {cells[8]}): drift taken out of both, band from the noise model."
        )
        title = f"{difference.other} against {difference.reference} at {cells[0]} {axis}"
        opened.append(Opened(_key(cells[0]), cells[0], Table("pulls-at", title, columns, body), said))
    return tuple(opened)


def _key(at: str) -> str:
    return "".join(one if one.isalnum() else "-" for one in at.replace(",", ""))


def _pull_cells(comparison: Comparison, difference: Difference, rpm: float, system: str) -> tuple[tuple[str, ...], ...]:
    unit, main = words.main_unit(comparison), comparison.quantity
    sd = comparison.noise.pull_sd.value
    groups = [_group(comparison, name) for name in (difference.reference, difference.other)]
    read: Sequence[tuple[str, float, tuple[str, float, float]]] = [
        (group.name, factor, one)
        for group in groups
        for factor, one in zip(group.factors.tolist(), _read(group, rpm, unit, system, main), strict=False)
    ]
    places = digits.column_decimals([2.0 * sd * abs(one[2]) for _, _, one in read])
    return tuple(
        (
            *(name, pull, digits.number(observed, places)),
            *(digits.number(factor, 4), digits.number(corrected, places)),
        )
        for name, factor, (pull, observed, corrected) in read
    )
