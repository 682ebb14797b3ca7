"""Golden texts: what the faces said when a person last looked and agreed.

``python -m tests.show.golden`` from the project's folder writes them anew; read the difference before keeping it.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from fairpull.show import bench_text, health_text, tune_text
from fairpull.show.air_text import air_text
from fairpull.show.arrival_text import arrival_text
from fairpull.show.calibration_text import calibration_text
from fairpull.show.comparison_text import comparison_text
from fairpull.show.day_text import day_text
from fairpull.show.pulls_text import pulls_text
from fairpull.show.recording_text import recordings_text
from tests.show import bench_days, days, engine_days, readings

FOLDER = Path(__file__).parents[1] / "golden"

TEXTS: dict[str, Callable[[], str]] = {
    "header_day_us": lambda: comparison_text(days.header_day(), "us"),
    "header_day_metric": lambda: comparison_text(days.header_day(), "metric"),
    "cannot_tell_us": lambda: comparison_text(days.cannot_tell_day(), "us"),
    "three_builds_us": lambda: comparison_text(days.three_builds(), "us"),
    "hostile_us": lambda: comparison_text(days.hostile_day(), "us"),
    "unlike_us": lambda: comparison_text(days.unlike_engines(), "us"),
    "unlike_metric": lambda: comparison_text(days.unlike_engines(), "metric"),
    "lone_us": lambda: comparison_text(days.lone_build(), "us"),
    "many_declared_us": lambda: comparison_text(days.many_declared(), "us"),
    "recording_us": lambda: recordings_text([readings.recording()], "us"),
    "recording_metric": lambda: recordings_text([readings.recording()], "metric"),
    "pulls_us": lambda: pulls_text(readings.pulls(), "us"),
    "wide_recording_us": lambda: recordings_text([readings.wide_recording()], "us"),
    "engine_us": lambda: comparison_text(engine_days.engine_day(), "us"),
    "engine_metric": lambda: comparison_text(engine_days.engine_day(), "metric"),
    "unlike_day_us": lambda: comparison_text(engine_days.unlike_day(), "us"),
    "calibration_us": lambda: calibration_text(readings.calibration(passed=False), "us"),
    "calibration_metric": lambda: calibration_text(readings.calibration(passed=True), "metric"),
    "air_us": lambda: air_text(readings.air(), "us"),
    "air_metric": lambda: air_text(readings.air(), "metric"),
    "bench_list_us": lambda: bench_text.pulls_list_text(bench_days.lines(), "us"),
    "bench_list_metric": lambda: bench_text.pulls_list_text(bench_days.lines(), "metric"),
    "bench_list_hostile_us": lambda: bench_text.pulls_list_text(bench_days.hostile_lines(), "us"),
    "bench_taken_us": lambda: bench_text.taken_text(
        "anvil-log", bench_days.lines()[:3], {"old.csv": ("old", "old#2")}, bench_days.check(True).findings, "us"
    ),
    "bench_pull_us": lambda: bench_text.pull_text(bench_days.lines()[1], "us"),
    "bench_pull_metric": lambda: bench_text.pull_text(bench_days.lines()[2], "metric"),
    "bench_sheets": lambda: bench_text.sheet_list_text(bench_days.sheets()),
    "bench_build_us": lambda: bench_text.build_text(bench_days.build(), "us"),
    "bench_build_metric": lambda: bench_text.build_text(bench_days.build(), "metric"),
    "bench_check": lambda: bench_text.check_text(bench_days.check(True)),
    "bench_papers": lambda: bench_text.papers_text(*bench_days.papers()),
    "health": lambda: health_text.health_text([line.health for line in bench_days.lines() if line.health is not None]),
    "arrival_us": lambda: arrival_text("15.csv", bench_days.lines()[1:2], bench_days.fair(), look=3, system="us"),
    "day_us": lambda: day_text(bench_days.lines(), [bench_days.fair()], None, "us"),
    "tune_spark_us": lambda: tune_text.tune_text(bench_days.tune("spark"), "us"),
    "tune_mixture_metric": lambda: tune_text.tune_text(bench_days.tune("mixture"), "metric"),
    "running_in_us": lambda: tune_text.running_in_text(bench_days.running_in(False), "us"),
}


def path(name: str) -> Path:
    """Where a golden text lies."""
    return FOLDER / f"show_{name}.txt"


if __name__ == "__main__":
    for name, draw in TEXTS.items():
        path(name).write_text(draw(), encoding="utf-8")
