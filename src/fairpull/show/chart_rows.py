"""The numbers behind the charts: rows in shown units, straight from a Comparison; charts draw nothing else."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import numpy as np

from fairpull.engine import power_from_torque
from fairpull.show import digits, scale
from fairpull.show.facts import words
from fairpull.show.facts.words import plain
from fairpull.terms.arrays import FloatArray
from fairpull.terms.comparison import Comparison, Difference, Group

Row = dict[str, Any]


@dataclass(frozen=True, slots=True)
class Quantity:
    """What an overlay draws: torque (or BMEP), or power made from torque on an rpm axis."""

    name: str
    house: str
    of_torque: bool  # values are torque times angular speed

    def shown(self, comparison: Comparison, axis: FloatArray, values: FloatArray, system: str) -> FloatArray:
        """Torque values on ``axis``, shape (g,), as this quantity in its shown unit."""
        house = np.asarray(power_from_torque(values, axis)) if self.of_torque else values
        return scale.arrays(house, self.house, system, comparison.quantity if self.name != "power" else "")

    def unit(self, comparison: Comparison, system: str) -> str:
        """The shown unit."""
        return scale.label(self.house, system, comparison.quantity if self.name != "power" else "")


def main(comparison: Comparison) -> Quantity:
    """The compared quantity itself."""
    return Quantity(comparison.quantity, words.main_unit(comparison), of_torque=False)


POWER = Quantity("power", "W", of_torque=True)


def has_power(comparison: Comparison) -> bool:
    """Whether power can be drawn: torque against rpm only."""
    return comparison.axis == "rpm" and comparison.quantity == "torque"


def axis(comparison: Comparison, values: FloatArray, system: str) -> FloatArray:
    """The comparison's axis in its shown unit."""
    return scale.arrays(values, words.axis_unit(comparison), system)


def axis_title(comparison: Comparison, system: str) -> str:
    """``rpm``, or ``mean piston speed, m/s``."""
    unit = words.axis_unit(comparison)
    return "rpm" if unit == "rpm" else f"{comparison.axis}, {scale.label(unit, system)}"


def _kept(row: Row) -> bool:
    return all(not isinstance(value, float) or math.isfinite(value) for value in row.values())


def mean_rows(comparison: Comparison, quantity: Quantity, system: str) -> list[Row]:
    """Every build's mean with its band: ``x``, ``build``, ``value``, ``low``, ``high``."""
    rows: list[Row] = []
    for group in comparison.groups:
        x = axis(comparison, group.rpm, system).tolist()
        value, low, high = (
            quantity.shown(comparison, group.rpm, one, system).tolist()
            for one in (group.torque, group.torque_low, group.torque_high)
        )
        name = plain(group.name)
        rows.extend(
            {"x": x[at], "build": name, "value": value[at], "low": low[at], "high": high[at]} for at in range(len(x))
        )
    return [row for row in rows if _kept(row)]


def pull_rows(comparison: Comparison, quantity: Quantity, system: str) -> list[Row]:
    """Every single pull, corrected, where all pulls of its build were tested: ``x``, ``build``, ``pull``, ``value``."""
    rows: list[Row] = []
    for group in comparison.groups:
        for curve, factor in zip(group.curves, group.factors.tolist(), strict=False):
            inside = (curve.rpm >= group.tested[0] - 1e-6) & (curve.rpm <= group.tested[1] + 1e-6)
            rpm, torque = curve.rpm[inside], curve.torque[inside] * factor
            x = axis(comparison, rpm, system).tolist()
            value = quantity.shown(comparison, rpm, torque, system).tolist()
            names = {"build": plain(group.name), "pull": plain(curve.name)}
            rows.extend({"x": one, **names, "value": two} for one, two in zip(x, value, strict=True))
    return [row for row in rows if _kept(row)]


def peak_rows(comparison: Comparison, quantity: Quantity, system: str) -> list[Row]:
    """Every build's highest value: ``x``, ``build``, ``value``, ``reached`` ("yes", or "no" at the range's end)."""
    unit = words.axis_unit(comparison)
    name = "" if quantity.of_torque else comparison.quantity
    rows: list[Row] = []
    for group in comparison.groups:
        value, at = (
            (group.peak_power, group.peak_power_rpm)
            if quantity.of_torque
            else (group.peak_torque, group.peak_torque_rpm)
        )
        rows.append(
            {
                "x": scale.scalar(at.value, unit, system),
                "build": plain(group.name),
                "value": scale.estimate(value, system, name).value,
                "reached": "no" if value.at_least else "yes",
                "said": words.with_interval(value, system, quantity=name),
                "where": words.with_interval(at, system),
            }
        )
    return [row for row in rows if _kept(row)]


def declared_rows(comparison: Comparison, quantity: Quantity, system: str) -> list[Row]:
    """Declared curves at their own points: ``x``, ``curve``, ``value``. Only on an rpm axis in torque."""
    if not has_power(comparison):
        return []
    rows: list[Row] = []
    for curve in comparison.declared:
        value = quantity.shown(comparison, curve.rpm, curve.torque, system).tolist()
        name = plain(curve.name)
        rows.extend({"x": one, "curve": name, "value": two} for one, two in zip(curve.rpm.tolist(), value, strict=True))
    return [row for row in rows if _kept(row)]


def difference_rows(comparison: Comparison, difference: Difference, system: str) -> list[Row]:
    """A difference in per cent with its simultaneous and pointwise band: ``x``, ``value``, ``low``, ``high`` ..."""
    x = axis(comparison, difference.rpm, system).tolist()
    named = {
        "value": difference.ratio,
        "low": difference.ratio_low,
        "high": difference.ratio_high,
        "point_low": difference.point_low,
        "point_high": difference.point_high,
    }
    columns = {name: (100.0 * values).tolist() for name, values in named.items()}
    quantity = main(comparison)
    unit = words.main_unit(comparison)
    for name, values in (
        ("amount", difference.torque),
        ("amount_low", difference.torque_low),
        ("amount_high", difference.torque_high),
    ):
        columns[name] = scale.arrays(values, unit, system, quantity.name).tolist()
    rows = [{"x": x[at], **{name: values[at] for name, values in columns.items()}} for at in range(len(x))]
    return [row for row in rows if _kept(row)]


def _reading(group: Group, comparison: Comparison, quantity: Quantity, system: str, x: FloatArray) -> list[str]:
    value, low, high = (
        np.interp(x, group.rpm, quantity.shown(comparison, group.rpm, one, system), left=np.nan, right=np.nan)
        for one in (group.torque, group.torque_low, group.torque_high)
    )
    places = digits.column_decimals((high - low) / 2.0)
    return [
        "not tested"
        if not math.isfinite(value[at])
        else f"{digits.number(value[at], places)} ({digits.interval(low[at], high[at], places)})"
        for at in range(len(x))
    ]


def reading_rows(comparison: Comparison, quantity: Quantity, system: str) -> list[Row]:
    """What the pointer reads at each rpm, as finished strings: ``x``, ``x0``, ``x1``, ``at``, ``b0``, ``d1`` ..."""
    if not comparison.groups:
        return []
    x = np.unique(np.concatenate([group.rpm for group in comparison.groups]))
    shown_x = axis(comparison, x, system).tolist()
    places = words.axis_decimals(shown_x)
    edges = [shown_x[0], *((one + two) / 2 for one, two in pairwise(shown_x)), shown_x[-1]]
    rows: list[Row] = [
        {"x": one, "x0": edges[n], "x1": edges[n + 1], "at": digits.number(one, places)}
        for n, one in enumerate(shown_x)
    ]
    for place, group in enumerate(comparison.groups):
        for row, said in zip(rows, _reading(group, comparison, quantity, system, x), strict=True):
            row[f"b{place}"] = said
    for place, difference in enumerate(comparison.differences, start=1):
        at = {value: index for index, value in enumerate(difference.rpm.tolist())}
        low, high = 100.0 * difference.ratio_low, 100.0 * difference.ratio_high
        decimals = digits.column_decimals((high - low) / 2.0)
        for row, one in zip(rows, x.tolist(), strict=True):
            n = at.get(one)
            row[f"d{place}"] = (
                "not tested by both"
                if n is None
                else f"{digits.number(100.0 * float(difference.ratio[n]), decimals, signed=True)} % "
                f"({digits.interval(float(low[n]), float(high[n]), decimals, signed=True)})"
            )
    return rows


def timeline_rows(comparison: Comparison, system: str) -> list[Row]:
    """Every pull in running order: corrected band average, its build's level with the day's drift, factor, air."""
    unit = words.main_unit(comparison)
    quantity = comparison.quantity
    rows: list[Row] = [
        {
            "x": int(row.order),
            "build": plain(row.group),
            "pull": plain(row.pull),
            "time": words.clock(row.started_at),
            "value": scale.scalar(row.band_mean, unit, system, quantity),
            "factor": float(row.factor),
            "inlet": None if row.temperature is None else round(scale.scalar(row.temperature, "K", system), 2),
            "drift": 100.0 * float(row.drift),
        }
        for row in comparison.pulls
    ]
    return [row for row in rows if math.isfinite(row["value"])]


def level_rows(comparison: Comparison, system: str) -> list[Row]:
    """Each build's band average carried through the day with the expected drift: ``x``, ``build``, ``value``."""
    unit = words.main_unit(comparison)
    rows: list[Row] = []
    for group in comparison.groups:
        level = scale.scalar(group.mean_torque.value, unit, system, comparison.quantity)
        name = plain(group.name)
        rows.extend(
            {"x": int(row.order), "build": name, "value": level * (1.0 + float(row.drift))} for row in comparison.pulls
        )
    return [row for row in rows if _kept(row)]
