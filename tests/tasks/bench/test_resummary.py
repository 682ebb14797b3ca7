"""Another correction standard of the house: every kept pull's summary figures follow it."""

from __future__ import annotations

from pathlib import Path

import pytest

from fairpull.book import Book, open_book
from fairpull.tasks.bench import door
from fairpull.tasks.bench.recompute import whole_check
from fairpull.tasks.bench.sheet_files import keep_sheets
from fairpull.tasks.bench.take import take_files
from fairpull.terms.bench import Sheet
from fairpull.terms.errors import ValueRefused
from tests.tasks.bench.shop import MILL, SHEETS, sweep


def test_figures_follow_the_standard_as_if_taken_under_it(filled_copy: Path, tmp_path: Path) -> None:
    told: list[int] = []
    with open_book(filled_copy) as kept:
        before = kept.pull("plain-0")
        assert before.choices["correction"].startswith("sae-j1349")
        assert door.change_setting(kept, "standard", "din-70020", lambda _, number, __: told.append(number)) == 6
        after = kept.pull("plain-0")
    with door.new_book(tmp_path / "other", {"standard": "din-70020"}) as other:
        other.keep(SHEETS)
        take_files(other, [sweep(tmp_path / "plain-0.csv", "10:00:00")], "plain")
        fresh = other.pull("plain-0")
    assert told == [1, 2, 3, 4, 5, 6]
    assert after.choices["correction"].startswith("din-70020, factor ")
    assert after.summary["factor"] != before.summary["factor"]
    assert dict(after.summary) == dict(fresh.summary)
    assert after.choices["correction"] == fresh.choices["correction"]
    assert after.findings == fresh.findings
    assert after.summary["observed_peak_power"] == before.summary["observed_peak_power"]


def test_back_to_the_default_gives_the_same_figures_again_and_the_book_is_sound(filled_copy: Path) -> None:
    with open_book(filled_copy) as kept:
        before = [kept.pull(line.name) for line in kept.pulls()]
        door.change_setting(kept, "standard", "iso-1585")
        assert whole_check(kept).findings == ()
        door.change_setting(kept, "standard", "")
        assert [kept.pull(line.name) for line in kept.pulls()] == before


def test_the_same_standard_again_computes_nothing(filled_copy: Path) -> None:
    with open_book(filled_copy) as kept:
        door.change_setting(kept, "standard", "iso-1585")
        assert door.change_setting(kept, "standard", "iso-1585") == 0
        assert door.change_setting(kept, "band", "1800-4600 rpm") == 0


def test_a_standard_that_a_pull_cannot_have_is_refused_and_nothing_changes(filled_copy: Path) -> None:
    with open_book(filled_copy) as kept:
        keep_sheets(kept, [Sheet("engine", "Mill", {**MILL, "ignition": "compression"})])
        before = kept.pull("plain-0")
        with pytest.raises(ValueRefused, match="pull plain-0") as refusal:
            door.change_setting(kept, "standard", "iso-1585")
        assert len(refusal.value.faults) <= 7
        assert kept.pull("plain-0") == before
        assert kept.settings().get("standard", "") == ""


def test_an_empty_book_takes_any_standard(kept: Book) -> None:
    assert door.change_setting(kept, "standard", "jis-d1001") == 0
    assert kept.settings()["standard"] == "jis-d1001"
