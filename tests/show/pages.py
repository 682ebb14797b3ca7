"""Reports and charts that take a while to draw, drawn once for all tests."""

from __future__ import annotations

import copy
from collections.abc import Callable
from functools import cache
from typing import Any

from fairpull.show import charts
from fairpull.show.chart_theme import LIGHT, WIDE
from fairpull.show.report import report_html
from fairpull.terms.comparison import Comparison
from tests.show import days, engine_days

DAYS: dict[str, Callable[[], Comparison]] = {
    "header": days.header_day,
    "cannot tell": days.cannot_tell_day,
    "three": days.three_builds,
    "hostile": days.hostile_day,
    "unlike": days.unlike_engines,
    "lone": days.lone_build,
    "declared": days.many_declared,
    "engine": engine_days.engine_day,
    "unlike day": engine_days.unlike_day,
}


@cache
def page(name: str) -> str:
    """The report of a day."""
    return report_html(DAYS[name](), "us")


@cache
def _drawn(name: str, chart: str, system: str) -> dict[str, Any]:
    return charts.chart(chart, DAYS[name](), LIGHT, WIDE, system)


def spec(name: str, chart: str = "torque", system: str = "us") -> dict[str, Any]:
    """A chart of a day, light and wide; a copy of its own."""
    return copy.deepcopy(_drawn(name, chart, system))
