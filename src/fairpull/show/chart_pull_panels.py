"""Which small charts a pull's channels make: their order, what stands together in one, their titles and numbers."""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from fairpull.show import chart_pull_rows, digits, scale
from fairpull.show.chart_pull_rows import Range, Row, base_name
from fairpull.show.facts import grid
from fairpull.show.facts.words import plain
from fairpull.terms.arrays import FloatArray, IntArray
from fairpull.terms.glossary import BY_NAME
from fairpull.terms.pull import Pull
from fairpull.terms.pull_page import PullPage
from fairpull.terms.units import house_unit_of

RPM, TIME = "rpm", "time"
AXES = (RPM, TIME)
ORDER = (
    *("torque", "power", "bmep", "rpm", "throttle"),
    *("air_mass_flow", "air_volume_flow", "fuel_mass_flow", "fuel_volume_flow", "lambda", "air_fuel_ratio"),
    *("spark_advance", "knock", "cam_phase", "injector_duty"),
    *("manifold_pressure", "boost", "boost_before_cooler", "boost_after_cooler", "turbine_rpm", "blower_rpm"),
    *("exhaust_temperature", "exhaust_pressure", "fuel_pressure", "oil_pressure", "crankcase_pressure", "blow_by"),
    *("oil_temperature", "coolant_in", "coolant_out", "inlet_temperature"),
    *("charge_temperature_before_cooler", "charge_temperature_after_cooler", "fuel_temperature", "fuel_density"),
    *("barometer", "relative_humidity", "dew_point", "wet_bulb", "vapour_pressure"),
    *("brake_outlet_temperature", "carbon_monoxide"),
)
"""Channels as a man at the brake looks through them; what is not named comes last."""
NOT_DRAWN = ("time", "torque_se")
LONGEST_NAME = 60
OWN_POINTS, REFERENCE_POINTS = 5200, 1600
"""Points of a whole chart, shared among its lines: what a screen can show and a phone can load."""
MOST_POINTS, FEWEST_POINTS = 240, 40
SPOKEN = 12
"""Panels whose numbers are read aloud."""
MANY_PANELS = 30
"""Panels beyond which the cursor has half as many places, so that a phone can load them."""
JOINED = 8
"""Numbered channels whose numbers are told one by one at the cursor."""


@dataclass(frozen=True, slots=True)
class Line:
    """One channel in a panel: its name, its direct label ("" where it stands alone), its values in the shown unit."""

    channel: str
    label: str
    values: FloatArray


@dataclass(frozen=True, slots=True)
class Panel:
    """One small chart.

    Attributes:
        base: plain name of its channel.
        title: name and unit.
        unit: shown unit; "" where there is none.
        lines: its channels, at least one.
        places: decimals of its numbers.
    """

    base: str
    title: str
    unit: str
    lines: tuple[Line, ...]
    places: int


@dataclass(frozen=True, slots=True)
class Axis:
    """What the panels stand on: its kind, title, range, and the place of every row of the trace, shape (n,)."""

    kind: str
    title: str
    ends: Range
    x: FloatArray


def asked(word: str) -> str:
    """The axis that a word asks for; rpm for anything that is none."""
    return word if word in AXES else RPM


def has_time(trace: Pull) -> bool:
    """Whether a trace has a clock that runs."""
    time = trace.channels.get("time")
    return time is not None and bool(np.isfinite(time).any()) and float(np.nanmax(time) - np.nanmin(time)) > 0.0


def axis(trace: Pull, by: str) -> Axis:
    """The axis of all panels; rpm where a clock is asked for and the trace has none.

    Args:
        trace: the pull.
        by: "rpm" or "time".

    Returns:
        The axis; time is counted from the first row of the pull.
    """
    if by == TIME and has_time(trace):
        seconds = trace.channels["time"] - np.nanmin(trace.channels["time"])
        return Axis(TIME, "seconds from the start of the pull", (0.0, float(np.nanmax(seconds))), seconds)
    rpm = trace.channels["rpm"]
    known = rpm[np.isfinite(rpm)]
    return Axis(RPM, "rpm", chart_pull_rows.axis_of(float(known.min()), float(known.max())), rpm)


def panels(trace: Pull, by: str, system: str, only: Collection[str] = ()) -> tuple[Panel, ...]:
    """Every channel that holds a number, in the order of ``ORDER``, numbered ones of a kind together.

    Args:
        trace: the pull.
        by: "rpm" or "time"; speed has no panel along itself.
        system: "us" or "metric".
        only: plain names of the channels that are wanted; all where none of them is there.

    Returns:
        The panels.
    """
    bases: dict[str, list[str]] = {}
    for name, values in trace.channels.items():
        if name not in NOT_DRAWN and not (name == "rpm" and by == RPM) and np.isfinite(values).any():
            bases.setdefault(_group(name), []).append(name)
    order = {name: place for place, name in enumerate(ORDER)}
    wanted = [base for base in bases if base in only] or list(bases)
    return tuple(_panel(trace, base, bases[base], system) for base in sorted(wanted, key=lambda one: _rank(one, order)))


def names(trace: Pull, by: str) -> tuple[tuple[str, str], ...]:
    """Plain name and words of every channel that has a panel, in their order."""
    return tuple((one.base, one.title.partition(",")[0]) for one in panels(trace, by, "metric"))


def _group(name: str) -> str:
    base = base_name(name)
    return base if base in BY_NAME else name


def _rank(base: str, order: Mapping[str, int]) -> tuple[int, str]:
    return order.get(base, len(order)), base


def _panel(trace: Pull, base: str, names: list[str], system: str) -> Panel:
    house = house_unit_of(base)
    unit = scale.label(house, system, base) if house else ""
    lines = tuple(
        Line(name, _label(name, base, len(names)), chart_pull_rows.channel_values(trace.channels, name, house, system))
        for name in sorted(names, key=_number)
    )
    typical = max(float(np.nanmedian(np.abs(line.values))) for line in lines)
    title = _title(base, unit, len(lines))
    return Panel(base, title, unit, lines, min(digits.significant_decimals(typical, 4), 3))


def _number(name: str) -> tuple[int, str]:
    tail = name.rpartition("_")[2]
    return (int(tail) if tail.isdigit() and len(tail) < 4 else 0, name)


def _label(name: str, base: str, count: int) -> str:
    if count == 1:
        return ""
    return name.removeprefix(f"{base}_") if name != base else "all"


def _title(base: str, unit: str, count: int) -> str:
    known = BY_NAME.get(base)
    said = plain(base.replace("_", " ") if known else base)[:LONGEST_NAME]
    if known is not None:
        against = known.about.rpartition(", ")[2]
        said += f", {against}" if against in ("absolute", "gauge", "observed") else ""
    said += f", {count} channels" if count > 1 else ""
    return f"{said}, {unit}" if unit and unit != base else said


def points_each(lines: int, budget: int, width: int) -> int:
    """Points that one of so many lines may have, two for each of its stretches on a panel so wide [px]."""
    return int(min(max(budget / max(lines, 1), FEWEST_POINTS), MOST_POINTS, 0.6 * width))


def places(given: Axis, most: int = chart_pull_rows.READING) -> list[float]:
    """Places of the cursor along the axis: round steps, at most so many."""
    low, high = given.ends
    step = grid.nice_step(low, high, most)
    first, last = math.ceil(low / step - 1e-9), math.floor(high / step + 1e-9)
    known = given.x[np.isfinite(given.x)]
    if known.size == 0:
        return []
    return [n * step for n in range(first, last + 1) if known.min() - step <= n * step <= known.max() + step]


def reading(
    page: PullPage, by: str, system: str, only: Collection[str] = ()
) -> tuple[list[tuple[str, str]], list[Row]]:
    """What pointer and keyboard read at each place: fields with their titles, and rows of finished strings.

    Args:
        page: content of the page.
        by: "rpm" or "time".
        system: "us" or "metric".
        only: as for ``panels``.

    Returns:
        The fields "at", "rpm" (along time), "p0" ... one a panel, "signs"; and the rows.
    """
    if page.trace is None:
        return [], []
    given = axis(page.trace, by)
    drawn = panels(page.trace, given.kind, system, only)
    most = chart_pull_rows.READING if len(drawn) <= MANY_PANELS else chart_pull_rows.READING // 2
    rows = chart_pull_rows.strips(places(given, most))
    near = [_inside(given.x, row["x0"], row["x1"]) for row in rows]
    decimals = 0 if given.kind == RPM or given.ends[1] > 100 else 1
    for row, inside in zip(rows, near, strict=True):
        row["at"] = digits.number(row["x"], decimals)
        speed = _mean(page.trace.channels["rpm"], inside)
        row["signs"] = (chart_pull_rows.signs_at(page, speed) or "none") if math.isfinite(speed) else "none"
        for n, panel in enumerate(drawn):
            row[f"p{n}"] = _told(panel, inside)
    fields = [("at", given.title), *((f"p{n}", panel.title) for n, panel in enumerate(drawn)), ("signs", "signs here")]
    return fields, rows


def spoken(fields: Sequence[tuple[str, str]], rows: Sequence[Row]) -> tuple[list[tuple[str, str]], list[Row]]:
    """What a keyboard's reader says at each place: the first channels and the signs, no more.

    Args:
        fields, rows: as from ``reading``.

    Returns:
        Fewer fields, and the rows with these alone.
    """
    kept = [*fields[: SPOKEN + 1], *(one for one in fields[SPOKEN + 1 :] if one[0] == "signs")]
    names = ("x", *(name for name, _ in kept))
    return kept, [{name: row[name] for name in names} for row in rows]


def _inside(x: FloatArray, low: float, high: float) -> IntArray:
    """Samples of a strip; the nearest one where there is none."""
    found: IntArray = np.flatnonzero((x >= low) & (x <= high))
    if found.size or not np.isfinite(x).any():
        return found
    middle = (low + high) / 2
    nearest = int(np.nanargmin(np.abs(x - middle)))
    return np.array([nearest], dtype=np.int64) if abs(float(x[nearest]) - middle) <= 2.0 * (high - low) else found


def _mean(values: FloatArray, inside: IntArray) -> float:
    known = values[inside]
    known = known[np.isfinite(known)]
    return float(known.mean()) if known.size else math.nan


def _told(panel: Panel, inside: IntArray) -> str:
    means = [_mean(line.values, inside) for line in panel.lines]
    if len(means) <= JOINED:
        return " / ".join(digits.number(one, panel.places) for one in means)
    known = [one for one in means if math.isfinite(one)]
    return digits.interval(min(known), max(known), panel.places) if known else digits.DASH
