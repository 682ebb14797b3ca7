"""Health of pulls named on the command line: against what each is held."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from fairpull.book import Book, open_book
from fairpull.tasks.bench.health_of import health_of
from fairpull.tasks.bench.lists import mark_pull
from fairpull.tasks.bench.take import REFERENCES, take_files
from fairpull.tasks.demo_day import DemoResult
from tests.tasks.bench import shop
from tests.tasks.demo_names import pull_of


def test_a_kept_pull_is_held_against_the_earlier_counted_ones_of_its_build(filled: Path) -> None:
    reports = health_of(["tube-1", "tube-5", "plain-4"], book=str(filled))
    assert [report.pull for report in reports] == ["tube-1", "tube-5", "plain-4"]
    assert [report.references for report in reports] == [(), ("tube-1", "tube-3"), ("plain-0", "plain-2")]


def test_a_pull_that_is_set_aside_is_no_reference(filled_copy: Path) -> None:
    with open_book(filled_copy) as kept:
        mark_pull(kept, "tube-3", "aside", "fan")
    (report,) = health_of(["tube-5"], book=str(filled_copy))
    assert report.references == ("tube-1",)


def test_the_order_of_running_decides_and_not_that_of_taking_in(filled_copy: Path, tmp_path: Path) -> None:
    with open_book(filled_copy) as kept:
        take_files(kept, [shop.sweep(tmp_path / "late.csv", "09:00:00", gain=1.04)], "tube")
    (first,) = health_of(["tube-1"], book=str(filled_copy))
    (late,) = health_of(["late"], book=str(filled_copy))
    assert first.references == ("late",)
    assert late.references == ()


def test_at_most_the_latest_are_taken(kept: Book, tmp_path: Path) -> None:
    logs = [shop.sweep(tmp_path / f"p{n}.csv", f"10:{n:02d}:00") for n in range(REFERENCES + 2)]
    take_files(kept, logs, "plain")
    (report,) = health_of([f"p{REFERENCES + 1}"], book=str(kept.folder))
    assert report.references == tuple(f"p{n}" for n in range(1, REFERENCES + 1))


def test_named_sound_pulls_go_before_the_books(filled: Path) -> None:
    (report,) = health_of(["tube-5"], against=["plain-0"], book=str(filled))
    assert report.references == ("plain-0",)


def test_a_file_can_be_held_against_pulls_of_the_book(filled: Path, tmp_path: Path) -> None:
    log = shop.sweep(tmp_path / "new.csv", "12:00:00", gain=1.04)
    (alone,) = health_of([str(log)])
    (held,) = health_of([str(log)], against=["tube"], book=str(filled))
    assert alone.references == ()
    assert held.references == ("tube-1", "tube-3", "tube-5")
    assert alone.looked
    assert {one.kind for one in alone.unseen} > {one.kind for one in held.unseen}


def test_what_was_said_on_taking_in_is_said_again(demo_result: DemoResult) -> None:
    lines = {line.name: line for line in demo_result.pulls}
    names = [pull_of(lines, number) for number in (9, 13, 15)]
    for report in health_of(names, book=str(demo_result.book)):
        kept = lines[report.pull].health
        assert kept is not None
        assert [sign.kind for sign in report.signs] == [sign.kind for sign in kept.signs]
        assert report.references == kept.references


def test_a_log_without_torque_worth_the_name_is_no_crash(tmp_path: Path) -> None:
    """A handful of rows: the detectors say that they cannot look."""
    rows = "\n".join(f"{rpm},{300 - np.floor(rpm / 100)}" for rpm in range(2000, 3001, 250))
    log = tmp_path / "short.csv"
    log.write_text(f"rpm,torque [N m]\n{rows}\n", "utf-8")
    (report,) = health_of([str(log)])
    assert report.signs == ()
    assert report.unseen


def test_a_reference_that_is_nowhere_is_refused(filled: Path) -> None:
    with pytest.raises(Exception, match="not-in-book"):
        health_of(["tube-5"], against=["nobody"], book=str(filled))
