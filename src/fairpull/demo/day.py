"""Writes the whole scenario as a folder of raw logs, the way the shop would have left it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path

import numpy as np

from fairpull.demo.cards import write_conditions, write_engines, write_question, write_weights
from fairpull.demo.layouts.column import Logged
from fairpull.demo.layouts.columnar import write_columns
from fairpull.demo.layouts.controller import write_controller
from fairpull.demo.layouts.json_lines import write_lines
from fairpull.demo.layouts.metric_text import write_semicolon
from fairpull.demo.layouts.us_text import write_comma, write_tabbed, write_wide
from fairpull.demo.machine import run_machine
from fairpull.demo.scenario import DAYS, RUNS, Run
from fairpull.demo.sensors import read_all
from fairpull.demo.sheets import write_sheets
from fairpull.demo.sweep import make_sweep
from fairpull.demo.weather import weather_of

WRITERS: Mapping[str, Callable[[Path, Logged], Path]] = {
    "tabbed": write_tabbed,
    "comma": write_comma,
    "wide": write_wide,
    "semicolon": write_semicolon,
    "columns": write_columns,
    "lines": write_lines,
}
WITHOUT_BAROMETER = frozenset({"semicolon"})
CONTROLLER_PULL = 18


@dataclass(frozen=True, slots=True)
class DemoDay:
    """Where everything of the demo's two days lies.

    Attributes:
        folder: the folder that was written.
        groups: name of a group ("anvil-log", "anvil-header", "anvil-cam-b", "wren-plain", "wren-centrifugal",
            "wren-screw", "anvil-tuning", "anvil-shakedown", "void") -> its folder, which can be given to a comparison.
        pulls: pull number -> its log file.
        engines: "anvil", "wren", "wren-blown" -> engine file.
        question: the question put before the day, about "anvil-log" and "anvil-header".
        conditions: group -> weather that was written by hand, where a logger had no barometer.
        weights: "day1", "day2-after-16" -> dead-weight table of the brake.
        controller: the engine controller's own log of pull 18.
        sheets: folder of the shop's sheets: engines, parts, builds, sessions, checks, questions, duties.
        day_sheet: which log ran with which build, in running order.
    """

    folder: Path
    groups: Mapping[str, Path]
    pulls: Mapping[int, Path]
    engines: Mapping[str, Path]
    question: Path
    conditions: Mapping[str, Path]
    weights: Mapping[str, Path]
    controller: Path
    sheets: Path
    day_sheet: Path

    def files(self, group: str) -> tuple[Path, ...]:
        """The logs of one group, in running order.

        Args:
            group: name of the group.

        Returns:
            Log files.
        """
        shelf = self.groups[group]
        return tuple(path for _, path in sorted(self.pulls.items()) if path.parent == shelf)


def log_of(run: Run, seed: int) -> Logged:
    """One pull as its logger has it in memory.

    Args:
        run: a line of the day sheet.
        seed: seed of the whole demo; each pull draws from its own stream.

    Returns:
        The logged pull.
    """
    rng = np.random.default_rng([seed, run.number])
    sweep = make_sweep(run, rng)
    channels = read_all(run_machine(run, sweep, rng), rng)
    hour, minute = (int(part) for part in run.clock.split(":"))
    start = datetime(*DAYS[run.day], hour, minute) + timedelta(seconds=int(rng.integers(0, 50)))
    return Logged(run, start, channels, weather_of(run).pressure)


def write_day(folder: Path, seed: int = 1) -> DemoDay:
    """Write the raw logs of the invented scenario: pulls 01 to 20 of two days, and the papers beside them.

    The band averages, weather and events are the scenario's for every seed; the seed draws noise, the smooth shape of
    each pull's own error, the exact timing and the holes. The same seed gives the same bytes.

    Args:
        folder: where to write; made if it is not there. Files of the same name are replaced.
        seed: any whole number from 0.

    Returns:
        Where everything lies.
    """
    folder.mkdir(parents=True, exist_ok=True)
    pulls: dict[int, Path] = {}
    by_hand: dict[str, list[tuple[Path, Run]]] = {}
    controller = folder / "controller"
    controller_log = controller
    for run in RUNS:
        shelf = folder / run.shelf
        shelf.mkdir(exist_ok=True)
        logged = log_of(run, seed)
        pulls[run.number] = WRITERS[run.layout](shelf / run.stem, logged)
        if run.layout in WITHOUT_BAROMETER:
            by_hand.setdefault(run.shelf, []).append((pulls[run.number], run))
        if run.number == CONTROLLER_PULL:
            controller.mkdir(exist_ok=True)
            controller_log = write_controller(controller / f"{run.stem}-controller", logged)
    sheets, day_sheet = write_sheets(folder, pulls)
    return DemoDay(
        folder=folder,
        groups={run.shelf: folder / run.shelf for run in RUNS},
        pulls=pulls,
        engines=write_engines(folder),
        question=write_question(folder),
        conditions={shelf: write_conditions(folder / shelf, runs) for shelf, runs in by_hand.items()},
        weights=write_weights(folder),
        controller=controller_log,
        sheets=sheets,
        day_sheet=day_sheet,
    )
