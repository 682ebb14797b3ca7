"""Every default and every option can be read in the result's choices."""

from __future__ import annotations

from dataclasses import fields
from pathlib import Path
from typing import Any

import pytest

from fairpull.logs import ReadOptions
from fairpull.pulls import PullOptions
from fairpull.tasks.compare_files import compare_files
from fairpull.tasks.request import CompareRequest
from fairpull.terms.comparison import Comparison
from tests.tasks.small import write_build

# Option -> the choice that says it, and a word of its default.
REQUEST = {
    "standard": ("standard", "(default where weather is known)"),
    "step": ("rpm grid", "250 rpm, named"),
    "band": ("band", "common range"),
    "smallest": ("smallest difference worth having", "1 %, default"),
    "question_file": ("question", "none declared"),
    "engine_files": ("engine", "no engine file"),
    "declared_files": ("declared curves", "none"),
    "declared_standard": ("declared curves", "none"),
    "declared_basis": ("declared curves", "none"),
    "declared_by": ("declared curves", "none"),
    "calibrations": ("calibration", "none"),
    "valid_to": ("counts only up to", "to its end"),
    "leave_out": ("left out", "no pull"),
    "order": ("order of pulls", "running order"),
    "look": ("looks", "one look"),
    "planned_looks": ("looks", "one look"),
    "read": ("reading", "as found in the logs"),
    "pulls": ("pull kind", ""),
    "seed": ("draws", "seed 0"),
}
PULLS = {
    "kind": ("kind of pull", "auto"),
    "min_span": ("least sweep", "500 rpm"),
    "min_duration": ("least sweep", "2 s"),
    "settle_rpm": ("least sweep", "250 rpm off"),
    "throttle_floor": ("full load", "85%"),
    "throttle_full": ("full throttle", "98%"),
    "nominal_rate": ("nominal rate", "each pull's own"),
    "hold_min": ("holds", "1.5 s"),
    "hold_average": ("holds", "5 s"),
    "despike_k": ("despiking", "6 robust standard deviations"),
    "despike_window": ("despiking", "5 samples"),
    "bridge": ("dropouts", "5 samples"),
    "lags": ("lags", "none"),
    "inertia": ("inertia", "none"),
    "inertia_window": ("inertia window", "0.25 s"),
    "calibration": ("calibration", "none"),
    "valid_to": ("counts only up to", "to its end"),
}
OF_SWEEPS = {"throttle_floor", "despike_k", "despike_window", "bridge"}


@pytest.fixture(scope="module")
def tables(tmp_path_factory: pytest.TempPathFactory) -> Comparison:
    folder = tmp_path_factory.mktemp("choices")
    return judge(folder)


def judge(folder: Path, **request: Any) -> Comparison:
    words = [str(write_build(folder, "log", pulls=2)), str(write_build(folder, "header", pulls=2))]
    return compare_files(words, CompareRequest(step=250.0, **request))


@pytest.fixture(scope="module")
def sweeps(demo_day: Path) -> Comparison:
    paths = [next(demo_day.glob(f"*/{number}-*")) for number in ("03", "08")]
    return compare_files([str(path) for path in paths], CompareRequest(step=250.0))


def test_every_part_of_a_request_has_its_choice(tables: Comparison) -> None:
    assert set(REQUEST) == {field.name for field in fields(CompareRequest)}
    for option, (choice, default) in REQUEST.items():
        assert default in tables.choices[choice], option


def test_every_option_of_the_cleaning_has_its_choice(tables: Comparison, sweeps: Comparison) -> None:
    assert set(PULLS) == {field.name for field in fields(PullOptions)}
    for option, (choice, default) in PULLS.items():
        said = sweeps.groups[0].curves[0].choices if option in OF_SWEEPS else tables.choices
        assert default in said[choice], option


def test_options_of_the_reading_are_repeated(tmp_path: Path) -> None:
    read = ReadOptions(altitude=100.0, units={"baro": "kPa"})
    said = judge(tmp_path, read=read).choices["reading"]
    assert said == "by option: units {'baro': 'kPa'}; altitude 100.0"


def test_what_differs_from_pull_to_pull_is_named_and_not_said_for_all(sweeps: Comparison) -> None:
    differing = sweeps.choices["differs from pull to pull"]
    assert "delimiter" in differing
    assert "delimiter" not in sweeps.choices
    assert {"rpm grid", "method", "curve"} <= set(sweeps.choices)
