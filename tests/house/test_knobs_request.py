"""Every part of a comparison request turns something, on six small logs of two builds."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import fields
from pathlib import Path

import numpy as np
import pytest

from fairpull.logs import ReadOptions
from fairpull.pulls import PullOptions
from fairpull.show.comparison_text import comparison_text
from fairpull.tasks.compare_files import compare_files
from fairpull.tasks.request import CompareRequest
from fairpull.terms.calibration import Calibration
from fairpull.terms.errors import FairpullError

SPEEDS = range(2000, 5001, 250)
ENGINE = 'bore = "100 mm"\nstroke = "90 mm"\ncylinders = 8\n'
GROUPS = ["log", "header"]


def torque(build: str, number: int, rpm: int) -> float:
    gain = 1.012 if build == "header" else 1.0
    scatter = 1.0 + 0.004 * ((7 * number + 3 * len(build)) % 5 - 2) / 2.0
    return (300.0 - 4e-6 * (rpm - 3500.0) ** 2) * gain * scatter


def table(build: str, number: int) -> str:
    rows = [f"{rpm},{torque(build, number, rpm):.3f},{99.0 + number:.1f},{15 + 4 * number},40" for rpm in SPEEDS]
    return "\n".join(["rpm,torque [N m],baro [kPa],inlet air [degC],humidity [%]", *rows]) + "\n"


def line() -> Calibration:
    loads = np.array([0.0, 100.0, 200.0, 300.0])
    return Calibration(1.02, 1.0, 1e-4, 0.1, 0.0, 0.1, 1.0, 300.0, loads, 1.02 * loads + 1.0)


@pytest.fixture(scope="module")
def day(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("knobs")
    for build in GROUPS:
        (folder / build).mkdir()
        for number in range(3):
            (folder / build / f"{build}-{number}.csv").write_text(table(build, number), "utf-8")
    (folder / "engine.toml").write_text(ENGINE, "utf-8")
    (folder / "asked.toml").write_text('question = "Does it pay?"\n', "utf-8")
    (folder / "rating.csv").write_text("rpm,torque [N m]\n2500,310\n3500,320\n4500,300\n", "utf-8")
    (folder / "ratings.csv").write_text(
        "who,rpm,torque [N m]\n" + "".join(f"{who},{rpm},300\n" for who in "ab" for rpm in (2500, 3500, 4500)), "utf-8"
    )
    return folder


KNOBS: dict[str, Callable[[Path], object]] = {
    "standard": lambda _: "none",
    "step": lambda _: 500.0,
    "band": lambda _: (2500.0, 4000.0),
    "smallest": lambda _: 0.05,
    "question_file": lambda day: day / "asked.toml",
    "engine_files": lambda day: {"": day / "engine.toml"},
    "declared_files": lambda day: (day / "rating.csv",),
    "declared_standard": lambda _: "din-70020",
    "declared_basis": lambda _: "net",
    "declared_by": lambda _: "who",
    "valid_to": lambda _: {"header-1": 4000.0},
    "leave_out": lambda _: {"header-1": "fuel ran out"},
    "order": lambda _: ("log-0", "header-0", "header-1", "header-2", "log-1", "log-2"),
    "look": lambda _: 2,
    "planned_looks": lambda _: 4,
    "calibrations": lambda _: {"header": line()},
    "read": lambda _: ReadOptions(units={"torque [N m]": "lbf ft", "torque": "lbf ft"}),
    "pulls": lambda _: PullOptions(valid_to=4500.0),
    "seed": lambda _: 5,
}
ALONGSIDE: dict[str, Callable[[Path], dict[str, object]]] = {
    "declared_standard": lambda day: {"declared_files": (day / "rating.csv",)},
    "declared_basis": lambda day: {"declared_files": (day / "rating.csv",)},
    "declared_by": lambda day: {"declared_files": (day / "ratings.csv",)},
    "planned_looks": lambda _: {"look": 2},
}


def shown(day: Path, values: dict[str, object]) -> str:
    request = CompareRequest(**values)  # type: ignore[arg-type]
    try:
        return comparison_text(compare_files([str(day / group) for group in GROUPS], request))
    except FairpullError as refusal:
        return "refused: " + " ".join(sorted(fault.code for fault in refusal.faults))


def test_every_part_has_its_case() -> None:
    assert set(KNOBS) == {field.name for field in fields(CompareRequest)}


@pytest.fixture(scope="module")
def default(day: Path) -> str:
    return shown(day, {})


def test_the_day_can_be_compared_and_comes_out_the_same_twice(day: Path, default: str) -> None:
    assert not default.startswith("refused")
    assert shown(day, {}) == default


@pytest.mark.parametrize("knob", sorted(KNOBS))
def test_a_knob_turns_something(knob: str, day: Path, default: str) -> None:
    alongside = ALONGSIDE[knob](day) if knob in ALONGSIDE else {}
    before = shown(day, alongside) if alongside else default
    after = shown(day, alongside | {knob: KNOBS[knob](day)})
    assert not after.startswith("refused")
    assert after != before
