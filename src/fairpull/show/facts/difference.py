"""Tables about one difference: by rpm, averages, crossovers, offset or scale, and under every standard."""

from __future__ import annotations

import numpy as np

from fairpull.show import digits, scale
from fairpull.show.facts import grid, words
from fairpull.show.facts.table import Column, Table
from fairpull.show.facts.table import words as text
from fairpull.terms.comparison import Comparison, Difference, Estimate, Group


def _group(comparison: Comparison, name: str) -> Group:
    return next(group for group in comparison.groups if group.name == name)


def _said(difference: Difference, rpm: float) -> str:
    for span in difference.verdict.spans:
        if span.low <= rpm <= span.high:
            return "gain" if span.sign > 0 else "loss"
    return ""


def by_rpm(comparison: Comparison, difference: Difference, system: str) -> Table:
    """Torque of both, the difference with its simultaneous band, and the same in per cent, at round rpm."""
    unit, quantity = words.main_unit(comparison), comparison.quantity
    axis_unit = words.axis_unit(comparison)
    rows = grid.rows_of(scale.arrays(difference.rpm, axis_unit, system))
    rpm = difference.rpm[rows]
    sides = []
    for name in (difference.reference, difference.other):
        group = _group(comparison, name)
        low, mean, high = (
            scale.arrays(grid.at(group.rpm, one, rpm), unit, system, quantity)
            for one in (group.torque_low, group.torque, group.torque_high)
        )
        sides.append((mean, digits.column_decimals((high - low) / 2.0)))
    low, mean, high = (
        scale.arrays(one[rows], unit, system, quantity)
        for one in (difference.torque_low, difference.torque, difference.torque_high)
    )
    places = digits.column_decimals((high - low) / 2.0)
    r_low, r_mean, r_high = (
        100.0 * one[rows] for one in (difference.ratio_low, difference.ratio, difference.ratio_high)
    )
    per_cent = digits.column_decimals((r_high - r_low) / 2.0)
    shown_axis = scale.arrays(rpm, axis_unit, system)
    axis_places = words.axis_decimals(shown_axis)
    cells = tuple(
        (
            digits.number(float(shown_axis[n]), axis_places),
            *(digits.number(float(side[n]), decimals) for side, decimals in sides),
            digits.number(float(mean[n]), places, signed=True),
            digits.number(float(low[n]), places, signed=True),
            digits.number(float(high[n]), places, signed=True),
            digits.number(float(r_mean[n]), per_cent, signed=True),
            digits.number(float(r_low[n]), per_cent, signed=True),
            digits.number(float(r_high[n]), per_cent, signed=True),
            _said(difference, float(rpm[n])),
        )
        for n in range(len(rows))
    )
    symbol = scale.label(unit, system, quantity)
    columns = (
        Column(
            comparison.axis if axis_unit != "rpm" else "rpm",
            "" if axis_unit == "rpm" else scale.label(axis_unit, system),
        ),
        Column(difference.reference, symbol),
        Column(difference.other, symbol),
        Column("change", symbol),
        Column("low", symbol),
        Column("high", symbol),
        Column("change", "%"),
        Column("low", "%"),
        Column("high", "%"),
        text("beyond noise"),
    )
    common = (
        words.tested(comparison, float(difference.rpm[0]), float(difference.rpm[-1]), system)
        if len(difference.rpm)
        else "nowhere"
    )
    level = words.fraction(difference.verdict.level, decimals=0)
    note = (
        f"{words.capital(words.quantity(comparison))}, {words.basis(comparison.standard)}. Low and high bound a "
        f"simultaneous band: with {level} confidence it holds the whole curve. "
        f"Compared only where both were tested: {common}."
    )
    title = f"{difference.other} against {difference.reference} by {comparison.axis}"
    return Table("by-rpm", f"BMEP: {title}" if comparison.quantity == "bmep" else title, columns, cells, note)


def averages(comparison: Comparison, difference: Difference, system: str) -> Table:
    """Band averages of the difference: torque, power, per cent, area under power; what is unknown is left out."""
    named = (
        (words.quantity(comparison), difference.mean_torque, comparison.quantity),
        ("power", difference.mean_power, ""),
        (f"{words.quantity(comparison)}, per cent", difference.mean_ratio, ""),
        ("area under power", difference.area_ratio, ""),
    )
    rows = tuple(
        (name, words.with_interval(one, system, signed=True, quantity=quantity))
        for name, one, quantity in named
        if np.isfinite(one.value)
    )
    band = words.tested(comparison, *comparison.band, system)
    return Table(
        "averages",
        f"{words.of(comparison, difference)}Average difference over {band}",
        (text("what"), Column("difference (95 % interval)")),
        rows,
        f"Equal steps over the band. Smallest uniform difference that this data would show at 80 % power: "
        f"{words.fraction(difference.verdict.smallest_provable)}.",
    )


def _place(given: Estimate, comparison: Comparison, system: str) -> str:
    unit = words.axis_unit(comparison)
    return words.with_interval(Estimate(given.value, given.low, given.high, unit, given.how, given.at_least), system)


def crossovers(comparison: Comparison, difference: Difference, system: str) -> Table:
    """Where gain and loss hold beyond noise, and where the sign changes between them."""
    rows = [
        (
            "gain" if span.sign > 0 else "loss",
            words.tested(comparison, span.low, span.high, system),
        )
        for span in difference.verdict.spans
    ]
    rows += [("crossover", _place(one, comparison, system)) for one in difference.crossovers]
    if not rows:
        rows = [("nowhere", "no stretch where the band excludes zero")]
    return Table(
        "spans",
        f"{words.of(comparison, difference)}Where the difference is beyond noise",
        (text("what"), text("where")),
        tuple(rows),
        "A crossover is named only where the sign holds beyond noise on both sides of it.",
    )


def shape(comparison: Comparison, difference: Difference, system: str) -> Table:
    """Is the difference one constant torque, or one constant ratio?"""
    found = difference.shape
    rows = (
        ("reads as", found.kind),
        ("constant amount", words.with_interval(found.offset, system, signed=True, quantity=comparison.quantity)),
        ("constant ratio", words.with_interval(words.excess(found.scale), system, signed=True)),
    )
    return Table(
        "shape", f"{words.of(comparison, difference)}Offset or scale", (text("what"), text("answer")), rows, found.text
    )


def by_standard(comparison: Comparison, difference: Difference) -> Table:
    """The verdict and the band average under every correction standard that could be computed."""
    interval = difference.mean_ratio
    places = digits.decimals_for(50.0 * (interval.high - interval.low))
    rows = tuple(
        (
            words.standard_name(key),
            kind,
            words.fraction(difference.mean_by_standard.get(key, np.nan), signed=True, decimals=places),
        )
        for key, kind in difference.by_standard.items()
    )
    note = (
        "The verdict depends on the correction standard."
        if difference.depends_on_standard
        else "The verdict is the same under every standard that could be computed."
    )
    return Table(
        "standards",
        f"{words.of(comparison, difference)}Under every correction standard",
        (text("standard"), text("verdict"), Column("average difference")),
        rows,
        note if rows else "No other standard could be computed.",
    )
