"""The house's settings in words."""

from __future__ import annotations

import pytest

from fairpull.show.facts import settings, words
from fairpull.terms.bench import BookCheck
from fairpull.terms.findings import Finding, Severity


def test_every_standard_can_be_chosen_and_the_data_too() -> None:
    offered = dict(settings.standards())
    assert next(iter(offered)) == ""
    assert set(offered) == {"", *words.STANDARD_NAMES}


def test_values_are_said_in_words() -> None:
    assert settings.said("units", "us").startswith("US")
    assert settings.said("standard", "sae-j1349") == "SAE J1349"
    assert settings.said("standard", "") == settings.BY_DATA
    assert settings.said("fitted", "") == "nothing said"
    assert settings.said("session", "") == "none"
    assert settings.said("band", "1800-4600 rpm") == "1800-4600 rpm"


def test_a_check_is_summed_up_as_on_the_terminal() -> None:
    fault = Finding("original-missing", Severity.FAULT, "x", "y", "z")
    note = Finding("book-leftovers", Severity.NOTE, "x", "y", "z")
    assert settings.soundness(BookCheck((note,), {})) == "The book is sound."
    assert settings.soundness(BookCheck((fault, note), {})) == "The book is damaged: 1 fault."
    assert settings.soundness(BookCheck((fault, fault), {})) == "The book is damaged: 2 faults."
    assert settings.looked_at({"pulls": 12345}).rows == (("pulls", "12,345"),)


@pytest.mark.parametrize(
    ("amount", "said"),
    [
        (0, "0 bytes"),
        (999, "999 bytes"),
        (1530, "1.53 KB"),
        (15_333_222, "15.3 MB"),
        (2_000_000_000_000_000, "2,000 TB"),
    ],
)
def test_sizes_have_three_figures(amount: int, said: str) -> None:
    assert settings.size(amount) == said
