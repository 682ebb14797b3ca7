"""The numbers behind a pull's charts: curves, bands and findings along rpm, and every channel thinned for a screen."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import numpy as np

from fairpull.engine import power_from_torque
from fairpull.show import digits, scale
from fairpull.show.facts import grid
from fairpull.show.facts.pull_tables import WIDTH_OF_95, corrected
from fairpull.show.facts.words import plain
from fairpull.terms.arrays import FloatArray
from fairpull.terms.pull import Curve
from fairpull.terms.pull_page import CONCERNS, PullPage

Row = dict[str, Any]
Range = tuple[float, float]
READING = 90
"""Places at which the cursor reads a chart, at most."""


@dataclass(frozen=True, slots=True)
class Quantity:
    """Torque, or power made from torque."""

    name: str
    house: str

    def shown(self, rpm: FloatArray, torque: FloatArray, system: str) -> FloatArray:
        """Torque on ``rpm``, shape (g,) [N m], as this quantity in its shown unit."""
        house = torque if self.name == "torque" else np.asarray(power_from_torque(torque, rpm))
        return scale.arrays(house, self.house, system)

    def unit(self, system: str) -> str:
        """The shown unit."""
        return scale.label(self.house, system)


TORQUE, POWER = Quantity("torque", "N m"), Quantity("power", "W")


def curve_rows(curve: Curve, factor: float, quantity: Quantity, system: str) -> list[Row]:
    """A curve with its band: ``x``, ``value``, ``low``, ``high``; None where it was not tested, so that lines break."""
    half = WIDTH_OF_95 * curve.torque_se
    columns = [
        quantity.shown(curve.rpm, factor * torque, system)
        for torque in (curve.torque, curve.torque - half, curve.torque + half)
    ]
    rows = []
    for n, rpm in enumerate(curve.rpm.tolist()):
        value, low, high = (_finite(column[n]) for column in columns)
        rows.append({"x": rpm, "value": value, "low": low, "high": high})
    return rows


def _finite(value: float) -> float | None:
    return short(value, 6) if math.isfinite(value) else None


def short(value: float, figures: int) -> float:
    """A number in as few letters as its figures need: what a screen cannot show need not travel."""
    rounded = float(f"{value:.{figures}g}")
    return int(rounded) if rounded.is_integer() and abs(rounded) < 1e9 else rounded


def beyond_rows(page: PullPage, quantity: Quantity, system: str) -> list[Row]:
    """The corrected curve past where the pull counts, from the last speed that counts: ``x``, ``value`` ..."""
    if page.whole is None or page.counted is None:
        return []
    last = float(page.counted.rpm[-1])
    return [row for row in curve_rows(page.whole, page.making.factor, quantity, system) if row["x"] >= last - 1e-6]


def earlier_rows(page: PullPage, quantity: Quantity, system: str) -> list[Row]:
    """Earlier counted pulls of the build, corrected: ``x``, ``pull``, ``value``."""
    rows: list[Row] = []
    for one in page.earlier:
        name = plain(one.curve.name)
        rows += [
            {"x": row["x"], "pull": name, "value": row["value"]}
            for row in curve_rows(one.curve, one.factor, quantity, system)
        ]
    return rows


def peak_row(page: PullPage, quantity: Quantity, system: str) -> Row | None:
    """The highest value as the summary has it: ``x``, ``value``, ``said``."""
    value = page.line.summary.get(f"peak_{quantity.name}")
    at = page.line.summary.get(f"peak_{quantity.name}_rpm")
    if value is None or at is None:
        return None
    shown = scale.scalar(value, quantity.house, system)
    return {"x": at, "value": shown, "said": f"{digits.number(shown, 1)} at {digits.number(at, -1)}"}


def spans(page: PullPage, least: float, channel: str = "") -> list[Row]:
    """Where signs show: ``x``, ``x2``, ``said`` (their numbers on the page), ``weight``.

    Args:
        page: content of the page.
        least: narrowest stretch that can be seen [rpm].
        channel: only the signs that concern it; "" for all.

    Returns:
        One row a sign, heaviest last, so that it is drawn on top.
    """
    rows: list[Row] = []
    for number, sign in enumerate(page.signs, start=1):
        if channel and base_name(channel) not in CONCERNS.get(sign.kind, ()):
            continue
        low, high = sign.low, sign.high
        if high - low < least:
            low, high = (low + high - least) / 2, (low + high + least) / 2
        rows.append({"x": low, "x2": high, "said": str(number), "weight": sign.severity.value})
    return rows[::-1]


def base_name(channel: str) -> str:
    """A numbered channel's plain name: ``lambda_2`` -> ``lambda``."""
    base, _, number = channel.rpartition("_")
    return base if base and number.isdigit() else channel


def curve_reading(page: PullPage, system: str) -> tuple[list[tuple[str, str]], list[Row]]:
    """What pointer and keyboard read off the curves: fields with their titles, and rows of finished strings."""
    curve = page.counted
    if curve is None:
        return [], []
    whole = page.whole or curve
    torque, power = TORQUE.unit(system), POWER.unit(system)
    fields = [("at", "rpm")]
    kinds = [(TORQUE, torque), (POWER, power)]
    columns: list[tuple[str, FloatArray]] = []
    for quantity, unit in kinds:
        if corrected(page):
            fields.append((f"c_{quantity.name}", f"corrected {quantity.name}, {unit}"))
            columns.append((f"c_{quantity.name}", whole_values(page, quantity, system, page.making.factor)))
        fields.append((f"o_{quantity.name}", f"observed {quantity.name}, {unit}"))
        columns.append((f"o_{quantity.name}", whole_values(page, quantity, system, 1.0)))
    fields += [("signs", "signs here"), ("counted", "counts")]
    rows = strips(whole.rpm.tolist())
    limit = math.inf if page.line.valid_to is None else float(curve.rpm[-1])
    for n, row in enumerate(rows):
        row |= {name: digits.number(float(values[n]), 1) for name, values in columns}
        row["at"] = digits.number(row["x"], 0)
        row["signs"] = signs_at(page, row["x"]) or "none"
        row["counted"] = "yes" if row["x"] <= limit + 1e-6 else "no, beyond where the pull counts"
    return fields, rows


def whole_values(page: PullPage, quantity: Quantity, system: str, factor: float) -> FloatArray:
    """A quantity on the whole pull's grid, shape (g,), shown unit: as it counts where it counts, as it ran beyond."""
    curve = page.counted
    assert curve is not None
    whole = page.whole or curve
    values = quantity.shown(whole.rpm, whole.torque * factor, system).copy()
    own = quantity.shown(curve.rpm, curve.torque * factor, system)
    shared = np.searchsorted(whole.rpm, curve.rpm)
    inside = shared < values.size
    values[shared[inside]] = own[inside]
    return values


def signs_at(page: PullPage, rpm: float) -> str:
    """The signs that show at a speed: ``1 valve float, 3 knock``."""
    return ", ".join(
        f"{number} {sign.kind.replace('-', ' ')}"
        for number, sign in enumerate(page.signs, start=1)
        if sign.low <= rpm <= sign.high
    )


def strips(places: Sequence[float]) -> list[Row]:
    """Places along an axis with the ends of the strip that reads each: ``x``, ``x0``, ``x1``."""
    if not places:
        return []
    edges = [places[0], *((one + two) / 2 for one, two in pairwise(places)), places[-1]]
    return [{"x": one, "x0": edges[n], "x1": edges[n + 1]} for n, one in enumerate(places)]


def axis_of(low: float, high: float) -> Range:
    """An axis a little wider than what was tested, so that an end is seen as an end."""
    if not high - low > 1.0:  # one held speed
        low, high = low - 50.0, high + 50.0
    step = grid.nice_step(low, high, most=16)
    return max(step * math.floor(low / step - 0.25), 0.0), step * math.ceil(high / step + 0.25)


def thinned(x: FloatArray, values: FloatArray, most: int) -> list[tuple[float, float | None]]:
    """A channel along an axis, thinned so that every extreme stays and every gap stays a gap.

    The axis is cut into stretches of equal width; of each, the lowest and the highest sample stay, in their order.

    Args:
        x: axis, shape (n,), any order; samples without a place are left out.
        values: shape (n,); NaN where missing.
        most: points to keep, about.

    Returns:
        Place and value, ascending; None for the value where samples are missing.

    Source: own definition.
    """
    order = np.argsort(x[np.isfinite(x)], kind="stable")
    place, value = x[np.isfinite(x)][order], values[np.isfinite(x)][order]
    if place.size > most:
        width = max(float(place[-1] - place[0]), 1e-12)
        bucket = np.minimum(((place - place[0]) / width * (most // 2)).astype(np.int64), most // 2 - 1)
        place, value = _extremes(place, value, bucket)
    kept: list[tuple[float, float | None]] = []
    for at, one in zip(place.tolist(), value.tolist(), strict=True):
        if math.isfinite(one):
            kept.append((short(at, 6), short(one, 5)))
        elif kept and kept[-1][1] is not None:
            kept.append((short(at, 6), None))
    return kept[:-1] if kept and kept[-1][1] is None else kept


def _extremes(place: FloatArray, value: FloatArray, bucket: Any) -> tuple[FloatArray, FloatArray]:
    """Lowest and highest of each stretch; one missing sample where a stretch has none but missing ones."""
    starts = np.flatnonzero(np.r_[True, bucket[1:] != bucket[:-1]])
    keep: list[int] = []
    for first, end in pairwise([*starts.tolist(), place.size]):
        part = value[first:end]
        if not np.isfinite(part).any():
            keep.append(first)
            continue
        keep += sorted({first + int(np.nanargmin(part)), first + int(np.nanargmax(part))})
    return place[keep], value[keep]


def channel_values(channels: Mapping[str, FloatArray], name: str, house: str, system: str) -> FloatArray:
    """A channel in its shown unit, shape (n,)."""
    return scale.arrays(channels[name], house, system, name if house else "")
