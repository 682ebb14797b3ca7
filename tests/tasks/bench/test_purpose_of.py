"""Builds of the book scored on a duty."""

from __future__ import annotations

from math import pi
from pathlib import Path

import numpy as np
import pytest

from fairpull.book import Book, open_book
from fairpull.tasks.bench.purpose_of import declared_duty, known_builds, purpose_of, with_site
from fairpull.tasks.bench.sheet_files import keep_sheets
from fairpull.tasks.demo_day import DemoResult
from fairpull.terms.bench import Sheet
from fairpull.terms.errors import FairpullError, NotComparable, UnknownName
from tests.tasks.bench.shop import codes, torque

DUTY = {"band": [{"speed": "2500-4000 rpm", "weight": 1.0}]}
HP = 745.69987


@pytest.fixture
def full(filled_copy: Path) -> Book:
    with open_book(filled_copy) as opened:
        keep_sheets(opened, [Sheet("duty", "haul", DUTY)])
    return open_book(filled_copy)


def test_the_score_is_the_bands_mean_power(full: Book) -> None:
    """Mean of T 2 pi n / 60 over the band, times the factor; the tube is 4 % stronger."""
    scores = purpose_of(full, "haul")
    rpm = np.linspace(2500.0, 4000.0, 3001)
    plain = float((torque(rpm) * rpm * pi / 30.0).mean()) * 1.00122
    found = {score.build: score.value for score in scores.scores}
    assert [score.build for score in scores.scores] == ["tube", "plain"]
    assert found["plain"].value == pytest.approx(plain, rel=2e-3)
    assert found["tube"].value / found["plain"].value == pytest.approx(1.04, abs=2e-3)
    assert found["tube"].low < found["tube"].value < found["tube"].high


def test_builds_can_be_named(full: Book) -> None:
    assert [score.build for score in purpose_of(full, "haul", ["plain"]).scores] == ["plain"]


def test_a_duty_may_be_a_file(full: Book, tmp_path: Path) -> None:
    path = tmp_path / "haul.toml"
    path.write_text('[[band]]\nspeed = "2500-4000 rpm"\nweight = 1.0\n', "utf-8")
    assert declared_duty(full, str(path)).bands == declared_duty(full, "haul").bands


def test_a_site_lowers_every_score(full: Book) -> None:
    """ISO 2533 at 2,194 m: 77.6 kPa; by SAE J1349 the factor is near 1.28, so power falls to near 78 %."""
    here = purpose_of(full, "haul", ["plain"]).scores[0].value.value
    there = purpose_of(full, "haul", ["plain"], altitude="7200 ft", temperature="41 degF").scores[0].value.value
    assert there / here == pytest.approx(0.78, abs=0.01)
    duty = with_site(declared_duty(full, "haul"), "7200 ft", "")
    assert duty.air is not None
    assert duty.air.pressure == pytest.approx(77.6e3, rel=2e-3)
    assert duty.air.temperature == pytest.approx(288.15 - 0.0065 * 2194.6, abs=0.2)
    assert with_site(declared_duty(full, "haul"), "", "").air is None


def test_a_site_that_is_none_is_refused(full: Book) -> None:
    for altitude, temperature in (("high", ""), ("", "warm"), ("7200 kg", "")):
        with pytest.raises(FairpullError):
            purpose_of(full, "haul", altitude=altitude, temperature=temperature)


def test_the_house_standard_is_used_and_named(full: Book) -> None:
    full.set("standard", "din-70020")
    assert purpose_of(full, "haul").choices["standard"].startswith("din-70020")
    assert purpose_of(full, "haul", standard="iso-1585").choices["standard"].startswith("iso-1585")


def test_unknown_names_and_an_empty_book_are_refused(full: Book, kept: Book) -> None:
    with pytest.raises(UnknownName):
        purpose_of(full, "plough")
    with pytest.raises(UnknownName):
        purpose_of(full, "haul", ["tub"])
    with pytest.raises(NotComparable):
        purpose_of(full, "haul", ["rich"])
    keep_sheets(kept, [Sheet("duty", "haul", DUTY)])
    with pytest.raises(NotComparable) as refusal:
        purpose_of(kept, "haul")
    assert codes(refusal.value) == ["no-counted-pull"]


def test_builds_of_the_book_are_known(full: Book) -> None:
    assert sorted(known_builds(full)) == ["loose", "plain", "rich", "tube"]


def test_the_demos_tie_is_called_a_tie(demo_result: DemoResult) -> None:
    """Scenario, section 8.4: header and cam B are a tie on the carrier's duty, at about 114.6 hp."""
    scores = {score.build: score for score in demo_result.scores.scores}
    for build, expected in (("anvil-log", 111.0), ("anvil-header", 114.6), ("anvil-cam-b", 114.6)):
        assert scores[build].value.value / HP == pytest.approx(expected, rel=0.01)
    assert {"anvil-header", "anvil-cam-b"} <= set(demo_result.scores.ties[0])
    assert "tie" in demo_result.scores.sentence
    assert scores["wren-screw"].value.value / HP == pytest.approx(113.5, rel=0.01)
    assert scores["wren-centrifugal"].value.value / HP == pytest.approx(111.3, rel=0.01)
