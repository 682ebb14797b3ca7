"""Tables about the builds: averages, peaks, and declared curves beside them."""

from __future__ import annotations

import numpy as np

from fairpull.show import digits, scale
from fairpull.show.facts import words
from fairpull.show.facts.table import Column, Table
from fairpull.show.facts.table import words as text
from fairpull.terms.comparison import Comparison, Estimate, Group
from fairpull.terms.pull import DeclaredCurve


def _ends(comparison: Comparison, group: Group, system: str) -> str:
    low, high = (scale.scalar(one, words.axis_unit(comparison), system) for one in group.tested)
    return digits.interval(low, high, words.axis_decimals([low, high]))


def averages(comparison: Comparison, system: str) -> Table:
    """Band averages of every build, with the number of pulls behind them."""
    torque = words.column_of([group.mean_torque for group in comparison.groups], system, comparison.quantity)
    powers = words.column_of([group.mean_power for group in comparison.groups], system)
    rows = tuple(
        (group.name, str(len(group.curves)), _ends(comparison, group, system), *one, *two)
        for group, one, two in zip(comparison.groups, torque, powers, strict=True)
    )
    main = scale.label(words.main_unit(comparison), system, comparison.quantity)
    power = scale.label("W", system)
    columns = (
        text("build"),
        Column("pulls"),
        Column("tested", scale.label(words.axis_unit(comparison), system)),
        Column(words.quantity(comparison), main),
        Column("low", main),
        Column("high", main),
        Column("power", power),
        Column("low", power),
        Column("high", power),
    )
    return Table(
        "builds",
        f"Averages over {words.tested(comparison, *comparison.band, system)}",
        columns,
        rows,
        f"Averages are {words.basis(comparison.standard)}; low and high bound a 95 % interval.",
    )


def _peak(value: Estimate, place: Estimate, comparison: Comparison, system: str, quantity: str = "") -> tuple[str, ...]:
    if not np.isfinite(value.value):
        return (digits.DASH,) * 4
    where = Estimate(place.value, place.low, place.high, words.axis_unit(comparison), place.how)
    return (*words.apart(value, system, quantity=quantity), *words.apart(where, system))


def peaks(comparison: Comparison, system: str) -> Table:
    """Highest torque and power of every build; ``at least`` where the highest value stands at the range's end."""
    rows = []
    for group in comparison.groups:
        torque = _peak(group.peak_torque, group.peak_torque_rpm, comparison, system, comparison.quantity)
        power = _peak(group.peak_power, group.peak_power_rpm, comparison, system)
        rows.append((group.name, words.quantity(comparison), *torque))
        rows.append((group.name, "power", *power))
    open_ended = any(group.peak_torque.at_least or group.peak_power.at_least for group in comparison.groups)
    note = "'At least': the highest value stands at the end of the tested range; the peak itself was not reached."
    return Table(
        "peaks",
        "Highest values",
        (
            text("build"),
            text("of"),
            Column("highest"),
            Column("95 % interval"),
            Column("at"),
            Column("95 % interval"),
        ),
        tuple(rows),
        note if open_ended else "",
    )


def _declared_row(curve: DeclaredCurve, system: str) -> tuple[str, ...]:
    if len(curve.rpm) == 0 or not np.isfinite(curve.torque).any():
        return (curve.name, digits.DASH, digits.DASH, words.standard_name(curve.standard), curve.basis)
    top = int(np.nanargmax(curve.torque))
    highest = scale.scalar(float(curve.torque[top]), "N m", system)
    return (
        curve.name,
        words.axis_range(float(curve.rpm[0]), float(curve.rpm[-1])),
        f"{digits.bare(highest, 0)} {scale.label('N m', system)} at {digits.number(float(curve.rpm[top]), 0)} rpm",
        words.standard_name(curve.standard),
        curve.basis,
    )


def declared(comparison: Comparison, system: str) -> Table:
    """Curves laid beside the measured builds: a maker's rating or somebody else's table."""
    return Table(
        "declared",
        "Declared curves",
        (text("curve"), Column("range"), Column("highest torque in the table"), text("standard"), text("net or gross")),
        tuple(_declared_row(curve, system) for curve in comparison.declared),
        "No pulls stand behind these curves. They are laid beside and never counted as evidence.",
    )
