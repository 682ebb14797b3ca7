"""The numbers behind the pictures of loops: plain rows, settings in degrees for spark, torque in shown units."""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from fairpull.show import scale
from fairpull.show.csv_cells import csv_text
from fairpull.show.facts.tune_page import DEGREES, loops_table, setting
from fairpull.show.facts.words import plain
from fairpull.terms.tune_view import TuneView
from fairpull.terms.tuning import Loop

Row = dict[str, Any]
Range = tuple[float, float]
TITLES = {"spark": "spark advance, deg", "lambda": "lambda", "jet": "number of the main jet"}


def factor(view: TuneView) -> float:
    """From a setting on the record to the one shown."""
    return DEGREES if view.of == "spark" else 1.0


def setting_title(view: TuneView) -> str:
    """Title of the axis of settings."""
    return TITLES[view.of]


def point_rows(view: TuneView, loop: Loop, system: str) -> list[Row]:
    """Points of a loop: ``x``, ``value``, ``heard`` "yes", "no" or "not logged", ``pull``."""
    torque = scale.arrays(loop.points.torque, "N m", system)
    names = loop.points.pull or ("",) * len(torque)
    limit = _knocks_from(view, loop)
    return [
        {"x": float(x) * factor(view), "value": float(y), "heard": _heard(float(knock), limit), "pull": plain(name)}
        for x, y, knock, name in zip(loop.points.setting, torque, loop.points.knock, names, strict=True)
        if math.isfinite(x) and math.isfinite(y)
    ]


def _knocks_from(view: TuneView, loop: Loop) -> float:
    """Level above which knock counts: the one that was named, else three times the median, as the loops take it."""
    if view.knock_limit is not None:
        return view.knock_limit
    known = loop.points.knock[np.isfinite(loop.points.knock)]
    return 3.0 * float(np.median(known)) if known.size else math.inf


def _heard(knock: float, limit: float) -> str:
    if not math.isfinite(knock):
        return "not logged"
    return "yes" if knock > max(limit, 1e-12) else "no"


def fit_rows(view: TuneView, loop: Loop, system: str) -> list[Row]:
    """The fitted parabola with its band: ``x``, ``value``, ``low``, ``high``."""
    at, *three = loop.fit
    shown = [scale.arrays(one, "N m", system) for one in three]
    rows = zip(at, *shown, strict=True)
    return [
        {"x": float(x) * factor(view), "value": float(v), "low": float(a), "high": float(b)}
        for x, v, a, b in rows
        if all(math.isfinite(one) for one in (x, v, a, b))
    ]


def settings_range(view: TuneView) -> Range:
    """Range of settings that all panels share: what was run, what is said, what to run next, what may be run."""
    ends: list[float] = []
    for loop in view.result.loops:
        ends += [float(one) for one in loop.points.setting if math.isfinite(one)]
        ends += [float(one) for one in loop.fit[0] if math.isfinite(one)] if not ends else []
        ends += [one.value for one in (loop.best, loop.modest) if one is not None and math.isfinite(one.value)]
        ends += [loop.next_setting] if loop.next_setting is not None else []
    ends += list(view.span or ())
    shown = [one * factor(view) for one in ends] or [0.0, 1.0]
    low, high = min(shown), max(shown)
    least = {"spark": 6.0, "lambda": 0.06, "jet": 4.0}[view.of]
    room = max(0.12 * (high - low), (least - (high - low)) / 2.0)
    return (low - room, high + room)


def mark_rows(view: TuneView, loop: Loop, system: str) -> dict[str, Row]:
    """Best, the setting beside it, and the next point: "best", "beside" with ``x``, ``x0``, ``x1``, ``said``; "next".

    Args:
        view: the loops.
        loop: one of them.
        system: "us" or "metric".

    Returns:
        Those that are known.
    """
    by = factor(view)
    kind = view.result.kind
    found: dict[str, Row] = {}
    for name, given in (("best", loop.best), ("beside", loop.modest)):
        if given is not None and math.isfinite(given.value):
            found[name] = {
                "x": given.value * by,
                "x0": given.low * by,
                "x1": given.high * by,
                "said": setting(given, kind),
            }
    if loop.next_setting is not None:
        fitted = fit_rows(view, loop, system)
        level = math.nan
        if fitted:
            level = float(
                np.interp(loop.next_setting * by, [row["x"] for row in fitted], [row["value"] for row in fitted])
            )
        points = point_rows(view, loop, system)
        if not math.isfinite(level) and points:
            level = float(np.mean([row["value"] for row in points]))
        if math.isfinite(level):
            found["next"] = {"x": loop.next_setting * by, "value": level, "said": "next"}
    return found


def map_rows(view: TuneView) -> dict[str, list[Row]]:
    """Settings against rpm: "run" (``x``, ``value``, ``heard``), "best", "beside" (with ``low``, ``high``), "next"."""
    by, kind = factor(view), view.result.kind
    rows: dict[str, list[Row]] = {"run": [], "best": [], "beside": [], "next": []}
    for loop in view.result.loops:
        limit = _knocks_from(view, loop)
        seen: set[tuple[float, str]] = set()
        for one, knock in zip(loop.points.setting, loop.points.knock, strict=True):
            at = (round(float(one) * by, 3), _heard(float(knock), limit))
            if math.isfinite(at[0]) and at not in seen:
                seen.add(at)
                rows["run"].append({"x": loop.rpm, "value": at[0], "heard": at[1]})
        for name, given in (("best", loop.best), ("beside", loop.modest)):
            if given is not None and math.isfinite(given.value):
                rows[name].append(
                    {
                        "x": loop.rpm,
                        "value": given.value * by,
                        "low": given.low * by,
                        "high": given.high * by,
                        "said": setting(given, kind),
                        "limited": "yes" if loop.knock_limited else "no",
                    }
                )
        if loop.next_setting is not None:
            rows["next"].append({"x": loop.rpm, "value": loop.next_setting * by, "said": loop.next_why})
    return rows


def beside_word(view: TuneView) -> str:
    """What the setting beside the best one is called."""
    return "least within 1 %" if view.result.kind == "spark" else "rich side"


def loops_csv(view: TuneView, system: str) -> str:
    """Points and fits as CSV text."""
    unit = scale.label("N m", system)
    head = ["rpm", "what", setting_title(view), f"torque [{unit}]", f"low [{unit}]", f"high [{unit}]", "knock", "pull"]
    rows: list[list[str]] = []
    for loop in view.result.loops:
        rpm = f"{loop.rpm:.6g}"
        rows += [
            [rpm, "point", f"{row['x']:.6g}", f"{row['value']:.6g}", "", "", row["heard"], row["pull"]]
            for row in point_rows(view, loop, system)
        ]
        rows += [
            [rpm, "fit", *(f"{row[key]:.6g}" for key in ("x", "value", "low", "high")), "", ""]
            for row in fit_rows(view, loop, system)
        ]
    return csv_text(head, rows)


def map_csv(view: TuneView) -> str:
    """The table of loops as CSV text."""
    table = loops_table(view.result)
    return csv_text([f"{one.name} [{one.unit}]" if one.unit else one.name for one in table.columns], table.rows)
