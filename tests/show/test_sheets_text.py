"""Sheets entry by entry, what adding did, kept results, and one pull's judgements, at several widths."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date

import pytest

from fairpull.show import bench_text, json_sheets, results_text, sheets_text
from fairpull.terms.bench import COUNTS, SET_ASIDE, Mark, Sheet, StoredResult
from fairpull.terms.findings import Finding, Severity
from tests.show import bench_days

SHEET = Sheet(
    "session",
    "sat\x1b[31murday",
    {
        "date": date(2031, 5, 6),
        "notes": "words " * 40,
        "dead_weights": {"unit": "lb-ft", "hung": list(range(60)), "apply": True},
        "rows": [{"speed": "1 rpm"}, {"speed": "2 rpm"}],
        "flow": [["in", "cfm"], [0.1, 47]],
    },
    2,
    1.9e9,
)
FINDING = Finding("older-sheet-again", Severity.WARNING, "session x", "A text. " * 20, "Look.")
RESULT = StoredResult(
    "first",
    "comparison",
    {"builds": ["a", "b"], "asked": {"seed": 3}},
    {"a-1": "ab" * 32, "b-1": "cd" * 32},
    {"build/a": 1, "build/b": 2},
    "",
    "0.1",
    "x86_64",
    1.9e9,
)
DOCUMENT = {
    "band": {"low": 2000.0, "high": 5000.0, "unit": "rpm"},
    "differences": [
        {
            "reference": "a",
            "other": "b",
            "verdict": {"sentence": "b differs from a."},
            "mean_ratio": {"value": 0.04, "low": 0.03, "high": 0.05},
        }
    ],
    "choices": {"standard": "sae-j1349"},
    "findings": [{"code": "x", "severity": "note", "where": "a-1", "text": "t", "remedy": "r"}],
}
MARKS = (Mark("p", COUNTS, "", None, "", 1.9e9), Mark("p", SET_ASIDE, "fan belt", 4500.0, "K. L.", 1.91e9))
FACES: dict[str, Callable[[int, bool], str]] = {
    "added": lambda w, c: sheets_text.added_text([(SHEET, "changed", "a 1 -> 2; " * 20)], [FINDING], width=w, colour=c),
    "sheet": lambda w, c: sheets_text.sheet_text(SHEET, [("displacement", "4.2 L")], [FINDING], width=w, colour=c),
    "results": lambda w, c: results_text.results_text([(RESULT, DOCUMENT)], width=w, colour=c),
    "result": lambda w, c: results_text.result_text(RESULT, DOCUMENT, width=w, colour=c),
    "marks": lambda w, c: bench_text.marks_text(MARKS, width=w, colour=c),
}


@pytest.mark.parametrize("width", [60, 80, 120])
@pytest.mark.parametrize("face", FACES)
def test_no_line_is_longer_than_the_terminal_and_nothing_steers_it(face: str, width: int) -> None:
    said = FACES[face](width, False)
    assert max(len(line) for line in said.splitlines()) <= width
    assert "\x1b" not in said
    assert said.endswith("\n")
    assert "\x1b[" in FACES[face](width, True)
    assert "\x1b[31m" not in FACES[face](width, True)


def test_every_entry_of_a_sheet_stands_there() -> None:
    said = FACES["sheet"](80, False)
    for told in (
        "date: 2031-05-06",
        "unit: lb-ft",
        "apply: true",
        "speed: 2 rpm",
        "in, cfm; 0.1, 47",
        "4.2 L",
        "Look.",
    ):
        assert told in said
    assert "Findings" not in sheets_text.sheet_text(SHEET)


def test_a_result_says_what_it_is_made_of() -> None:
    said = FACES["result"](80, False)
    assert said.startswith("b differs from a.\n")
    for told in ("ab" * 32, "cd" * 32, "2,000", "5,000", "seed 3", "+4.0 % (+3.0 to +5.0)", "version 2", "sae-j1349"):
        assert told in said
    assert "first: comparison of a, b, 2030-03-17" in FACES["results"](80, False)


def test_judgements_are_told_with_limit_reason_and_initials() -> None:
    assert FACES["marks"](80, False).splitlines()[-1].endswith(": set aside up to 4,500 rpm, fan belt (K. L.)")


def test_a_list_says_which_standard_its_peaks_have() -> None:
    lines = [replace(line, choices={}) for line in bench_days.lines()]
    assert "Peaks are corrected to SAE J1349 where" in bench_text.pulls_list_text(lines, "us", "sae-j1349", width=200)
    assert "the standard that fits each engine" in bench_text.pulls_list_text(lines, width=200)
    own = [replace(lines[0], choices={"correction": "din-70020, factor 1.0100"}), *lines[1:]]
    assert "corrected to DIN 70020 where" in bench_text.pulls_list_text(own, "us", "sae-j1349", width=200)


def test_sheets_as_json_hold_dates_as_text() -> None:
    found = json_sheets.sheet_to_json(SHEET, [FINDING])
    assert found["body"]["date"] == "2031-05-06"
    assert found["findings"][0]["code"] == "older-sheet-again"
