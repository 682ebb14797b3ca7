"""Golden texts: what the faces said when a person last looked and agreed.

``python -m tests.show.golden`` from the project's folder writes them anew; read the difference before keeping it.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from fairpull.show.air_text import air_text
from fairpull.show.calibration_text import calibration_text
from fairpull.show.comparison_text import comparison_text
from fairpull.show.pulls_text import pulls_text
from fairpull.show.recording_text import recordings_text
from tests.show import days, engine_days, readings

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
}


def path(name: str) -> Path:
    """Where a golden text lies."""
    return FOLDER / f"show_{name}.txt"


if __name__ == "__main__":
    for name, draw in TEXTS.items():
        path(name).write_text(draw(), encoding="utf-8")
