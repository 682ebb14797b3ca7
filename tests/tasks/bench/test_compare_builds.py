"""Comparing builds from the book: their counted pulls, the reference of the sheet, the house's wishes, the ledger."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from fairpull.book import Book, open_book
from fairpull.tasks.bench.compare_builds import compare_builds, declared_question, fetch, run_facts, with_reference
from fairpull.tasks.bench.door import change_setting
from fairpull.tasks.bench.sheet_files import keep_sheets
from fairpull.tasks.bench.take import TakeOptions, take_files
from fairpull.tasks.compare_files import compare_files
from fairpull.tasks.request import CompareRequest
from fairpull.terms.bench import COUNTS, SET_ASIDE, Sheet
from fairpull.terms.comparison import DIFFERS, Comparison
from fairpull.terms.errors import NotComparable, UnknownName
from fairpull.terms.ledger import INTENDED, FairComparison
from tests.tasks.bench.shop import DAY, PARTS, codes, sweep


@pytest.fixture
def full(filled_copy: Path) -> Iterator[Book]:
    with open_book(filled_copy) as opened:
        yield opened


@pytest.fixture(scope="module")
def made(filled: Path) -> FairComparison:
    with open_book(filled, read_only=True) as opened:
        return compare_builds(opened, ["plain", "tube"])


def test_the_verdict_is_that_of_the_same_logs_as_files(made: FairComparison, filled: Path) -> None:
    logs = filled.parent
    engine = logs / "engine.toml"
    engine.write_text('bore = "100 mm"\nstroke = "90 mm"\ncylinders = 6\ncompression_ratio = 9.5\n', "utf-8")
    files = compare_files(
        [f"plain={logs / 'plain-*.csv'}", f"tube={logs / 'tube-*.csv'}"], CompareRequest(engine_files={"": engine})
    )
    kept, read = made.comparison.differences[0], files.differences[0]
    assert kept.verdict.kind == DIFFERS
    assert kept.verdict.sentence == read.verdict.sentence
    assert np.array_equal(kept.ratio, read.ratio)
    assert np.array_equal(kept.ratio_high, read.ratio_high)
    assert kept.mean_ratio.low < 0.04 < kept.mean_ratio.high


def test_the_ledger_names_the_change(made: FairComparison) -> None:
    (ledger,) = made.ledgers
    assert (ledger.reference, ledger.other) == ("plain", "tube")
    assert [change.kind for change in ledger.changes] == ["exhaust"]
    assert [row.name for row in ledger.rows if row.role == INTENDED] == ["exhaust"]
    assert "exhaust" in ledger.summary


def test_fair_views_are_given_for_every_other_build(made: FairComparison) -> None:
    assert set(made.looks) == {"tube"}
    assert isinstance(made.comparison, Comparison)


def test_one_build_alone_is_judged_against_its_sheets_reference(full: Book) -> None:
    assert with_reference(full, ["tube"]) == ("plain", "tube")
    assert with_reference(full, ["rich", "tube", "rich"]) == ("rich", "tube")
    alone = compare_builds(full, ["tube"]).comparison
    assert [group.name for group in alone.groups] == ["plain", "tube"]


def test_one_build_alone_without_a_reference_is_refused(full: Book) -> None:
    with pytest.raises(NotComparable, match='reference = "NAME"') as refusal:
        compare_builds(full, ["loose"])
    assert codes(refusal.value) == ["no-reference"]


def test_only_counted_pulls_are_fetched_in_running_order(full: Book) -> None:
    full.mark("plain-2", SET_ASIDE, "fan belt came off")
    (plain,) = fetch(full, ["plain"], CompareRequest())
    assert [pull.name for pull in plain.pulls] == [line.name for line in plain.lines] == ["plain-0", "plain-4"]
    starts = [line.started_at for line in plain.lines]
    assert starts == sorted(starts, key=lambda at: at or 0.0)


def test_a_pull_can_be_left_out_or_count_to_a_speed(full: Book) -> None:
    request = CompareRequest(leave_out={"plain-2": "fan"}, valid_to={"plain-0": 4000.0, "tube": 4500.0})
    plain, tube = fetch(full, ["plain", "tube"], request)
    assert [pull.valid_to for pull in plain.pulls] == [4000.0, None]
    assert [pull.valid_to for pull in tube.pulls] == [4500.0, 4500.0, 4500.0]


def test_the_mark_of_a_pull_limits_it(full: Book) -> None:
    full.mark("tube-1", COUNTS, "float above", valid_to=4200.0)
    made = compare_builds(full, ["plain", "tube"]).comparison
    assert made.groups[1].tested[1] <= 4200.0


def test_builds_without_counted_pulls_are_refused_all_at_once(full: Book) -> None:
    for name in ("tube-1", "tube-3", "tube-5"):
        full.mark(name, SET_ASIDE, "for a test")
    with pytest.raises(NotComparable) as refusal:
        compare_builds(full, ["plain", "tube", "rich"])
    assert [(fault.where, fault.seen) for fault in refusal.value.faults] == [
        ("build tube", "no counted pull; 3 set aside or void"),
        ("build rich", "no pull of this build"),
    ]


def test_an_unknown_build_is_refused(full: Book) -> None:
    with pytest.raises(UnknownName):
        compare_builds(full, ["plain", "tub"])


def test_the_house_fills_in_what_the_request_leaves_open(full: Book) -> None:
    for key, value in (("standard", "din-70020"), ("grid", "500 rpm"), ("band", "2500-4000 rpm"), ("smallest", "3 %")):
        change_setting(full, key, value)
    house = compare_builds(full, ["plain", "tube"]).comparison
    assert (house.standard, house.grid_step, house.band) == ("din-70020", 500.0, (2500.0, 4000.0))
    assert house.question.smallest == 0.03
    asked = CompareRequest(standard="iso-1585", step=250.0, band=(3000.0, 4500.0), smallest=0.02)
    option = compare_builds(full, ["plain", "tube"], asked).comparison
    assert (option.standard, option.grid_step, option.band) == ("iso-1585", 250.0, (3000.0, 4500.0))
    assert option.question.smallest == 0.02
    assert option.choices["band"].endswith("by option")


def test_a_question_about_these_builds_is_found(full: Book) -> None:
    question = {"question": "Does it pay?", "band": "2200-4400 rpm", "smallest": "2 %"}
    keep_sheets(
        full,
        [
            Sheet("question", "pays", {**question, "builds": ["plain", "tube"]}),
            Sheet("question", "other", {"question": "Other?", "builds": ["plain", "rich"]}),
            Sheet("question", "nobody's", {"question": "About nothing?"}),
        ],
    )
    change_setting(full, "smallest", "5 %")
    found, said = declared_question(full, ["plain", "tube"], CompareRequest())
    assert (found.text, found.band, found.smallest, found.declared) == ("Does it pay?", (2200.0, 4400.0), 0.02, True)
    assert said["question"] == "sheet pays, version 1"
    none, said = declared_question(full, ["rich", "tube"], CompareRequest())
    assert (none.text, none.declared, none.smallest) == ("", False, 0.05)
    assert said == {"question": "none declared"}


def test_facts_of_the_runs(full: Book) -> None:
    keep_sheets(
        full,
        [
            Sheet("build", "plain", {"engine": "Mill", "parts": PARTS, "accessories": ["fan", "pump"]}),
        ],
    )
    plain, tube = run_facts(full, fetch(full, ["plain", "tube"], CompareRequest()))
    assert plain.numbers.tolist() == [1.0, 3.0, 5.0]
    assert tube.numbers.tolist() == [2.0, 4.0, 6.0]
    assert plain.factors == pytest.approx([1.0012] * 3, abs=1e-4)
    assert plain.accessories == ("fan", "pump")
    assert tube.accessories == ()
    assert plain.session == ("", "", "")


def test_calibrations_are_told_where_they_were_applied_and_where_only_kept(kept: Book, tmp_path: Path) -> None:
    weights = {"unit": "lb-ft", "hung": [0, 100, 200], "read": [0.1, 100.1, 200.1]}
    for n, (name, apply) in enumerate((("applied", True), ("hung", False))):
        keep_sheets(kept, [Sheet("session", name, {"date": DAY, "dead_weights": {**weights, "apply": apply}})])
        log = sweep(tmp_path / f"{name}.csv", f"1{n}:00:00")
        take_files(kept, [log], "plain", TakeOptions(session=name))
    take_files(kept, [sweep(tmp_path / "none.csv", "12:00:00")], "plain")
    (plain,) = run_facts(kept, fetch(kept, ["plain"], CompareRequest()))
    applied, hung, none = plain.calibrations
    assert applied.startswith("torque = (indicated - ")
    assert hung == f"weights hung on {DAY}, not applied"
    assert none == ""


def test_a_sheet_that_moved_on_is_told(full: Book) -> None:
    keep_sheets(full, [Sheet("build", "tube", {"engine": "Mill", "reference": "plain", "parts": PARTS})])
    made = compare_builds(full, ["plain", "tube"])
    (finding,) = [one for one in made.comparison.findings if one.code == "sheet-changed-since"]
    assert finding.where == "build tube"
    assert "tube-1, tube-3, tube-5" in finding.text
    assert "version 2" in finding.text


def test_looks_widen_the_band(full: Book) -> None:
    plain = compare_builds(full, ["plain", "tube"]).comparison.differences[0]
    third = compare_builds(full, ["plain", "tube"], CompareRequest(look=3)).comparison.differences[0]
    assert third.verdict.level > plain.verdict.level == 0.95
    assert np.all(third.ratio_high >= plain.ratio_high)


def test_the_same_again_is_the_same(full: Book, made: FairComparison) -> None:
    again = compare_builds(full, ["plain", "tube"])
    assert again.comparison.differences[0].verdict == made.comparison.differences[0].verdict
    assert replace(again, comparison=made.comparison).ledgers[0].summary == made.ledgers[0].summary
