"""The numbers behind the pictures of a duty: plain rows in shown units, words to the digits that intervals earn."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import numpy as np

from fairpull.show import digits, scale
from fairpull.show.csv_cells import csv_text
from fairpull.show.facts import grid
from fairpull.show.facts.purpose_page import ASKS_POWER, places, remark, scores_table
from fairpull.show.facts.words import plain
from fairpull.terms.arrays import FloatArray
from fairpull.terms.duty_view import DutyView, OutputCurve
from fairpull.terms.purpose import Duty, Score, Scores

Row = dict[str, Any]
Range = tuple[float, float]
PLACES = 40  # of the reader


@dataclass(frozen=True, slots=True)
class Line:
    """One line of the ranking: a heading, or a build with its score in the shown unit; value None where there is none.

    label: rank and name; said: score with interval, or why there is none; short: the same where there is little room.
    """

    name: str
    heading: bool = False
    label: str = ""
    said: str = ""
    short: str = ""
    value: float | None = None
    low: float = math.nan
    high: float = math.nan
    ranked: bool = True


@dataclass(frozen=True, slots=True)
class AskedRows:
    """What the duty asks for, drawn: bands, bars of time, load line (value, high with the margin), loaded points."""

    bands: list[Row]
    bars: list[Row]
    line: list[Row]
    points: list[Row]
    margin: float


def ranking_lines(scores: Scores, system: str) -> list[Line]:
    """Headings and builds from the top.

    Args:
        scores: the result.
        system: "us" or "metric".

    Returns:
        Lines; the words of a score are those of the table of scores.
    """
    ranks = places(scores)
    told = {row[1]: row for row in scores_table(scores, system).rows}
    by_name = {one.build: one for one in scores.scores}
    lines: list[Line] = []
    for group in scores.ties:
        if len(group) > 1:
            lines.append(Line(f"rank {ranks[group[0]].rstrip('=')}, a tie of {len(group)}", heading=True))
        elif lines:
            lines.append(Line("", heading=True))
        lines += [_line(by_name[name], told[name], system) for name in group]
    rest = [one for one in scores.scores if one.build not in ranks]
    if rest:
        lines.append(Line("no rank", heading=True))
        lines += [_line(one, told[one.build], system) for one in rest]
    return lines


def _line(one: Score, row: Sequence[str], system: str) -> Line:
    unit = scale.label(one.value.unit, system)
    shown = scale.estimate(one.value, system)
    known = math.isfinite(shown.value)
    said = f"{row[2]} {unit} ({row[3]} to {row[4]})" if known else ""
    why = plain(remark(one))
    both = f"{said}; {why}" if said and why else said or why
    short = f"{row[2]} {unit}" if known else why.partition(":")[0]
    label = f"{row[0]}  {plain(one.build)}" if one.ranked else plain(one.build)
    if not known:
        return Line(plain(one.build), label=label, said=both, short=short, ranked=False)
    return Line(plain(one.build), False, label, both, short, shown.value, shown.low, shown.high, one.ranked)


def demand(scores: Scores, system: str) -> float | None:
    """Score from which the demand is met, in the shown unit; None for duties that ask for no power."""
    duty = scores.duty
    return scale.scalar(duty.margin, "1", system) if duty.kind in ASKS_POWER else None


def score_range(scores: Scores, system: str) -> Range:
    """Range of the scores' axis: all intervals, and the demand where there is one."""
    shown = [scale.estimate(one.value, system) for one in scores.scores if math.isfinite(one.value.value)]
    ends = [end for one in shown for end in (one.low, one.high) if math.isfinite(end)]
    at = demand(scores, system)
    ends += [at] if at is not None else []
    if not ends:
        return (0.0, 1.0)
    low, high = min(ends), max(ends)
    room = 0.06 * (high - low) or 0.05 * abs(high) or 1.0
    return (low - room, high + room)


def score_title(scores: Scores, system: str) -> str:
    """Title of the scores' axis."""
    unit = scale.label(scores.scores[0].value.unit, system) if scores.scores else ""
    what = "least margin" if scores.duty.kind in ASKS_POWER else "score"
    return f"{what}, {unit}; bar: 95 % interval"


def _of_torque(duty: Duty) -> bool:
    return duty.kind == "bands" and duty.bands[0].quantity == "torque"


def curve_title(duty: Duty, system: str) -> str:
    """Title of the curves' axis of values."""
    return f"torque, {scale.label('N m', system)}" if _of_torque(duty) else f"power, {scale.label('W', system)}"


def rpm_title(duty: Duty) -> str:
    """Title of the curves' axis of speed."""
    return "engine rpm" if duty.kind == "gears" else "rpm of the output shaft"


def _values(curve: OutputCurve, duty: Duty, system: str) -> tuple[FloatArray, FloatArray, FloatArray]:
    if _of_torque(duty):
        three, unit = (curve.torque, curve.torque_low, curve.torque_high), "N m"
    else:
        three, unit = (curve.power, curve.power_low, curve.power_high), "W"
    value, low, high = (scale.arrays(one, unit, system) for one in three)
    return value, low, high


def _speeds(curve: OutputCurve, duty: Duty) -> FloatArray:
    return curve.rpm * curve.gear if duty.kind == "gears" else curve.rpm


def curve_rows(view: DutyView, system: str) -> list[Row]:
    """Every build's curve: ``x``, ``build``, ``value``, ``low``, ``high``."""
    duty = view.scores.duty
    rows: list[Row] = []
    for curve in view.curves:
        speeds = _speeds(curve, duty)
        value, low, high = _values(curve, duty, system)
        name = plain(curve.build)
        rows += [
            {"x": float(x), "build": name, "value": float(v), "low": float(a), "high": float(b)}
            for x, v, a, b in zip(speeds, value, low, high, strict=True)
            if math.isfinite(v) and math.isfinite(a) and math.isfinite(b)
        ]
    return rows


def _share(weight: float, whole: float) -> str:
    return f"{digits.bare(100.0 * weight / whole, 0)} %"


def asked_rows(view: DutyView, system: str) -> AskedRows:
    """What the duty asks for.

    Args:
        view: with the duty and its load.
        system: "us" or "metric".

    Returns:
        Rows, most of them empty: a duty is of one kind.
    """
    duty = view.scores.duty
    bands, bars, points = _bands(duty), _bars(duty), _points(duty, system)
    power = scale.arrays(view.load_power, "W", system)
    line = [
        {"x": float(x), "value": float(p), "high": float(p) * (1.0 + duty.margin)}
        for x, p in zip(view.load_rpm, power, strict=True)
    ]
    return AskedRows(bands, bars, line, points, duty.margin)


def _bands(duty: Duty) -> list[Row]:
    if duty.kind == "gears":
        shift = float(duty.shift_rpm or 0.0)
        ends = [(shift * after / now, shift) for now, after in pairwise(duty.gears)]
        low = min((one for one, _ in ends), default=shift)
        return [{"x": low, "x2": shift, "share": 0.5, "said": "from recovery to shift"}]
    whole = sum(band.weight for band in duty.bands) or 1.0
    return [
        {"x": band.low, "x2": band.high, "share": band.weight / whole, "said": _share(band.weight, whole)}
        for band in duty.bands
    ]


def _bars(duty: Duty) -> list[Row]:
    if duty.kind != "histogram":
        return []
    whole = sum(point.weight for point in duty.points) or 1.0
    return [
        {"x": point.rpm, "share": point.weight / whole, "said": _share(point.weight, whole)} for point in duty.points
    ]


def _points(duty: Duty, system: str) -> list[Row]:
    if duty.kind != "cycle":
        return []
    loaded = [(number, point) for number, point in enumerate(duty.points, 1) if point.power > 0.0]
    power = scale.arrays(np.array([point.power for _, point in loaded]), "W", system)
    unit = scale.label("W", system)
    return [
        {
            "x": point.rpm,
            "value": float(p),
            "said": str(number),
            "told": f"{digits.number(float(p), 1)} {unit} at {digits.number(point.rpm, 0)} rpm",
        }
        for (number, point), p in zip(loaded, power, strict=True)
    ]


def lies_along_a_line(points: Sequence[Row]) -> bool:
    """Whether each point has a speed of its own."""
    return len({row["x"] for row in points}) == len(points)


def rpm_range(view: DutyView, rows: Sequence[Row]) -> Range:
    """Range of the axis of speed: the duty's speeds and a little to both sides, not all that was ever tested."""
    asked = asked_rows(view, "metric")
    every = [*asked.bands, *asked.bars, *asked.line, *asked.points]
    ends = [row[key] for row in every for key in ("x", "x2") if key in row]
    ends = ends or [row["x"] for row in rows] or [0.0, 1000.0]
    low, high = min(ends), max(ends)
    room = max(0.12 * (high - low), 200.0)
    step = grid.nice_step(low - room, high + room, most=16)
    return (max(step * math.floor((low - room) / step), 0.0), step * math.ceil((high + room) / step))


def inside(rows: Sequence[Row], ends: Range) -> list[Row]:
    """Rows whose ``x`` lies within a range."""
    return [row for row in rows if ends[0] <= row["x"] <= ends[1]]


def apart(wanted: Sequence[float], gap: float, ends: Range) -> list[float]:
    """Places as near to the wanted ones as can be, at least ``gap`` apart: neighbours that touch share their middle.

    Args:
        wanted: in any order.
        gap: least distance.
        ends: of the panel; places stay inside where there is room.

    Returns:
        Places in the order of ``wanted``.
    """
    order = sorted(range(len(wanted)), key=lambda n: wanted[n])
    blocks: list[list[float]] = []  # place of the lowest, how many, sum of what each wants of the lowest
    for n in order:
        blocks.append([wanted[n], 1.0, wanted[n]])
        while len(blocks) > 1 and blocks[-2][0] + gap * blocks[-2][1] > blocks[-1][0]:
            _, count, total = blocks.pop()
            _, before, own = blocks[-1]
            whole = before + count
            together = own + total - gap * before * count
            blocks[-1] = [together / whole, whole, together]
    placed = [low + gap * place for low, count, _ in blocks for place in range(int(count))]
    over = max(max(placed, default=ends[1]) - ends[1], 0.0)
    under = max(ends[0] - min(placed, default=ends[0]), 0.0)
    at = dict(zip(order, (one - over + under for one in placed), strict=True))
    return [at[n] for n in range(len(wanted))]


def reading(view: DutyView, system: str) -> tuple[list[tuple[str, str]], list[Row]]:
    """What pointer and keyboard read: fields with their titles, and rows of finished strings.

    Args:
        view: scores and curves.
        system: "us" or "metric".

    Returns:
        The fields "at", "b0" ...; rows with ``x``, ``x0``, ``x1`` too.
    """
    duty = view.scores.duty
    low, high = rpm_range(view, curve_rows(view, system))
    step = grid.nice_step(low, high, PLACES)
    at = [step * n for n in range(math.ceil(low / step), math.floor(high / step) + 1)]
    fields = [("at", rpm_title(duty))]
    told: list[list[str]] = []
    unit = curve_title(duty, system).partition(", ")[2]
    for place, curve in enumerate(view.curves):
        fields.append((f"b{place}", f"{plain(curve.build)}, {unit}"))
        told.append(_read(curve, duty, np.array(at), system))
    rows = [
        {"x": x, "x0": x - step / 2, "x1": x + step / 2, "at": digits.number(x, 0)}
        | {f"b{place}": said[n] for place, said in enumerate(told)}
        for n, x in enumerate(at)
    ]
    return fields, rows


def _read(curve: OutputCurve, duty: Duty, at: FloatArray, system: str) -> list[str]:
    speeds, (value, low, high) = _speeds(curve, duty), _values(curve, duty, system)
    if len(speeds) < 2:
        return [digits.DASH] * len(at)
    half = (high - low) / 2.0
    decimals = digits.column_decimals(half.tolist())
    three = (np.interp(at, speeds, one, left=math.nan, right=math.nan) for one in (value, low, high))
    return [
        digits.DASH
        if not math.isfinite(v)
        else f"{digits.number(float(v), decimals)} ({digits.interval(float(a), float(b), decimals)})"
        for v, a, b in zip(*three, strict=True)
    ]


def ranking_csv(scores: Scores, system: str) -> str:
    """The table of scores as CSV text."""
    table = scores_table(scores, system)
    head = [f"{one.name} [{one.unit}]" if one.unit else one.name for one in table.columns]
    return csv_text(head, table.rows)


def curves_csv(view: DutyView, system: str) -> str:
    """Every build's curve as CSV text, one row a node."""
    head = ["build", rpm_title(view.scores.duty), *_heads(view.scores.duty, system)]
    rows = curve_rows(view, system)
    return csv_text(
        head, [[row["build"], *(f"{row[key]:.6g}" for key in ("x", "value", "low", "high"))] for row in rows]
    )


def _heads(duty: Duty, system: str) -> list[str]:
    title = curve_title(duty, system)
    name, _, unit = title.partition(", ")
    return [f"{name} [{unit}]", f"low [{unit}]", f"high [{unit}]"]
