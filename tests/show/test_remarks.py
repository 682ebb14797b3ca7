"""Findings for a reader: what weighs comes first and whole, notes of one code are one entry, and no code is lost."""

from __future__ import annotations

from dataclasses import replace

from fairpull.show.comparison_text import comparison_text
from fairpull.show.facts import day as day_facts
from fairpull.show.facts import remarks
from fairpull.show.report_tables import findings as as_page
from fairpull.terms.findings import Finding, Severity
from tests.show import days

BRIDGED = tuple(
    Finding("dropouts-bridged", Severity.NOTE, f"log_{n}", f"{n} samples were bridged.", "look at the plug")
    for n in range(1, 4)
)
TORN = tuple(
    Finding("torque-torn", Severity.WARNING, f"log_{n}", f"torque tears at {n},000 rpm", "look at the coupling")
    for n in range(1, 4)
)


def test_notes_of_one_code_are_one_entry_and_warnings_are_not() -> None:
    found = remarks.entries([*BRIDGED, *TORN], {"log_1", "log_2", "log_3"})
    assert [(one.severity.value, one.where) for one in found] == [
        ("warning", "log_1"),
        ("warning", "log_2"),
        ("warning", "log_3"),
        ("note", "3 pulls"),
    ]
    assert found[-1].first == "1 samples were bridged (and 2 more alike)"
    assert remarks.entries(BRIDGED)[0].where == "3 places"
    assert remarks.entries(replace(one, where=f"{one.where}.csv") for one in BRIDGED)[0].where == "3 files"


def test_every_code_and_every_warning_is_in_the_text_and_everything_on_the_page() -> None:
    day = replace(days.header_day(), findings=(*days.FINDINGS, *BRIDGED, *TORN))
    text = comparison_text(day)
    page = as_page(day_facts.findings(day))
    for one in (*BRIDGED, *TORN, *days.FINDINGS):
        assert one.code in text
        assert one.code in page
        assert one.text.replace("'", "&#x27;") in page
    assert all(one.text in text for one in TORN)
    assert "3 samples were bridged" not in text
    assert "Findings: 1 fault, 4 warnings, 6 notes" in text


def test_none_is_said() -> None:
    assert "None." in as_page(())
    assert day_facts.weights(days.lone_build()) == ""
