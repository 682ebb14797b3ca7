"""The book's lists and pages beyond the golden texts."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest

from fairpull.show import bench_text, health_text
from fairpull.show.arrival_text import arrival_text, fitted_text, watching_text
from fairpull.show.day_text import day_text
from fairpull.show.tune_text import tune_text
from fairpull.terms.bench import BookCheck, KeptPull, Sheet
from fairpull.terms.findings import Finding, Severity
from tests.show import bench_days

FACES: dict[str, Callable[[int, bool], str]] = {
    "list": lambda w, c: bench_text.pulls_list_text(bench_days.lines(), width=w, colour=c),
    "hostile": lambda w, c: bench_text.pulls_list_text(bench_days.hostile_lines(), width=w, colour=c),
    "taken": lambda w, c: bench_text.taken_text("a", bench_days.lines(), {"x.csv": ("x",)}, width=w, colour=c),
    "pull": lambda w, c: bench_text.pull_text(bench_days.lines()[1], width=w, colour=c),
    "hostile pull": lambda w, c: bench_text.pull_text(bench_days.hostile_lines()[0], width=w, colour=c),
    "sheets": lambda w, c: bench_text.sheet_list_text(bench_days.sheets(), width=w, colour=c),
    "build": lambda w, c: bench_text.build_text(bench_days.build(), width=w, colour=c),
    "check": lambda w, c: bench_text.check_text(bench_days.check(True), width=w, colour=c),
    "papers": lambda w, c: bench_text.papers_text(*bench_days.papers(), width=w, colour=c),
    "health": lambda w, c: health_text.health_text([bench_days.health("p", bench_days.FLOAT)], width=w, colour=c),
    "arrival": lambda w, c: arrival_text("x", bench_days.lines(), bench_days.fair(), width=w, colour=c),
    "day": lambda w, c: day_text(bench_days.lines(), [bench_days.fair()], width=w, colour=c),
    "tune": lambda w, c: tune_text(bench_days.tune("spark"), width=w, colour=c),
}


@pytest.mark.parametrize("width", [60, 80, 120])
@pytest.mark.parametrize("face", FACES)
def test_no_line_is_longer_than_the_terminal(face: str, width: int) -> None:
    assert max(len(line) for line in FACES[face](width, False).splitlines()) <= width


@pytest.mark.parametrize("face", FACES)
def test_colour_is_given_only_when_asked_and_text_steers_nothing(face: str) -> None:
    assert "\x1b" not in FACES[face](80, False)
    assert "\x1b[" in FACES[face](80, True) or face == "sheets"
    assert "\x1b[31m" not in FACES[face](80, True).replace("\x1b[1;31m", "")


@pytest.mark.parametrize("face", FACES)
def test_every_face_ends_its_last_line(face: str) -> None:
    assert FACES[face](80, False).endswith("\n")


def test_empty_lists_say_so() -> None:
    assert "No pull fits." in bench_text.pulls_list_text(())
    assert "No sheet yet" in bench_text.sheet_list_text(())
    assert bench_text.taken_text("a", (), {}).strip() == "Kept 0 of 0."


def test_days_are_named_only_where_there_are_several() -> None:
    one_day = bench_text.pulls_list_text(bench_days.lines()[:3])
    assert "11-15" not in one_day
    assert "11-15" in bench_text.pulls_list_text(bench_days.lines())


def test_a_pull_without_a_clock_has_no_time() -> None:
    line = replace(bench_days.lines()[0], started_at=None)
    assert "09:35" not in bench_text.pulls_list_text([line])
    bench_text.pull_text(line)


def test_every_build_is_named_that_something_was_taken_for() -> None:
    text = bench_text.taken_text("anvil-log", bench_days.lines()[:1], {})
    assert text.startswith("02-baseline (anvil-log)\n  counts; 158.6 hp")


def test_a_sound_book_says_so_first() -> None:
    assert bench_text.check_text(BookCheck((), {})).startswith("The book is sound.\n")
    assert bench_text.check_text(bench_days.check(False)).startswith("The book is sound.\n")
    assert bench_text.check_text(bench_days.check(True)).startswith("The book is damaged: 1 fault.\n")


def test_a_table_of_a_part_is_read_row_by_row() -> None:
    assert "in, cfm; 0.1, 47; 0.5, 143" in bench_text.build_text(bench_days.build())


def test_facts_are_in_the_persons_units() -> None:
    us, metric = (bench_text.build_text(bench_days.build(), system) for system in ("us", "metric"))
    assert "143 cfm" in us  # 0.0675 m3/s = 143.0 cfm
    assert "308.3 lbf/in" in us  # 54 kN/m / 175.127
    assert "243 m3/h" in metric
    assert "54 N/mm" in metric
    assert "57 °" in us


def test_a_sheets_line_says_what_it_is_about() -> None:
    def about(sheet: Sheet) -> str:
        return bench_text.sheet_list_text([sheet]).splitlines()[-1]

    assert about(Sheet("build", "b", {"engine": "Mill"}, 1)).endswith("Mill")
    assert about(Sheet("build", "b", {"engine": "Mill", "reference": "a"}, 1)).endswith("Mill, against a")
    assert about(Sheet("part", "p", {"kind": "jets"}, 3)).split() == ["part", "p", "3", "jets"]


WARNED = Finding("columns-short", Severity.WARNING, "02-baseline", "torque in kg left aside", "name its unit")
NOTED = Finding("header-repeated", Severity.NOTE, "02-baseline", "the header stands again", "nothing")


def observed_line() -> KeptPull:
    line = bench_days.lines()[0]
    return replace(line, choices={"correction": "none, factor 1.0000"}, summary={**line.summary, "factor": 1.0})


def test_peaks_without_weather_are_marked_as_observed() -> None:
    corrected, observed = bench_days.lines()[0], observed_line()
    text = bench_text.pulls_list_text([corrected, observed])
    assert text.count("158.6*") == 1
    assert text.count("158.6") == 2
    assert "*: as observed, for the weather is not known." in " ".join(text.split())
    assert "*" not in bench_text.pulls_list_text([corrected])
    listed = replace(observed, choices={})  # a listing has no choices
    assert "158.6*" in bench_text.pulls_list_text([listed])
    assert "as observed, no correction" in bench_text.headline(observed, "us")
    assert "observed" not in bench_text.headline(corrected, "us")


@pytest.mark.parametrize("face", ["taken", "arrival"])
def test_warnings_of_reading_are_told_and_notes_are_counted(face: str) -> None:
    line = replace(bench_days.lines()[0], findings=(*bench_days.lines()[0].findings, WARNED, NOTED))
    text = bench_text.taken_text("a", [line], {}) if face == "taken" else arrival_text("x.csv", [line], None)
    assert "warning columns-short: torque in kg left aside" in text
    assert "-> name its unit" in text
    assert "1 note more: fairpull pull 02-baseline" in text
    assert "header-repeated" not in text
    assert text.count(bench_days.NOTE.evidence[:20]) == 1  # a sign is told once


def test_why_a_pull_is_set_aside_is_told_where_its_signs_do_not() -> None:
    line = replace(bench_days.lines()[0], state="set aside", reason="the same pull as p03, saved again")
    for text in (bench_text.taken_text("a", [line], {}), arrival_text("x.csv", [line], None)):
        assert "the same pull as p03, saved again" in text
    starved = bench_days.lines()[2]
    assert bench_text.taken_text("a", [starved], {}).count(bench_days.STARVED.evidence[:20]) == 1


def test_silence_of_detectors_that_could_not_look_is_no_good_news() -> None:
    line = bench_days.lines()[0]
    assert line.health is not None
    blind = replace(line, health=replace(line.health, signs=(), looked=()))
    assert "No sign of trouble" not in bench_text.taken_text("a", [blind], {})
    assert "No sign of trouble" not in arrival_text("x.csv", [blind], None)


def test_read_again_is_said() -> None:
    assert bench_text.taken_text("a", bench_days.lines()[:1], {}, again=True).endswith("\nRead again: 1.\n")


def test_the_level_of_a_look_is_explained_where_it_is_not_the_plain_one() -> None:
    made = bench_days.fair()
    (difference,) = made.comparison.differences
    wide = replace(difference, verdict=replace(difference.verdict, level=0.975))
    widened = replace(made, comparison=replace(made.comparison, differences=(wide,)))
    text = " ".join(arrival_text("x.csv", (), widened, look=2).split())
    assert "wider 97.5 % band at each speed; the range behind the average is the plain 95 %." in text
    assert "97.5" not in arrival_text("x.csv", (), made, look=1)


def test_findings_of_a_file_stand_in_an_arrival() -> None:
    piece = Finding("unfinished-piece", Severity.WARNING, "slow", "slow was only an unfinished piece.", "wait")
    assert "warning unfinished-piece: slow was only" in arrival_text("x.csv", (), None, findings=[piece])


@pytest.mark.parametrize("width", [60, 80])
def test_a_watch_says_what_is_fitted_within_the_terminal(width: int) -> None:
    text = watching_text("inbox", "anvil-cam-b", width=width)
    assert "watching inbox; stop with Ctrl-C\nFitted: anvil-cam-b.\n" in text
    assert text.startswith("Engine testing can kill")
    assert max(map(len, text.splitlines())) <= width
    assert "fairpull fitted NAME" in watching_text("inbox", "")
    assert fitted_text("b", "a").strip() == "Fitted: b, until now a."
    assert fitted_text("b", "").strip() == "Fitted: b."
