"""Builds of the book scored on a duty."""

from __future__ import annotations

from collections.abc import Iterator
from math import pi
from pathlib import Path

import numpy as np
import pytest

from fairpull.book import Book, open_book
from fairpull.tasks.bench.purpose_of import declared_duty, known_builds, purpose_of, with_site
from fairpull.tasks.bench.sheet_files import keep_sheets
from fairpull.tasks.demo_day import DemoResult
from fairpull.terms.bench import Sheet
from fairpull.terms.errors import FairpullError, NotComparable, UnknownName, ValueRefused
from tests.tasks.bench.shop import PARTS, codes, torque

DUTY = {"band": [{"speed": "2500-4000 rpm", "weight": 1.0}]}
HP = 745.69987


@pytest.fixture
def full(filled_copy: Path) -> Iterator[Book]:
    with open_book(filled_copy) as opened:
        keep_sheets(opened, [Sheet("duty", "haul", DUTY)])
        yield opened


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


def test_a_published_cycle_needs_no_file(full: Book) -> None:
    """E3 asks for all of the rated power at rated speed, a quarter at 63 % of it; the tube is 4 % stronger."""
    scores = purpose_of(full, "e3", rated="93 hp at 3800 rpm")
    assert (scores.duty.kind, scores.duty.name, scores.duty.source) == ("cycle", "cycle E3", "40cfr1042")
    loads = {round(point.rpm): point.power for point in scores.duty.points}
    assert loads[3800] == pytest.approx(93.0 * HP)
    assert loads[2394] == pytest.approx(0.25 * 93.0 * HP)
    assert [score.build for score in scores.scores] == ["tube", "plain"]
    assert purpose_of(full, "D2", rated="40 kW @ 3000 rpm").duty.points[0].power == pytest.approx(40e3)


def test_a_cycle_with_an_intermediate_speed_needs_that_too(full: Book) -> None:
    duty = declared_duty(full, "C1", "80 kW at 3600 rpm", "70 kW at 2400 rpm")
    assert {round(point.rpm) for point in duty.points} == {0, 2400, 3600}
    with pytest.raises(ValueRefused) as refusal:
        declared_duty(full, "C1", "80 kW at 3600 rpm")
    assert codes(refusal.value) == ["duty-rating"]
    assert '--intermediate "80 hp at 2400 rpm"' in refusal.value.faults[0].remedy


@pytest.mark.parametrize(
    ("named", "rated", "between", "found"),
    [
        ("E3", "", "", ["duty-rating"]),
        ("C1", "", "", ["duty-rating", "duty-rating"]),
        ("E3", "93 hp", "", ["duty-rating"]),
        ("E3", "93 at 3800", "", ["unit-missing"]),
        ("E3", "93 hp at 3800 rpm", "80 hp at 2400 rpm", ["duty-rating"]),
        ("E3", "0 hp at 3800 rpm", "", ["duty-rating"]),
        ("haul", "93 hp at 3800 rpm", "", ["duty-rating"]),
    ],
)
def test_a_rating_that_is_wanting_or_too_much(
    full: Book, named: str, rated: str, between: str, found: list[str]
) -> None:
    with pytest.raises(ValueRefused) as refusal:
        declared_duty(full, named, rated, between)
    assert codes(refusal.value) == found


def test_how_to_name_a_rating_is_said(full: Book) -> None:
    with pytest.raises(ValueRefused, match="no rated power and speed") as refusal:
        declared_duty(full, "e3")
    assert '--rated "93 hp at 3800 rpm"' in refusal.value.faults[0].remedy
    with pytest.raises(UnknownName) as unknown:
        declared_duty(full, "plough")
    assert "E3, E4, D2, G2, C1" in unknown.value.faults[0].remedy


def test_a_sheet_of_a_cycles_name_goes_first_unless_a_rating_is_given(full: Book) -> None:
    keep_sheets(full, [Sheet("duty", "E3", DUTY)])
    assert declared_duty(full, "E3").kind == "bands"
    assert declared_duty(full, "E3", "93 hp at 3800 rpm").kind == "cycle"


def test_a_limit_may_be_on_a_setting_of_the_book(full: Book, tmp_path: Path) -> None:
    path = tmp_path / "haul.toml"
    path.write_text(
        '[[band]]\nspeed = "2500-4000 rpm"\nweight = 1\n[[limit]]\nof = "octane card"\nmost = 91\n', "utf-8"
    )
    with pytest.raises(ValueRefused) as refusal:
        purpose_of(full, str(path))
    assert codes(refusal.value) == ["duty-limit-unknown"]
    body = {"engine": "Mill", "parts": PARTS, "settings": {"octane_card": "95"}}
    keep_sheets(full, [Sheet("build", "plain", body)])
    scores = {one.build: one for one in purpose_of(full, str(path)).scores}
    assert scores["plain"].struck
    assert scores["tube"].not_known
