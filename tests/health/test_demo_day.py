"""The invented two days, pull by pull in running order: every planted event is found, no sound pull is set aside."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from fairpull import engine, health, logs, pulls
from fairpull.air import correct
from fairpull.demo import write_day
from fairpull.terms.findings import Severity
from fairpull.terms.health import Sign
from fairpull.terms.pull import Pull

# What ran with what (the shop's book, not the logs, says so).
BUILDS = {
    "log": (1, 2, 3, 4, 12),
    "tuned": (5, 6),
    "header": (7, 8, 9, 10, 11),
    "cam b": (13, 14, 15, 16),
    "plain": (17, 18),
    "centrifugal": (19,),
    "screw": (20,),
}
SET_ASIDE = {9: "fuel-starvation", 11: "heat-soak", 13: "low-cylinder", 16: "torque-zero"}


@pytest.fixture(scope="module")
def signs(tmp_path_factory: pytest.TempPathFactory) -> dict[int, tuple[Sign, ...]]:
    """Signs by pull; references are the earlier pulls of the build that were not set aside."""
    day = write_day(Path(tmp_path_factory.mktemp("demo-health")), seed=1)
    build_of = {number: build for build, numbers in BUILDS.items() for number in numbers}
    counted: dict[str, list[tuple[Pull, float]]] = {build: [] for build in BUILDS}
    found: dict[int, tuple[Sign, ...]] = {}
    for number, path in sorted(day.pulls.items()):
        machine = engine.load(day.engines["anvil" if number < 17 else "wren" if number < 19 else "wren-blown"])
        (recording,) = logs.read(path, logs.ReadOptions())
        (pull,) = pulls.find(recording, pulls.PullOptions(inertia=machine.inertia))
        factor = correct("sae-j1349", pulls.air_of(pull), induction=machine.induction).factor
        earlier = counted[build_of[number]]
        report = health.look(
            pull,
            engine=machine,
            references=[one for one, _ in earlier],
            factor=factor,
            reference_factors=[by for _, by in earlier],
        )
        found[number] = report.signs
        faults = [one for one in report.signs if one.severity == Severity.FAULT]
        ends = [one.counts_to for one in faults if one.counts_to is not None]
        if len(ends) == len(faults):
            earlier.append((replace(pull, valid_to=min(ends)) if ends else pull, factor))
    return found


def faults(signs: tuple[Sign, ...]) -> list[str]:
    """Kinds that set a pull aside, or part of it."""
    return [one.kind for one in signs if one.severity == Severity.FAULT]


def test_planted_events_are_found_and_nothing_else_is_set_aside(signs: dict[int, tuple[Sign, ...]]) -> None:
    """Four void pulls, one that counts in part, fifteen sound ones."""
    expected = {number: [SET_ASIDE[number]] if number in SET_ASIDE else [] for number in signs}
    expected[15] = ["valve-float"]
    assert {number: faults(found) for number, found in signs.items()} == expected


def test_float_is_cut_where_it_begins(signs: dict[int, tuple[Sign, ...]]) -> None:
    """From about 5,100 rpm to the end; the pull counts to about 5,000."""
    (found,) = (one for one in signs[15] if one.kind == "valve-float")
    assert 5050.0 <= found.low <= 5200.0
    assert found.high >= 5500.0
    assert found.counts_to is not None
    assert 4900.0 <= found.counts_to <= 5100.0


def test_zero_has_its_size(signs: dict[int, tuple[Sign, ...]]) -> None:
    """Dead weights said +3.9 lb-ft, 5.3 N m."""
    (found,) = (one for one in signs[16] if one.kind == "torque-zero")
    assert found.size == pytest.approx(5.3, abs=0.8)


def test_low_cylinder_is_number_five(signs: dict[int, tuple[Sign, ...]]) -> None:
    """Seen without a single reference."""
    (found,) = (one for one in signs[13] if one.kind == "low-cylinder")
    assert "Cylinder 5" in found.evidence


def test_a_peak_at_the_end_is_at_least(signs: dict[int, tuple[Sign, ...]]) -> None:
    """The blown engine's power still climbs at its last speed; the same engine without a blower has passed its peak."""
    assert [one.kind for one in signs[19] if one.severity == Severity.WARNING] == ["peak-at-end"]
    assert "at least" in signs[19][0].evidence
    assert signs[18] == ()
